"""What is told of a judged answer, as facts."""

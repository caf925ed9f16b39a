"""What faculty decided about answers and problems, and a set with what that changes."""

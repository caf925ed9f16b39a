"""What a record holds of an item beyond its numbers, read when it is first looked at."""

"""What can go wrong in a chain."""

"""Another attempt at a set, with other numbers."""

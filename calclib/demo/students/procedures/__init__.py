"""How a student works each kind of problem, by label."""

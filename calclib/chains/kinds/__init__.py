"""The closed list of step kinds: one module a kind."""

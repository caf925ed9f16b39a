"""Chains of steps, run on exact numbers."""

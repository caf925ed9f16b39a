"""Simulated students that solve every problem of the bank on their own: an instrument that measures the judge."""

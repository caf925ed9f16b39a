"""Which mistakes lead to a wrong answer, and how sure that is."""

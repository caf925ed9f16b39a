"""Pages after an exam: plans for those who failed."""

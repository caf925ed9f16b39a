"""Set-ups as students type them: read as meanings, compared with the solution, explained."""

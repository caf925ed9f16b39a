"""English, as a US nursing instructor writes it."""

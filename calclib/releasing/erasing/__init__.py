"""A student erased from the records, the files and what is said of others."""

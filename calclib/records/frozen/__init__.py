"""Texts of item models and policies, recorded once with a set and read again."""

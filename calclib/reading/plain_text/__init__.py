"""Typed characters and markup brought to plain signs, and cut into tokens."""

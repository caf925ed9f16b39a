"""Fixtures of the small class."""

from tests.small_class.started import folder, made_class

__all__ = ["folder", "made_class"]

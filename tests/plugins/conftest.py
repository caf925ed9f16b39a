"""The small class, for the tests of this folder."""

from tests.small_class.started import folder, hand_in, keys, made_class

__all__ = ["folder", "hand_in", "keys", "made_class"]

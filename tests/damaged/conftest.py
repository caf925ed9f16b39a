"""The class that the hostile papers come to, with its honest students."""

from tests.hostile.conftest import control, hall, made_hall

__all__ = ["control", "hall", "made_hall"]

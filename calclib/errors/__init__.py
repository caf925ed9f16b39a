"""Errors that are shown to people: what is wrong, where, and how to mend it."""

from calclib.errors.messages import BadInput, CalclibError

__all__ = ["BadInput", "CalclibError"]

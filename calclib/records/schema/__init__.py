"""The version of our tables in a gradebook, and how older ones are brought up to it."""

from calclib.records.schema.upgrade import bring_up
from calclib.records.schema.version import NEWEST, recorded_version, refuse_newer

__all__ = ["NEWEST", "bring_up", "recorded_version", "refuse_newer"]

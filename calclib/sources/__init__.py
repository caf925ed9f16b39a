"""Where each constant, range, formula and rule comes from, as data."""

from calclib.sources.catalogue import Source, source, sources

__all__ = ["Source", "source", "sources"]

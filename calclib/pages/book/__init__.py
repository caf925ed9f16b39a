"""A course as pages for reading, without a script."""

from calclib.pages.book.site import write_book

__all__ = ["write_book"]

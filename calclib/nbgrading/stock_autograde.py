"""Old name of `calclib.plugins.stock_autograde`, for one version."""

from __future__ import annotations

import warnings

from calclib.plugins.stock_autograde import SealedExporter, expect_notebook

__all__ = ["SealedExporter", "expect_notebook"]

warnings.warn(
    "calclib.nbgrading.stock_autograde is calclib.plugins.stock_autograde now: change the name in nbgrader_config.py "
    "(`calclib start CLASS --roster roster.csv` writes that of a class folder again).",
    FutureWarning,
    stacklevel=2,
)

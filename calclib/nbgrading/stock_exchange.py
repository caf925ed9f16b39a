"""Old name of `calclib.plugins.stock_exchange`, for one version."""

from __future__ import annotations

import warnings

from calclib.plugins.stock_exchange import CheckedCollect, PrivateFetch, ReleasePages

__all__ = ["CheckedCollect", "PrivateFetch", "ReleasePages"]

warnings.warn(
    "calclib.nbgrading.stock_exchange is calclib.plugins.stock_exchange now: change the name in nbgrader_config.py "
    "(`calclib start CLASS --roster roster.csv` writes that of a class folder again).",
    FutureWarning,
    stacklevel=2,
)

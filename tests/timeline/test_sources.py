"""Where the figures of the infusion model come from."""

from __future__ import annotations

from calclib.sources import source
from calclib.timeline import typical_volumes


def test_every_typical_volume_has_a_source_in_the_list() -> None:
    """Each key is found among the sources, and can be cited."""
    assert all(source(figure.source).cite() for figure in typical_volumes())

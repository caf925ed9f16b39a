"""Templates with every text escaped: what a student typed is shown and never becomes part of a page."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterable, Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from calclib.errors.unseen import unseen_shown
from calclib.items import Drawing
from calclib.models.papers import Paper
from calclib.quantity.writing import percent_text, points_text
from calclib.wording import said

OWN = "calclib.pages"


@cache
def _environment(room: str) -> Any:
    from jinja2 import Environment, FunctionLoader, StrictUndefined

    def load(name: str) -> str:
        own = files(room).joinpath("templates", name)
        return (own if own.is_file() else files(OWN).joinpath("templates", name)).read_text(encoding="utf-8")

    environment = Environment(
        loader=FunctionLoader(load),
        autoescape=True,
        finalize=_shown,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.globals["said"] = said
    environment.filters |= {"points": points_text, "percent": percent_text, "paragraphs": paragraphs}
    return environment


def _shown(value: Any) -> Any:
    # Not isinstance: our own HTML is a subclass of str, and comes as it is.
    return unseen_shown(value) if type(value) is str else value


def page(template: str, values: Mapping[str, Any], *, room: str = OWN) -> bytes:
    """Return a page from one of our templates; all values are escaped.

    Args:
        template: Its file.
        values: What stands in its gaps.
        room: The package whose templates are looked at first; those of this room serve all.
    """
    text: str = _environment(room).get_template(template).render(**values)
    return text.encode()


def own_script(name: str, *, room: str = OWN) -> dict[str, str]:
    """Return a script of ours as "script", and as "script_hash" how the page names it as the only one that may run."""
    text = files(room).joinpath("templates", name).read_text(encoding="utf-8")
    digest = base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
    return {"script": text, "script_hash": f"sha256-{digest}"}


def pictures_of(pictures: Iterable[Paper | Drawing]) -> list[str]:
    """Return drawings as `<img>` elements of our own making, alternative text escaped."""
    found = tuple(pictures)
    if not found:
        return []
    from calclib.plots import picture_html

    return [picture_html(picture) for picture in found]


def paragraphs(text: str) -> list[str]:
    """Return the paragraphs of a text, apart where it has empty lines."""
    return [part.strip() for part in text.split("\n\n") if part.strip()]

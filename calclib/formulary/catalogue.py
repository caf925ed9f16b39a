"""The formulary as a whole: each drug's file, read when it is first asked for."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache, lru_cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import Any

from calclib.errors.messages import BadInput
from calclib.formulary.edition import UnknownDrug
from calclib.formulary.reader import read_drug
from calclib.formulary.records import AgeGroup, Drug, Route, Use
from calclib.wording.facts import Fact, fact


@cache
def _heads() -> Mapping[str, Mapping[str, Any]]:
    """What stands above the first empty line of each file, by the file's name.

    A drug's figures wait until they are asked for.
    """
    return {path.name: _head(path) for path in _folder().iterdir() if path.name.endswith(".toml")}


@cache
def _files() -> Mapping[str, str]:
    """The generic name of each drug, in the order of the alphabet, with the name of its file."""
    found: dict[str, str] = {}
    for file, head in _heads().items():
        name = head.get("name")
        if not isinstance(name, str):
            raise BadInput(fact("errors_formulary.name_first"), where=file, line=1)
        if name in found:
            raise BadInput(fact("errors_formulary.in_another_file", name=name), where=file)
        found[name] = file
    return dict(sorted(found.items(), key=lambda pair: pair[0].lower()))


def _folder() -> Traversable:
    return files("calclib.formulary").joinpath("drugs")


def _head(path: Traversable) -> Mapping[str, Any]:
    head, _, _ = path.read_text(encoding="utf-8").partition("\n\n")
    try:
        return tomllib.loads(head)
    except tomllib.TOMLDecodeError as error:
        raise BadInput(fact("errors.no_toml", error=str(error)), where=path.name) from None


@cache
def _drug(file: str) -> Drug:
    return read_drug(_text(file), file)


@cache
def _text(file: str) -> str:
    return _folder().joinpath(file).read_text(encoding="utf-8")


@cache
def formulary() -> Mapping[str, Drug]:
    """Return all drugs by generic name, in the order of the alphabet.

    Raises:
        BadInput: A file is damaged, or two give a drug the same name.
    """
    return {name: _drug(file) for name, file in _files().items()}


@cache
def _names() -> Mapping[str, str]:
    """Every name of a drug in small letters, with its generic name."""
    names: dict[str, str] = {}
    for drug, file in _files().items():
        also = _heads()[file].get("also", [])
        for name in (drug, *(also if isinstance(also, list) else ())):
            if names.setdefault(str(name).lower(), drug) != drug:
                raise BadInput(
                    fact("errors_formulary.two_drugs", name=name, other=names[str(name).lower()], drug=drug), where=file
                )
    return names


def drug_named(name: str) -> Drug:
    """Return the drug that an order means by a name.

    Raises:
        UnknownDrug: The formulary has no such drug; says the nearest name.
    """
    found = _names().get(" ".join(name.lower().split()))
    if found is None:
        raise UnknownDrug(_unknown(name))
    return _drug(_files()[found])


# Each draw of a problem whose drug has no file asks again.
@lru_cache(maxsize=1024)
def _unknown(name: str) -> Fact:
    near = get_close_matches(name.lower(), list(_names()), n=1)
    return (
        fact("errors_formulary.no_drug_but", name=name, near=near[0])
        if near
        else fact("errors_formulary.no_drug", name=name)
    )


def drug_text(name: str) -> tuple[str, str] | None:
    """Return the generic name of the drug that an order means, and the text of its file; None if there is none."""
    found = _names().get(" ".join(name.lower().split()))
    return None if found is None else (found, _text(_files()[found]))


@cache
def _any_name() -> re.Pattern[str]:
    longest_first = sorted(_names(), key=len, reverse=True)
    return re.compile(rf"\b(?:{'|'.join(map(re.escape, longest_first))})\b", re.IGNORECASE)


def names_in(text: str) -> tuple[str, ...]:
    """Return the generic names of the drugs that a text names, each once, in the order in which they stand in it."""
    return tuple(dict.fromkeys(_names()[" ".join(found.lower().split())] for found in _any_name().findall(text)))


@dataclass(frozen=True)
class IndexedUse:
    """A use together with the drug that it belongs to."""

    drug: str
    use: Use


@cache
def _index() -> Mapping[tuple[Route, AgeGroup], tuple[IndexedUse, ...]]:
    found: dict[tuple[Route, AgeGroup], list[IndexedUse]] = {}
    for drug in formulary().values():
        for use in drug.uses:
            for route in use.routes:
                found.setdefault((route, use.group), []).append(IndexedUse(drug.name, use))
    return {key: tuple(uses) for key, uses in found.items()}


def uses_by(*, route: Route, group: AgeGroup, indication: str = "") -> Iterator[IndexedUse]:
    """Yield the uses of all drugs by a route in an age group.

    Args:
        route: The route.
        group: The age group.
        indication: Words that the indication must have, "" for any.
    """
    words = indication.lower().split()
    for one in _index().get((route, group), ()):
        if all(word in one.use.indication.lower() for word in words):
            yield one

"""Drugs as they were when something was handed out, read from the texts that were recorded with it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import lru_cache

from calclib.errors.messages import BadInput
from calclib.formulary.reader import read_drug
from calclib.formulary.records import Drug
from calclib.wording.facts import fact


class UnknownDrug(BadInput):
    """There is no drug of that name."""


DrugNamed = Callable[[str], Drug]
"""From a name that an order uses to its drug; raises UnknownDrug where there is none."""


def recorded_drugs(texts: Mapping[str, str]) -> DrugNamed:
    """Return what finds a drug by its names among recorded texts.

    Args:
        texts: The texts of drugs' files, by generic name.
    """

    def named(name: str) -> Drug:
        wanted = " ".join(name.lower().split())
        for generic, text in texts.items():
            drug = _drug(text, generic)
            if wanted in (generic.lower(), *(one.lower() for one in drug.also)):
                return drug
        raise UnknownDrug(fact("errors_formulary.drug_not_recorded", name=name))

    return named


@lru_cache(maxsize=1024)
def _drug(text: str, generic: str) -> Drug:
    return read_drug(text, f"{generic}, as recorded")


def recorded_drug(generic: str, text: str) -> Drug:
    """Return a drug from the text that was recorded of it.

    Args:
        generic: Its generic name.
        text: The text of its file.
    """
    return _drug(text, generic)

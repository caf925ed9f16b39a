"""Whether a caution speaks of the order that it is printed with, and not of some other drug."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from calclib.formulary.catalogue import drug_named, names_in
from calclib.items.item import Item

_VASOPRESSORS = frozenset({"norepinephrine", "epinephrine", "phenylephrine", "vasopressin", "dopamine"})
_CONTROLLED = frozenset(
    {"morphine", "hydromorphone", "fentanyl", "meperidine", "ketamine", "midazolam", "lorazepam", "diazepam"}
    | {"phenobarbital", "pregabalin", "testosterone"}
)


def _high_alert(drug: str) -> bool:
    return any(use.high_alert for use in drug_named(drug).uses)


_OF_CLASS: Mapping[str, Callable[[str], bool]] = {
    "insulin": lambda drug: drug.startswith("insulin"),
    "vasopressor": _VASOPRESSORS.__contains__,
    "controlled drug": _CONTROLLED.__contains__,
    "high-alert": _high_alert,
}
"""Words for a class of drugs, and which drugs are of it."""


def stray_words(item: Item) -> Iterator[str]:
    """Yield the words of an item's caution that speak of a drug or a class of which the item has none.

    A caution that names a drug of the item may name another beside it, as the antidote to have at hand.

    Args:
        item: The item, with the words of its stem.
    """
    caution, drugs = item.caution.lower(), names_in(item.in_words)
    named = names_in(item.caution)
    if named and not set(named) & set(drugs):
        yield named[0]
    for word, of_class in _OF_CLASS.items():
        if word in caution and word not in item.in_words.lower() and not any(map(of_class, drugs)):
            yield word

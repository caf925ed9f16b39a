"""What is to be told, as a record: an enumerated kind and its fields, without a word of any language."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple, TypeAlias, Union

ERASED_NAME, ERASED_TEXT = "\ufdd0", "\ufdd1"
"""What is recorded in place of the name of a student who was erased, and of a text that told of one: signs that stand
for no letter, put in words where they are told."""

Field: TypeAlias = Union[str, int, "Fact", tuple["str | Fact", ...]]
"""A text that a person typed or that a data file names, a number, another fact, or several of them."""


class Fact(NamedTuple):
    """One thing to be told.

    Args:
        kind: File and name of its sentence in the folder of a language: `mistake.left_out`.
        fields: What the sentence names, by the names that stand in its braces.
    """

    kind: str
    fields: tuple[tuple[str, Field], ...] = ()

    def field(self, name: str) -> Field | None:
        """Return one field, None if the fact has none of that name."""
        return dict(self.fields).get(name)

    def to_record(self) -> dict[str, Any]:
        """Return the fact as values that JSON can hold."""
        return {"kind": self.kind, **{name: _recorded(value) for name, value in self.fields}}


def fact(kind: str, **fields: Field) -> Fact:
    """Return a fact.

    Args:
        kind: File and name of its sentence.
        fields: What the sentence names.
    """
    return Fact(kind, tuple(fields.items()))


def of_kind(file: str, kind: str, **fields: Field) -> Fact:
    """Return the fact of a kind that is enumerated elsewhere: its name, with _ for blanks, is that of the sentence.

    Args:
        file: The file of the sentences.
        kind: The kind: “conversion left out”.
        fields: What the sentence names.
    """
    return fact(f"{file}.{kind.replace(' ', '_')}", **fields)


def fact_from_record(record: Mapping[str, Any]) -> Fact:
    """Return the fact that `Fact.to_record` recorded.

    Raises:
        KeyError: It has no kind.
    """
    return Fact(record["kind"], tuple((name, _read(value)) for name, value in record.items() if name != "kind"))


def _recorded(value: Field) -> Any:
    if isinstance(value, Fact):
        return value.to_record()
    return [_recorded(one) for one in value] if isinstance(value, tuple) else value


def _read(value: Any) -> Any:
    if isinstance(value, dict):
        return fact_from_record(value)
    return tuple(map(_read, value)) if isinstance(value, list) else value

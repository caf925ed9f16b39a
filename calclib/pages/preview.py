"""The page on which a colleague reviews a set before it goes out: problems, keys, points, rules and sources."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from calclib.class_files.text_files import replace_file
from calclib.items.item import Item
from calclib.items.model_facts import difficulty, model_citations
from calclib.models.model import ItemModel
from calclib.pages.templating import page, pictures_of
from calclib.quantity.writing import points_text
from calclib.records.sealed_slots import Slot
from calclib.releasing.preview import Previewed
from calclib.wording.facts import fact
from calclib.wording.sentences import said, sentence

_CONTENT_SHOWN = 12


def write_preview_page(sample: Previewed) -> None:
    """Write the page of a sample beside its notebook."""
    replace_file(sample.page, preview_page(sample))


def preview_page(sample: Previewed) -> bytes:
    """Return the page: for faculty alone, since it shows the answers."""
    total = sum((sum(slot.points.values(), Fraction(0)) for slot, _, _ in sample.problems), Fraction(0))
    return page(
        "preview.html",
        {
            "title": sample.order.title,
            "set_name": sample.order.set,
            "count": len(sample.problems),
            "total": points_text(total),
            "rules": sample.rules,
            "signed": _signed(sample),
            "content": sample.content[:_CONTENT_SHOWN],
            "problems": [_problem(slot, item, model) for slot, item, model in sample.problems],
        },
    )


def _problem(slot: Slot, item: Item, model: ItemModel) -> dict[str, Any]:
    return {
        "number": slot.number,
        "title": slot.title,
        "model": model.id,
        "version": model.version,
        "skill": slot.skill,
        "level": difficulty(model).says,
        "stem": item.stem,
        "caution": item.caution,
        "replacement": slot.replacement.model,
        "pictures": pictures_of(item.pictures),
        "points": points_text(sum(slot.points.values(), Fraction(0))),
        "parts": [
            {
                "place": slot.place(part.name),
                "asked": part.asked,
                "rule": part.rule_text,
                "choices": part.choices,
                "answer": part.answer,
                "points": points_text(slot.points[part.name]),
                "worked": [sentence(line) for line in item.worked[part.name]],
            }
            for part in item.parts
        ],
        "sources": _sources(model),
    }


def _signed(sample: Previewed) -> str:
    if sample.signed:
        return said(
            "preview.signed", by=tuple(fact("preview.signature", by=one.by, on=one.at[:10]) for one in sample.signed)
        )
    return said("preview.sign_off_required" if sample.order.rules.signed_off else "preview.sign_off_optional")


def _sources(model: ItemModel) -> str:
    cited = sorted({one.text for _, cited in model_citations(model) for one in cited})
    return said("preview.cited", sources=tuple(cited)) if cited else said("preview.no_sources")

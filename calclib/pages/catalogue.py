"""The catalogue of item models as a page from which faculty choose."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from calclib.formulary.figures import Memory
from calclib.items.drawing import draw_item
from calclib.items.facets import LONGEST, Facets, facets
from calclib.items.item import Item, ItemPart
from calclib.items.mistakes.fault_text import fault_answer
from calclib.items.model_facts import Citation, Difficulty, FactTable, difficulty, fact_tables, model_citations
from calclib.items.searching import search_words
from calclib.items.solution import solution_of
from calclib.models.model import ItemModel, Level
from calclib.pages.templating import own_script, page, pictures_of
from calclib.quantity.equivalences import equivalences
from calclib.wording import fact, said

SAMPLE_SEED = "sample"

Progress = Callable[[int, int, str], None]


def catalogue_page(models: Sequence[ItemModel], progress: Progress | None = None) -> bytes:
    """Return the page: for each model, folded, a sample, its solution, its mistakes and its sources.

    Its script narrows what is shown, and nothing is missing without it.

    Args:
        models: The models in the order in which they are shown.
        progress: Told the number done, the number in all and the model's id.

    Raises:
        BadInput: A model has no fair and diagnosable draw.
    """
    topics: dict[str, list[dict[str, Any]]] = {}
    for done, model in enumerate(models, 1):
        topics.setdefault(model.topic, []).append(_model(model))
        if progress:
            progress(done, len(models), model.id)
    return page(
        "catalogue.html",
        {
            "topics": [{"id": topic, "title": _title(topic), "models": found} for topic, found in topics.items()],
            "count": len(models),
            "filters": _filters(topics),
            **own_script("catalogue.js"),
        },
    )


def _model(model: ItemModel) -> dict[str, Any]:
    item = draw_item(model, SAMPLE_SEED)
    solution = solution_of(item, model)
    references = _References()
    about = [
        {"of": says, "marks": [references.mark(one) for one in cited]}
        for says, cited in model_citations(model)
        if cited
    ]
    tables = [_table(table, references) for table in fact_tables(model)]
    hardness, chosen_by = difficulty(model), facets(model)
    return {
        "words": " ".join(search_words(model)),
        "level": model.level or said("catalogue.no_level"),
        "asks": chosen_by.asks,
        "steps": _steps(chosen_by),
        "devices": chosen_by.devices or (said("catalogue.no_device"),),
        "id": model.id,
        "title": model.title,
        "skill": model.skill,
        "version": model.version,
        "reviewed": _reviewed(model),
        "difficulty": _difficulty(hardness),
        "stem": item.stem,
        "pictures": pictures_of(item.pictures),
        "caution": model.caution,
        "few": model.few,
        "parts": [_part(part, solution.worked(part.name)) for part in item.parts],
        "one_part": len(item.parts) == 1,
        "distractors": _distractors(item),
        "tables": tables,
        "memory": _memory(fact_tables(model)),
        "about": about,
        "references": references.numbered(),
    }


def _steps(chosen_by: Facets) -> str:
    return said("catalogue.steps_or_more" if chosen_by.steps == LONGEST else "catalogue.steps", count=chosen_by.steps)


def _difficulty(hardness: Difficulty) -> str:
    if not hardness.remembered:
        return said("catalogue.difficulty", difficulty=hardness.says)
    return said(
        "catalogue.difficulty_remembered", difficulty=hardness.says, names=tuple(map(_equivalence, hardness.remembered))
    )


def _reviewed(model: ItemModel) -> str:
    if not model.reviews:
        return said("catalogue.not_reviewed")
    return said(
        "formulary.reviewed", reviews=tuple(fact("formulary.review", by=one.by, on=one.on) for one in model.reviews)
    )


def _filters(topics: Mapping[str, Sequence[Mapping[str, Any]]]) -> list[dict[str, Any]]:
    """The fields by which the page narrows what it shows, each with what there is to choose."""
    models = [model for found in topics.values() for model in found]
    return [
        {"name": "topic", "says": said("catalogue.topic"), "options": [_title(topic) for topic in topics]},
        {
            "name": "level",
            "says": said("catalogue.level"),
            "options": [one for one in (*Level, said("catalogue.no_level")) if one in {m["level"] for m in models}],
        },
        {
            "name": "asks",
            "says": said("catalogue.asked"),
            "options": sorted({one for model in models for one in model["asks"]}),
        },
        {"name": "steps", "says": said("catalogue.length"), "options": sorted({model["steps"] for model in models})},
        {
            "name": "devices",
            "says": said("catalogue.device"),
            "options": sorted({one for model in models for one in model["devices"]}),
        },
    ]


def _title(topic: str) -> str:
    return topic.replace("_", " ").capitalize()


def _part(part: ItemPart, worked: Iterable[str]) -> dict[str, Any]:
    return {
        "asked": part.asked,
        "rule": part.rule_text,
        "choices": part.choices,
        "worked": list(worked),
        "mistakes": [{"answer": fault_answer(part, one), "says": one.says} for one in part.faults if one.hard],
    }


def _distractors(item: Item) -> tuple[str, ...]:
    return tuple(f"{given.says} ({given.text})" for given in item.givens if given.role == "distractor")


def _equivalence(name: str) -> str:
    return name.replace("_per_", " in 1 ").replace("_", " ") if name in equivalences() else name


def _memory(tables: Sequence[FactTable]) -> Memory:
    """How many facts of the tables a source is given for, and how many of these are from memory."""
    cited = [cell.citation for table in tables for row in table.rows for cell in row if cell.citation is not None]
    return Memory(len(cited), sum(not one.certain and one.key != "common_practice" for one in cited))


def _table(table: FactTable, references: _References) -> dict[str, Any]:
    return {
        "name": table.name.replace("_", " "),
        "columns": [column.replace("_", " ") for column in table.columns],
        "rows": [
            [{"text": cell.text, "mark": references.mark(cell.citation) if cell.citation else None} for cell in row]
            for row in table.rows
        ],
    }


class _References:
    """The sources of one model, numbered as they are first cited; memory and custom are said in words instead."""

    def __init__(self) -> None:
        self._numbers: dict[str, int] = {}
        self._texts: list[str] = []

    def mark(self, citation: Citation) -> dict[str, Any]:
        """How a source is shown beside what it supports."""
        if not citation.is_text:
            return {"words": citation.text, "number": None}
        if citation.key not in self._numbers:
            self._numbers[citation.key] = len(self._numbers) + 1
            self._texts.append(citation.text)
        return {"words": "" if citation.certain else said("source.memory"), "number": self._numbers[citation.key]}

    def numbered(self) -> list[str]:
        """The citations in the order of their numbers."""
        return self._texts

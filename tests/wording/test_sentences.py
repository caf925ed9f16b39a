"""Every fact that is told has its sentence, with exactly the fields that it brings."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from typing import get_args

import pytest

from calclib.analysis.mastery import Holds
from calclib.analysis.suspects import Sign
from calclib.answers.diagnosis.causes import ALSO_NAMED, SLIP
from calclib.answers.verdict import VERDICTS
from calclib.faults.fault import KINDS
from calclib.formulary.findings import FindingKind
from calclib.formulary.records import Kind
from calclib.gradebook.standing import Standing
from calclib.judging_papers.change_causes import CauseKind
from calclib.models.papers import KINDS as KINDS_OF_PAPER
from calclib.pages.own_history import CHANGED_RULES
from calclib.plots.infusion_text import PLACES
from calclib.plots.papers import HEADINGS
from calclib.proving.stem_notation import SLIPS
from calclib.reading import notation_rules
from calclib.records.history import DETAILS, EventKind
from calclib.records.set_aside import SetAsideKind
from calclib.remediation.standings import After, Requirement
from calclib.timeline.record import EventKind as EventOfInfusion
from calclib.wording import Fact, fact, fact_from_record, sentence
from calclib.wording.sentences import LANGUAGE, templates
from tests.layers.source_files import PACKAGE, SourceFile, source_files

SENTENCES = templates(LANGUAGE)
_TOLD_OTHERWISE = (SetAsideKind.OTHER_STUDENT, SetAsideKind.SENTENCE)
# Kinds that are enumerated elsewhere; a sentence of each stands in the file of that name.
ENUMERATED = {
    "also": ALSO_NAMED,
    "detail": DETAILS,
    "event": [kind.value for kind in EventKind],
    "fault_kind": KINDS,
    "notation": tuple(notation_rules()),
    "notation_why": tuple(notation_rules()),
    "set_aside": [kind.name.lower() for kind in SetAsideKind if kind not in _TOLD_OTHERWISE],
    "verdict_kind": VERDICTS,
    "verdict_name": (*VERDICTS, "missing", "set_aside"),
    "fault_name": (*KINDS, SLIP),
    "notation_name": tuple(notation_rules()),
    "keep": ("best", "first", "last"),
    "standing": [standing.value for standing in Standing],
    "standing_rule": [*(after.value for after in After), *(kind.value for kind in Requirement)],
    # Several kinds of the same topic, in a file with other sentences.
    "report": [
        *(standing.value for standing in Standing),
        *(f"discrimination_{word}" for word in ("very_good", "good", "marginal", "poor", "negative")),
        *(f"suspect_{sign.value}" for sign in Sign),
        *(f"mastery_{held.value}" for held in Holds),
    ],
    "own_history": [f"rule_{name}" for name in CHANGED_RULES],
    "printed_rule": [f"{how}_{what}" for how in ("does", "fails") for what in ("nothing", "part", "exam")],
    "late": ["extension_days", "extension_hours", "extension_minutes"],
    "finding": [kind.name.lower() for kind in FindingKind],
    "figure": [kind.value for kind in Kind],
    "infusion_event": get_args(EventOfInfusion),
    "infusion_event_short": get_args(EventOfInfusion),
    "paper": (*HEADINGS, *(f"drawn_{kind}" for kind in KINDS_OF_PAPER)),
    "plot": PLACES,
    "stem_slip": SLIPS,
    "change": [kind.value for kind in CauseKind if kind not in (CauseKind.LATENESS, CauseKind.RULINGS)],
}
# Told in the place of another, with the same fields.
IN_PLACE = {"recorded.text", "way.students_own_marked", "way.students_own_rounded"}


def _told() -> Iterator[tuple[str, SourceFile, ast.Call]]:
    """Every kind that the code names, where it stands, and the call that brings the fields."""
    for file in source_files():
        for node in ast.walk(file.tree):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in ("fact", "said"):
                for kind in _kinds(node.args[0]):
                    yield kind, file, node


def _told_on_pages() -> Iterator[tuple[str, str, frozenset[str]]]:
    """The same of the templates of pages: the kind, its template, and the names of the fields that it brings."""
    for template in sorted(PACKAGE.glob("*/templates/*.html")):
        for kind, brought in re.findall(r'said\("([\w.]+)"([^)]*)\)', template.read_text("utf-8")):
            yield kind, template.name, frozenset(re.findall(r", (\w+)=", brought))


def _kinds(named: ast.expr) -> Iterator[str]:
    """The kind, or the two of “this if so, else that”; anything else is refused."""
    if isinstance(named, ast.IfExp):
        yield from _kinds(named.body)
        yield from _kinds(named.orelse)
    elif isinstance(named, ast.Constant):
        yield str(named.value)
    else:
        yield ast.unparse(named)


def test_every_fact_has_a_sentence_with_its_fields() -> None:
    """A kind stands in the code as it stands in the file, and brings the fields that its sentence has gaps for."""
    wrong = []
    for kind, file, call in _told():
        if file.folder == "wording" and kind.startswith(("kind", 'f"')):
            continue  # the two functions that make a fact of a kind that they are given
        brought = {word.arg for word in call.keywords}
        if kind not in SENTENCES:
            wrong.append(f"{file.at(call)}: no sentence “{kind}”")
        elif brought != SENTENCES[kind].fields:
            wrong.append(f"{file.at(call)}: “{kind}” needs {sorted(SENTENCES[kind].fields)}")
    for kind, template, fields in _told_on_pages():
        if kind not in SENTENCES or fields != SENTENCES[kind].fields:
            wrong.append(f"{template}: “{kind}” with {sorted(fields)}")
    assert wrong == []


def test_every_sentence_is_told() -> None:
    """A sentence that nobody tells is none: each is named in the code, or of a kind that is enumerated."""
    told = {kind for kind, _, _ in (*_told(), *_told_on_pages())} | IN_PLACE
    enumerated = {f"{file}.{kind.replace(' ', '_')}" for file, kinds in ENUMERATED.items() for kind in kinds}

    assert enumerated <= set(SENTENCES)
    assert sorted(set(SENTENCES) - told - enumerated) == []


def test_an_error_is_read_at_once() -> None:
    """At most 45 words, a gap counted as one: what is wrong, where, and how to mend it."""
    words = [
        (kind, sum(len((*text.split(), *([name] if name else ()))) for text, name, _ in pieces))
        for kind, template in SENTENCES.items()
        if kind.startswith("errors_")
        for pieces in (template.pieces, template.many or ())
    ]
    assert len(words) > 500
    assert [one for one in words if one[1] > 45] == []


def test_a_fact_says_one_or_many_as_its_field_asks() -> None:
    """The field that a sentence names decides between its two forms: a phrase, several phrases, a number."""
    assert sentence(fact("mistake.left_out", phrases=("body weight",))) == "the body weight was left out"
    assert sentence(fact("mistake.left_out", phrases=("drops",))) == "the drops were left out"
    both = fact("mistake.left_out", phrases=("body weight", "drop factor"))
    assert sentence(both) == "the body weight and the drop factor were left out"


def test_a_fact_within_a_fact_is_said_in_its_place() -> None:
    """A field that is a fact is put in words where it stands."""
    first, second = fact("mistake.decimal_hours"), fact("mistake.root_forgotten", phrase="body surface area")

    assert sentence(fact("mistake.both", first=first, second=second)) == (
        "the decimal part of the hours was read as minutes, and the square root for the body surface area was not taken"
    )


def test_a_missing_sentence_or_field_is_refused() -> None:
    """Nothing is said of a kind without a sentence, nor of one that lacks a field."""
    with pytest.raises(KeyError, match="of_no_kind"):
        sentence(fact("mistake.of_no_kind"))
    with pytest.raises(KeyError, match="phrase"):
        sentence(fact("mistake.root_forgotten"))


@pytest.mark.parametrize(
    ("what", "record"),
    [
        (fact("mistake.decimal_hours"), {"kind": "mistake.decimal_hours"}),
        (fact("way.ruling", number=3, at="2026-05-03"), {"kind": "way.ruling", "number": 3, "at": "2026-05-03"}),
        (fact("a.b", phrases=("x", "y")), {"kind": "a.b", "phrases": ["x", "y"]}),
        (fact("a.b", first=fact("c.d", e="f")), {"kind": "a.b", "first": {"kind": "c.d", "e": "f"}}),
    ],
)
def test_a_fact_as_record_and_back(what: Fact, record: object) -> None:
    """A fact is recorded by kind and fields, and read back as it was."""
    assert what.to_record() == record
    assert fact_from_record(what.to_record()) == what

"""The prover: every model of the bank stands, and a model that does not is named with line and cause."""

from __future__ import annotations

import json
import pickle
import re
from collections.abc import Iterator

import pytest

from calclib.cli.proofs import proof_rows
from calclib.models import bank
from calclib.models.formulary_rows import own_text
from calclib.proving.proof_report import proof_table, proof_totals
from calclib.proving.proof_row import FULL_PROOF, ProofRow, different_needed
from calclib.proving.prover import proof_seeds, prove
from tests.models.own_model import OWN_MODEL, changed, line_of

A_FEW = 11
"""Items of each model in every run: one of them is looked at closely."""

WITHOUT_A_SOURCE = 173
"""Amounts among these draws, by model, drug, route and age group, that no source limits; it may only shrink."""

DECIDED_WITHOUT_A_SOURCE = 30
"""The same in problems of deciding, where the printed reference decides; it may only shrink too."""

SEEDS = tuple(proof_seeds(30))


def quiet(done: int, total: int, name: str) -> None:
    """No progress is shown in a test."""


def bank_files() -> list[tuple[str, str]]:
    """Name and text of each model."""
    return [(model.id, model.text) for model in bank().values()]


def shortfalls(rows: list[ProofRow]) -> list[str]:
    """All that is wrong, as it is printed."""
    return [str(one) for row in rows for one in row.verdict()]


def test_every_model_of_the_bank_stands() -> None:
    """A few draws of every model are plausible, fair, diagnosable, readable and keyed alike by sympy and by pint."""
    rows = proof_rows(bank_files(), A_FEW, None, quiet)

    assert shortfalls(rows) == []
    assert all(row.accepted == A_FEW and row.sampled == 1 for row in rows)
    unsourced = {(row.model, what) for row in rows for what in row.unsourced}
    decided = {one for one in unsourced if one[0].startswith("decide-")}
    assert len(unsourced - decided) <= WITHOUT_A_SOURCE
    assert len(decided) <= DECIDED_WITHOUT_A_SOURCE


@pytest.mark.full
def test_every_model_of_the_bank_stands_two_thousand_draws() -> None:
    """Two thousand draws of every model stand, with at least 500 different sets of numbers or a reason why not."""
    rows = proof_rows(bank_files(), FULL_PROOF, None, quiet)

    print("\n".join([*proof_table(rows), proof_totals(rows)]))
    assert shortfalls(rows) == []


def test_a_sound_model_has_no_shortfall() -> None:
    """A model as faculty would write one stands, and its counts are those of its draws."""
    row = prove(OWN_MODEL, "mine.toml", SEEDS)

    assert row.verdict() == ()
    assert (row.seeds, row.accepted, row.sampled) == (30, 30, 2)
    assert row.tried == row.accepted + row.implausible + row.unfair + row.undiagnosable
    assert 0 < row.diagnosable <= 1 and 0 < row.fair <= 1 and 0 < row.plausible <= 1


@pytest.mark.parametrize(
    ("caution", "stray"),
    [
        ("Measure insulin only in an insulin syringe.", ["insulin"]),
        ("Heparin is checked by a second nurse.", ["heparin"]),
        ("Never let a vasopressor bag run dry.", ["vasopressor"]),
        ("Shake the bottle.", []),
    ],
)
def test_a_caution_speaks_of_the_order_that_it_is_printed_with(caution: str, stray: list[str]) -> None:
    """A caution about insulin, heparin or a vasopressor fails where the item has no such drug; a plain one stands."""
    text = re.sub(r'(?m)^caution = ".*"\n', "", OWN_MODEL).replace("\nstem", f'\ncaution = "{caution}"\nstem', 1)
    assert caution in text
    found = shortfalls([prove(text, "mine.toml", SEEDS[:3])])

    assert [word for word in ("insulin", "heparin", "vasopressor") if any(f"“{word}”" in one for one in found)] == stray
    assert (found == []) == (stray == [])


def without_time(row: ProofRow) -> ProofRow:
    """The row as if it had taken no time."""
    return ProofRow(**{**vars(row), "nanoseconds": 0})


def test_rows_add_up() -> None:
    """A proof in two pieces, each sent through another process's pickle, is the proof in one."""
    pieces = [prove(OWN_MODEL, "mine.toml", SEEDS[:20]), prove(OWN_MODEL, "mine.toml", SEEDS[20:])]
    first, second = (pickle.loads(pickle.dumps(piece)) for piece in pieces)  # noqa: S301

    assert without_time(first + second) == without_time(prove(OWN_MODEL, "mine.toml", SEEDS))


def test_a_longer_proof_asks_for_more() -> None:
    """A full proof needs 500 different sets of numbers; a shorter one fewer, and none more than it drew."""
    assert different_needed(2_000) == different_needed(50_000) == 500
    assert [different_needed(n) for n in (1, 50, 200, 1_000)] == sorted(
        different_needed(n) for n in (1, 50, 200, 1_000)
    )
    assert all(different_needed(n) <= n for n in range(1, 600, 7))


FAULTY: dict[str, tuple[str, str, str]] = {
    "few numbers": (
        changed('draw = { from = "12.5", to = "60", step = "0.25" }', 'draw = ["15", "20", "35", "40"]'),
        "stem =",
        "different sets of numbers",
    ),
    "unused given": (
        changed(
            "[given.strength]", '[given.age]\nkind = "number"\nunit = ""\ndraw = ["31", "45"]\n\n[given.strength]'
        ).replace("IM once", "IM once, age {age}"),
        "[given.age]",
        "no answer depends on it",
    ),
    "used distractor": (
        changed('says = "ordered dose"', 'says = "ordered dose"\nrole = "distractor"'),
        "[given.order]",
        "declared a distractor",
    ),
    "unsafe abbreviation": (changed("IM once", "SC once"), "stem =", "unsafe notation, “SC”"),
    "markup that a draw puts together": (
        changed("Order: {drug}", "Order: <{drug}>").replace('"promethazine"', '"b"'),
        "stem =",
        "holds “<b”, which would be taken for HTML",
    ),
    "a link that a draw puts together": (
        changed("Order: {drug}", "Order: [{drug}(report").replace('"promethazine"', '"the label]"'),
        "stem =",
        "holds “](”, which would be taken for HTML",
    ),
    "markup that a question puts together": (
        changed("How many mL do you draw up?", "How many mL of <{drug} do you draw up?"),
        "[[part]]",
        "which would be taken for HTML",
    ),
    "long number": (changed("IM once", "IM, glucose 1250,"), "stem =", "“1250”"),
    "two spaces": (changed("IM once.", "IM  once."), "stem =", "two spaces"),
    "no question mark": (changed("draw up?", "draw up"), "[[part]]", "no period or question mark"),
    "impossible constraint": (changed("volume <= 3 mL", "volume <= 0.01 mL"), "", "volume <= 0.01 mL"),
    "unknown source": (
        changed('sources = ["Invented School of Nursing, Skills handbook, 2024"]', 'sources = ["nobody_2020"]'),
        "sources",
        "nobody_2020",
    ),
    "unknown rounding": (changed('"injection_volume"', '"syringe_volume"'), "[[part]]", "no rounding rule"),
    "unreadable value": (changed('"30 mg/mL"]', '"30 mgz/mL"]'), 'draw = ["25 mg/mL', "30 mgz/mL"),
    "misfit form": (
        changed('says = "ordered dose"', 'forms = ["mg", "units"]'),
        "forms",
        "can't be stated",
    ),
    "unit of a step": (
        changed('of = "order / strength"', 'of = "order"'),
        "[[step]]",
        "did you leave out the concentration",
    ),
    "unit of a constraint": (changed("volume <= 3 mL", "volume <= 3 h"), "[[where]]", "volume <= 3 h"),
}


@pytest.mark.parametrize("name", FAULTY)
def test_what_falls_short_is_named(name: str) -> None:
    """A model that falls short is reported with the line and the cause, and with no other cause."""
    text, fragment, words = FAULTY[name]
    found = prove(text, "mine.toml", SEEDS).verdict()
    causes = [one for one in found if words in one.cause]

    assert causes, [str(one) for one in found]
    assert causes[0].where == "mine.toml"
    assert causes[0].line == (line_of(text, fragment) if fragment else None)


def test_a_reason_for_few_is_accepted() -> None:
    """A model that says why it has few different numbers does not fall short for that."""
    text = FAULTY["few numbers"][0].replace("order = 900", 'order = 900\nfew = "The label allows four doses."')
    row = prove(text, "mine.toml", SEEDS)

    assert row.verdict() == ()
    assert any("The label allows four doses." in line for line in proof_table([row]))


def test_the_table_names_what_falls_short() -> None:
    """The table has a row for each model, and below it file, line and cause of each shortfall."""
    good, bad = prove(OWN_MODEL, "mine.toml", SEEDS[:5]), prove(changed("IM once", "SC once"), "other.toml", SEEDS[:5])
    lines = list(proof_table([good, bad]))

    assert sum("own-syringe-volume" in line for line in lines) == 2
    assert sum("falls short" in line for line in lines) == 1
    assert any(line.strip().startswith("other.toml, line 8: ") for line in lines)
    assert "1 of them falls short" in proof_totals([good, bad])


def test_a_row_is_plain_values() -> None:
    """A row can be written as JSON, so that other machines can send theirs."""
    row = vars(prove(OWN_MODEL, "mine.toml", SEEDS[:2]))

    assert json.loads(json.dumps({**row, "different": sorted(row["different"])}))["accepted"] == 2


BY_WORD = changed("IM once", "{route} once").replace(
    "[given.order]",
    '[given.route]\nkind = "text"\ndraw = ["IM", "IV", "subcut"]\n\n[given.order]',
).replace(
    "[[where]]",
    '[[step]]\nname = "share"\nkind = "lookup"\ntable = "shares"\nkey = "route"\ncolumn = "share"\nunit = ""\n\n'
    '[[step]]\nname = "part_volume"\nkind = "product"\nof = "volume * share"\nunit = "mL"\n\n[[where]]',
    1,
).replace('asks = "volume"', 'asks = "part_volume"') + "".join(
    f'\n[[table.shares]]\nequals = "{word}"\nshare = "{share}"\n'
    for word, share in (("IM", "1"), ("IV", "1/2"), ("subcut", "3/4"))
)


def test_a_row_picked_by_a_word_is_confirmed() -> None:
    """Sympy and pint read the row that a word of the stem picks."""
    row = prove(BY_WORD, "mine.toml", tuple(proof_seeds(61)))

    assert row.sampled == 4
    assert row.verdict() == ()


def models_with(step_kind: str) -> Iterator[str]:
    """Models of the bank that use a kind of step."""
    for model in bank().values():
        if any(step.kind == step_kind for step in model.steps):
            yield model.id


@pytest.mark.parametrize("kind", ["product", "sum", "band", "lookup", "compare", "count_up", "clock", "limit"])
def test_independent_keys_cover_each_kind(kind: str) -> None:
    """Each kind of step that the bank uses is confirmed by sympy and pint in a model of its own."""
    name = next(models_with(kind))
    row = prove(bank()[name].text, name, SEEDS[:3])

    assert row.sampled == 1 and row.shortfalls == ()


def test_an_answer_rounded_past_a_limit_fails() -> None:
    """112.5 mg/kg for 9.4 kg is 1,057.5 mg, the most of one dose: keyed as 1,058 mg it is beyond it."""
    text = own_text(bank()["dose-by-age-and-weight"].text)
    rounded = text.replace('[[where]]\nthat = "amount is a multiple of 1 mg"\n\n', "")
    assert rounded != text

    before = [str(one) for one in prove(rounded, "rounded.toml", proof_seeds(60)).verdict()]
    after = [str(one) for one in prove(text, "exact.toml", proof_seeds(60)).verdict()]

    assert any("an answer is rounded past a limit" in one for one in before)
    assert after == []

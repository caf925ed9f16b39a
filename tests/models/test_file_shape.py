"""A file from a stranger does no harm: it is refused in one sentence and at once, or drawn from within bounds."""

from __future__ import annotations

import time
import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calclib.errors import BadInput
from calclib.errors.file_lines import FileLines
from calclib.models import bank, read_item_model
from calclib.proving.prover import prove
from tests.models.own_model import OWN_MODEL, changed, line_of

PATIENCE = 5
"""Seconds for a file: a hundred times what an honest one takes, on a machine that is busy."""

BRACES = '["' + "{drug}" * 10 + '"]'

HOSTILE: dict[str, str] = {
    "deep lists": OWN_MODEL + "x = " + "[" * 1_900,
    "deep tables": OWN_MODEL + "x = " + "{ a = " * 300 + "1" + " }" * 300,
    "long key": OWN_MODEL + "a" + ".a" * 60_000 + " = 1",
    "many dots": OWN_MODEL + ("a" + ".a" * 900 + " = 1\n") * 30,
    "long file": OWN_MODEL + "# x\n" * 20_000,
    "long line": OWN_MODEL + "# " + "x" * 5_000,
    "many givens": OWN_MODEL + "".join(f'[given.g{n}]\nkind = "count"\nunit = ""\ndraw = ["1"]\n' for n in range(900)),
    "many tables": OWN_MODEL + "".join(f"[table.t{n}]\n" for n in range(3_000)),
    "many rows": OWN_MODEL + '[[table.t]]\na = "1"\n' * 2_500,
    "many steps": OWN_MODEL + '[[step]]\nname = "s"\nkind = "product"\nof = "order"\nunit = "mg"\n' * 600,
    "long list": changed('["haloperidol", "promethazine"]', "[" + '"x",' * 450 + '"y"]'),
    "power of ten": changed('from = "12.5"', "from = 1e999999"),
    "power of ten in quotes": changed('from = "12.5"', 'from = "1e999999"'),
    "infinite": changed('from = "12.5"', "from = inf"),
    "long whole number": changed('from = "12.5"', "from = " + "9" * 1_500),
    "too long a whole number": changed('from = "12.5"', "from = 0x" + "f" * 1_500),
    "trillion steps": changed('step = "0.25"', 'step = "0.0000000001"'),
    "endless range": changed('to = "60"', 'to = "999999999999999999999999"'),
    "falling range": changed('to = "60"', 'to = "1"'),
    "long expression": changed('"order / strength"', '"' + "order * " * 300 + 'order"'),
    "deep brackets": changed('"order / strength"', '"' + "(" * 150 + "order" + ")" * 150 + '"'),
    "growing product": changed(
        '[[step]]\nname = "volume"',
        "".join(
            f'[[step]]\nname = "s{n}"\nkind = "product"\nof = "{" * ".join([f"s{n - 1}" if n else "order"] * 6)}"\n'
            'unit = "mg"\n'
            for n in range(12)
        )
        + '[[step]]\nname = "volume"',
    ),
    "huge exponent": changed(
        'kind = "product"\nof = "order / strength"', 'kind = "power"\nof = "order"\nexponent = "9999"'
    ),
    "exponent with a power": changed(
        'kind = "product"\nof = "order / strength"', 'kind = "power"\nof = "order"\nexponent = "1e999999999"'
    ),
    "step that uses itself": changed('"order / strength"', '"volume / strength"'),
    "formula that uses itself": changed(
        'draw = { from = "12.5", to = "60", step = "0.25" }', 'draw = { formula = "order" }'
    ),
    "formula from below": changed(
        'draw = { from = "12.5", to = "60", step = "0.25" }', 'draw = { formula = "strength" }'
    ),
    "texts that fill each other in": changed('["haloperidol", "promethazine"]', BRACES),
    "code": changed('"order / strength"', "\"__import__('os').system('true')\""),
    "code in a unit": changed('unit = "mL"\nsays', 'unit = "exec(1)"\nsays'),
    "unit of many words": changed('unit = "mL"\nsays', 'unit = "mL' + "/g" * 30 + '"\nsays'),
    "format text": changed("{order} IM", "{order.__class__} IM"),
    "open brace": changed("{order} IM", "{order} {IM"),
    "escape codes": changed("Volume for a syringe", "\\u001b[2J"),
    "turned text": changed("Volume for a syringe", "\\u202esyringe"),
    "date": changed("order = 900", "order = 2024-01-01"),
    "truth": changed("order = 900", "order = true"),
    "no text": "",
    "no tables": "id = 1",
    "zero bytes": "\x00",
}


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_file_is_refused_at_once(name: str) -> None:
    """Whatever the file holds, it is refused in one sentence with the file's name, and soon."""
    start = time.monotonic()
    with pytest.raises(BadInput) as caught:
        read_item_model(HOSTILE[name], "mine.toml")

    assert time.monotonic() - start < PATIENCE
    assert caught.value.where == "mine.toml"
    assert "\n" not in caught.value.message and len(caught.value.message) < 700


SLOW: dict[str, str] = {
    "value of many words": changed('mistaken = ["25 mg/mL"', 'mistaken = ["25 mg' + "/g" * 30 + '"'),
    "form of many words": changed('says = "ordered dose"', 'forms = ["mg", "g' + ".g" * 30 + '"]'),
    "never plausible": changed("volume <= 3 mL", "volume > 100,000 mL"),
    "longest numbers": changed(
        'draw = { from = "12.5", to = "60", step = "0.25" }', f'draw = ["{"9" * 39}", "{"7" * 39}"]'
    ),
    "search that could backtrack": changed('"50 mg/2 mL"', '"' + "1 " * 39 + 'x"'),
    "many spaces": changed("volume <= 3 mL", "volume" + " " * 550 + "<= 3 mL"),
}


@pytest.mark.parametrize("name", SLOW)
def test_what_is_read_is_proved_within_bounds(name: str) -> None:
    """A file that can be read but is of no use is given up soon, with a cause."""
    start = time.monotonic()
    row = prove(SLOW[name], "mine.toml", [str(n) for n in range(50)])

    assert time.monotonic() - start < PATIENCE
    assert row.verdict() or name == "many spaces"


MISTAKES: dict[str, tuple[str, str, str]] = {
    "not TOML": (changed('title = "Volume for a syringe"', 'title = "Volume for a syringe'), "title", "missing quote"),
    "missing field": (changed('kind = "mixture"\n', ""), "[given.strength]", "“kind” is missing"),
    "misspelt field": (changed('says = "ordered dose"', 'sais = "ordered dose"'), "sais", "did you mean “says”?"),
    "number without quotes": (changed('step = "0.25"', "step = 0.25"), "draw = { from", "in quotes"),
    "list for text": (changed('asked = "How many mL do you draw up?"', 'asked = ["a"]'), "asked", "must be text"),
    "asked in another unit": (
        changed('asks = "volume"', 'asks = "order_again"').replace(
            "[[where]]",
            '[[step]]\nname = "order_again"\nkind = "product"\nof = "order"\nunit = "mg"\n\n[[where]]',
        ),
        "[[part]]",
        "step 2 (order_again) gives mg, but the answer of part volume is asked in mL: did you leave out the conc",
    ),
    "misspelt step kind": (changed('kind = "product"', 'kind = "produkt"'), "[[step]]", "did you mean “product”?"),
    "misspelt given": (changed('"order / strength"', '"order / strenght"'), "[[step]]", "did you mean “strength”?"),
    "misspelt name in the stem": (changed("{order} IM", "{oder} IM"), "stem", "did you mean “order”?"),
    "given not in the stem": (changed(" {order} IM", " IM"), "[given.order]", "is not in the stem"),
    "misspelt kind": (
        changed('kind = "drug_amount"', 'kind = "drug_amuont"'),
        "[given.order]",
        "did you mean “drug_amount”?",
    ),
    "kind with an s": (changed('kind = "text"', 'kind = "texts"'), "[given.drug]", "did you mean “text”?"),
    "row in the plural": (changed('kind = "text"', 'kind = "rows"'), "[given.drug]", "kinds are text, row, clock, "),
    "parts for part": (changed("[[part]]", "[[parts]]"), "[[parts]]", "did you mean “part”?"),
    "no version": (changed("version = 1\n", ""), "id =", "“version” is missing"),
    "no order": (changed("order = 900\n", ""), "id =", "“order” is missing"),
    "name in a constraint": (changed("volume <= 3 mL", "volum <= 3 mL"), "[[where]]", "did you mean “volume”?"),
    "unit of another kind": (changed('unit = "mg"', 'unit = "mL"'), "[given.order]", "mL"),
    "no rounding": (changed('rounding = "injection_volume"\n', ""), "[[part]]", "rounding rule"),
    "name twice": (changed('name = "volume"\nkind', 'name = "order"\nkind'), "[[step]]", "used twice"),
    "constraint without comparison": (changed("volume <= 3 mL", "volume"), "[[where]]", "must compare"),
}


@pytest.mark.parametrize("name", MISTAKES)
def test_a_mistake_is_explained_by_line(name: str) -> None:
    """A mistake is named with its line and in words that say how to mend it."""
    text, fragment, words = MISTAKES[name]
    with pytest.raises(BadInput) as caught:
        read_item_model(text, "mine.toml")

    assert words in caught.value.message
    assert caught.value.line == line_of(text, fragment)


def test_lines_are_found_in_every_model_of_the_bank() -> None:
    """Every top key, given, step, part and row of the bank's files is found on the line where it stands."""
    for model in bank().values():
        lines, content = FileLines(model.text), model.text.split("\n")
        data = tomllib.loads(model.text)
        for key in data:
            line = lines.line((key,))
            assert line is None or content[line - 1].startswith((key, f"[{key}]", f"[[{key}]]")), (model.id, key)
        for name in data["given"]:
            assert (
                content[lines.line(("given", name)) or 0] == ""
                or f"[given.{name}]" in content[(lines.line(("given", name)) or 1) - 1]
            )
        for table, rows in data.get("table", {}).items():
            places = [lines.line(("table", table, number)) for number in range(len(rows))]
            assert [content[(place or 1) - 1] for place in places] == [f"[[table.{table}]]"] * len(rows)


def refused_in(text: str) -> str | None:
    """The file's name as the refusal gives it, None if the text is a model."""
    try:
        read_item_model(text, "mine.toml")
    except BadInput as error:
        return error.where
    return None


@given(st.text(max_size=300))
def test_any_text_is_read_or_refused(text: str) -> None:
    """No text makes the reader fail in any way but with its own error."""
    assert refused_in(text) == "mine.toml"


@given(
    st.integers(0, len(OWN_MODEL)), st.integers(0, 40), st.sampled_from(["", "{", '"', "[", "9", "=", "mg", "\n", "''"])
)
def test_any_damage_is_read_or_refused(start: int, length: int, put: str) -> None:
    """A piece cut out of a good file, or something put in its place, is refused by line or makes another good file."""
    assert refused_in(OWN_MODEL[:start] + put + OWN_MODEL[start + length :]) in ("mine.toml", None)


SEVERAL = {
    "shape": (
        changed('says = "ordered dose"', 'sais = "ordered dose"')
        .replace("version = 1\n", "")
        .replace('"order / strength"', '"order / strenght"')
        .replace("volume <= 3 mL", "volum <= 3 mL"),
        ("“version” is missing", "“sais” is not a field", "“strenght” is neither", "“volum” is neither"),
    ),
    "names": (
        changed("{drug} {order} IM", "{drugg} {oder} IM")
        .replace('kind = "mixture"', 'kind = "mixtures"')
        .replace('"order / strength"', '"oder / strenght"'),
        ("{drugg}", "{oder}", "“mixtures” is not a kind", "“oder” is neither", "“strenght” is neither"),
    ),
    "units": (
        changed('kind = "drug_amount"\nunit = "mg"', 'kind = "drug_amount"\nunit = "mgg"').replace(
            'unit = "mL"\nsays', 'unit = "mLL"\nsays'
        ),
        ("“mgg” is not a unit", "“mLL” is not a unit"),
    ),
    "in one table": (
        changed('kind = "mixture"\n', "").replace('draw = ["25 mg/mL", "50 mg/2 mL", "30 mg/mL"]\nmis', "mis"),
        ("“kind” is missing in given strength", "“draw” is missing in given strength"),
    ),
    "a misspelt table": (changed("[[part]]", "[[parts]]"), ("did you mean “part”?",)),
    "numbers": (changed('"12.5"', "12.5").replace('"0.25"', "0.25"), ("number 12.5", "number 0.25")),
}


@pytest.mark.parametrize("name", SEVERAL)
def test_all_mistakes_that_can_be_told_apart_are_reported(name: str) -> None:
    """Each once and in the order of the file; what hangs on a mistake isn't called another."""
    text, words = SEVERAL[name]
    found = prove(text, "mine.toml", ("1",)).shortfalls
    said = [one.cause for one in found]
    assert [sum(word in one for one in said) for word in words] == [1] * len(words), said
    assert name == "names" or len(said) == len(words), said
    lines = [one.line for one in found]
    assert None not in lines and lines == sorted(lines, key=lambda line: line or 0)


@pytest.mark.parametrize(
    ("that", "words"),
    [
        ("volume <= 20", "where “volume <= 20”: 20 needs a unit: 20 mL"),
        ("volume <= 20 mg", "where “volume <= 20 mg”: mL can't be compared with mg"),
        ("volume <= order", "where “volume <= order”: mL can't be compared with mg"),
    ],
)
def test_a_constraint_in_another_unit_is_one_sentence(that: str, words: str) -> None:
    """It says what to write, and nothing of draws that were never made."""
    text = changed("volume <= 3 mL", that)
    (only,) = prove(text, "mine.toml", tuple("12345")).verdict()
    assert only.cause == words
    assert only.line == line_of(text, "[[where]]")


def test_a_step_in_another_unit_is_one_sentence() -> None:
    """A step that can't be compiled lets nothing be drawn; that isn't said a second time."""
    (only,) = prove(changed("order / strength", "order"), "mine.toml", tuple("12345")).verdict()
    assert only.cause.startswith("step volume gives mg, but its unit is mL")

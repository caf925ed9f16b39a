"""Which texts in the metadata of a notebook a person typed.

Jupyter, nbgrader and other programs keep much there for themselves. Their keys count for nothing only in the shape in
which programs write them: “31 mL/h” under a key of Jupyter's is a note like any other.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import lru_cache
from itertools import islice
from typing import Any, NamedTuple

_MOST_LEAVES = 5_000
_DEEPEST = 40
_LONGEST_NOTE = 4_000
_LONGEST_KEY = 80
_SAYS_SOMETHING = re.compile(r"[^\W_]")
# What a program calls a thing by, or a time: no person types these.
_MACHINE_MADE = re.compile(r"[0-9a-f]{8}[0-9a-f-]*|\d{4}-\d\d-\d\dT[0-9:.]+(?:Z|[+-][0-9:]+)?", re.IGNORECASE)

_UNIT = (
    r"(?:m?l|cc|m?g|mcg|µg|μg|ug|kg|grams?|units?|iu|meq|mmol|gtts?|drops?|tab(?:let)?s?|cap(?:sule)?s?|puffs?|bags?"
    r"|vials?|ampules?|doses?|syringes?|h|hrs?|hours?|min|mins|minutes?|days?|lbs?|oz|tsp|tbsp|%|percent|[ap]\.?m)"
)
_NUMERALS = (
    r"(?:zero|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|thirteen|fourteen|fifteen|sixteen"
    r"|seventeen|eighteen|nineteen|twenty|thirty|forty|fifty|sixty|seventy|eighty|ninety|hundred|thousand|half)"
)
_AMOUNT = re.compile(rf"(?<![\w.])\d[\d.,]*[ _-]?{_UNIT}(?![\w])", re.IGNORECASE)
_IN_WORDS = re.compile(
    rf"(?:{_NUMERALS}(?:[\s,-]+|$)(?:and\s+|point\s+)?)+(?:{_UNIT}\b.*|drops.*)?"
    r"|(?:(?:do\s?n[o']t\s+|please\s+)?(?:hold|call|give|question|clarify|stop|notify|refuse|withhold|recheck))\b"
    r"(?![-_.:/=(])[\w\s,';.-]{0,120}",
    re.IGNORECASE,
)
# One answer of a list: "25", "25 gtt/min", "1 tablet"; several numbers stand with blanks between them, too.
_NUMBER = r"\d+(?:\.\d+)?"
_ONE_OF_LIST = re.compile(rf"{_NUMBER}(?:\s+{_NUMBER})*\s?(?:{_UNIT}(?:\s?/\s?{_UNIT})*)?", re.IGNORECASE)
_BETWEEN = re.compile(r"[,;|&]|\band\b", re.IGNORECASE)
_LABEL = re.compile(r"[^\n:=\d]{0,40}[:=]")
# Sizes on a screen, and how far a program has got.
_OF_A_SCREEN = re.compile(r"[\d.]+\s?%|\d+%\|.*", re.DOTALL)
# Keys that people make up for what they want to say.
_TYPED_KEY = re.compile(
    r"(?:my\W?|own\W?|the\W?)?(?:note|comment|remark|answer|ans|solution_?text|result|reply)s?", re.IGNORECASE
)

# Keys that Jupyter, nbgrader and other programs write, and under which they keep whatever they need.
_OPAQUE_KEYS = (
    *("rise", "livereveal", "colab", "vscode", "pycharm", "datalore", "azdata_.*", "gather", "dotnet_interactive"),
    *("polyglot_notebook", "papermill", "jupytext", "jp-.*", "toc.*", "application/.*", "deepnote.*", "kaggle"),
    *("nteract", "noteable", "sos", "nbpresent", "image/.*", "text/.*", "celltoolbar", "widgets", "varinspector"),
    *("latex_envs", "azure", "anaconda-cloud", "interpreter", "tf", "code_?folding", "lines_to_next_cell", "_.*"),
)
_OPAQUE = re.compile("|".join(_OPAQUE_KEYS), re.IGNORECASE)
_WORD = r"[A-Za-z][\w.+-]{0,40}"
_LANGUAGE = (
    r"i?python\d?|r|julia(?:-[\d.]+)?|bash|sh|javascript|typescript|sql|c\+\+\d*|scala|octave|sagemath|markdown|html"
)
_NAME_OF_A_KERNEL = (
    r"(?=[\s\S]*(?:python|kernel|conda|\benv|venv|jupyter|pyodide|colab|sage|julia|\bR\b|bash|octave|deepnote|calclib"
    r"|nursing|course))[\w .:()\[\]+-]{1,100}"
)
# What may stand under each key of programs that use it for one thing only: the shape of a text, "" for none.
# A switch may always be on, off or empty; a number where the shape takes digits.
_SHAPES: tuple[tuple[str, str], ...] = (
    ("nbgrader|calclib|jupyter|execution|executetime|slideshow|kernelspec|language_info|kernel_info|run_control", ""),
    (
        "grade|locked|solution|task|remove|source_hidden|outputs_hidden|is_executing|frozen|read_only|marked|__altered",
        "",
    ),
    (r"(?:is_)?trusted|editable|deletable|(?:heading_)?collapsed|(?:source_|output_|outputs_)?hidden", "true|false"),
    (
        r"init_cell|hide_?(?:input|output|code|prompt)\w*|scrolled|autoscroll|isolated|needs_background",
        "true|false|auto",
    ),
    (
        r"points|schema_version|version|nbformat\w*|orig_nbformat(?:_minor)?|width|height",
        r"\d{0,4}(?:\.\d+)*[\w.+-]{0,12}",
    ),
    ("cell_type", "code|markdown|raw|task"),
    ("score|(?:manual|auto|max)_score|extra_credit|needs_manual_grade", r"\d{0,4}(?:\.\d+)?"),
    ("checksum|hash|tag|made_for", r"[\w.-]{0,200}"),
    ("grade_id|set|filenames|cell_style|display_id", r"[\w.-]{0,200}"),
    (r"iopub[.\w]*|shell[.\w]*|\w*time", r"\d{4}-\d\d-\d\dT[0-9:.]+(?:Z|[+-][0-9:]+)?"),
    ("comment", r"[^\d]*"),
    ("duration", r"[\d.:]+\s?(?:ms|s|µs)?"),
    ("slide_type", r"(?:slide|subslide|fragment|skip|notes|-)?"),
    ("format|raw_mimetype|mimetype", r"(?:text|application|image|slides|pdf)(?:/[\w.+-]+)?"),
    ("language|codemirror_mode|pygments_lexer|default_lexer|default_kernel", _LANGUAGE),
    ("nbconvert_exporter|interrupt_mode", r"python|script|message|signal|r|julia"),
    ("file_extension", r"\.[a-z]{1,6}"),
    ("display_name|kernel|name|env", _NAME_OF_A_KERNEL),
    ("cellview|view", "form|code|both"),
    ("colab_type|accelerator|gpuclass|gputype", _WORD),
    ("id|cellid|formid|outputid|notebookid|signature|queued|started|finished", r"[\w:.+-]{8,80}"),
)
_TABLE = tuple((re.compile(keys, re.IGNORECASE), re.compile(shape)) for keys, shape in _SHAPES)

Path = tuple[str, ...]


def reads_as_answer(text: str) -> bool:
    """Tell whether a text gives an amount with its unit, a number in words, or says what to do.

    Args:
        text: The text.
    """
    return (_reads_as_answer if len(text) <= _LONGEST_KEY else _reads_as_answer.__wrapped__)(text)


# The cells of a class hold the same few texts, and a long one is not worth keeping.
@lru_cache(maxsize=8192)
def _reads_as_answer(text: str) -> bool:
    short = " ".join(text[:_LONGEST_NOTE].split())
    if _OF_A_SCREEN.fullmatch(short):
        return False
    return bool(_AMOUNT.search(short) or _IN_WORDS.fullmatch(short))


def lists_answers(text: str) -> bool:
    """Tell whether a line holds answers and nothing else: "25 gtt/min, 31 mL/h, hold", with a label before it or none.

    A single number behind a label ("Section: 2") is none.

    Args:
        text: The line.
    """
    line = text[:_LONGEST_NOTE].strip(" \t\r>#*-|")
    label = _LABEL.match(line)
    pieces = [piece.strip(" \t.()[]'\"") for piece in _BETWEEN.split(line[label.end() :] if label else line)]
    answers = [piece for piece in pieces if piece]
    if not all(_ONE_OF_LIST.fullmatch(piece) or _IN_WORDS.fullmatch(piece) for piece in answers):
        return False
    return len(answers) > 1 or bool(answers and (not label or reads_as_answer(answers[0])))


def typed_notes(table: Mapping[str, Any]) -> Iterator[str]:
    """Yield what a person put into metadata: "note: 25 gtt/min".

    Args:
        table: The metadata.
    """
    for path, value in islice(_leaves(table), _MOST_LEAVES):
        text = _text(value)
        for key in path:
            # “{"31 mL/h": true}”: the text stands in the name.
            if not text and reads_as_answer(key):
                yield key[:_LONGEST_NOTE]
        if text and not (_MACHINE_MADE.fullmatch(text) and not reads_as_answer(text)) and _is_typed(path, text):
            yield ": ".join((*(key[:_LONGEST_KEY] for key in path if key), text[:_LONGEST_NOTE]))


def is_typed_key(text: str) -> bool:
    """Tell whether a note stands under a name that people make up: "note: hold and call".

    Args:
        text: The note, as `typed_notes` gives it.
    """
    *keys, _ = text.split(": ")
    return any(_TYPED_KEY.fullmatch(key) for key in keys)


class _Key(NamedTuple):
    """What is known of a key: that people make it up, that a program keeps whatever it needs there, or its shape."""

    typed: bool
    opaque: bool
    shape: re.Pattern[str] | None


def _known(key: str) -> _Key:
    return (_looked_up if len(key) <= _LONGEST_KEY else _looked_up.__wrapped__)(key)


@lru_cache(maxsize=4096)
def _looked_up(key: str) -> _Key:
    shape = next((shape for keys, shape in _TABLE if keys.fullmatch(key)), None)
    return _Key(bool(_TYPED_KEY.fullmatch(key)), bool(_OPAQUE.fullmatch(key)), shape)


def _is_typed(path: Path, text: str) -> bool:
    first = path[0] if path else ""
    # The gradebook has a comment of its own.
    if first != "nbgrader" and any(_known(key).typed for key in path):
        return True
    if _known(first).opaque:
        return reads_as_answer(text) or any(map(reads_as_answer, path))
    shapes = [_known(key).shape for key in path if key]
    if not shapes or None in shapes:
        return True
    last = shapes[-1]
    return last is None or not last.fullmatch(text) or reads_as_answer(text)


def _text(value: object) -> str:
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        return ""
    text = str(value).strip()
    return text if _SAYS_SOMETHING.search(text) else ""


def _leaves(table: Mapping[str, Any]) -> Iterator[tuple[Path, object]]:
    """Each value within a table, with the names under which it stands; an empty table or list is a value too."""
    waiting: list[tuple[Path, object]] = [((), table)]
    while waiting:
        path, one = waiting.pop()
        if isinstance(one, Mapping) and one and len(path) < _DEEPEST:
            waiting += [((*path, str(key)), inner) for key, inner in reversed(list(islice(one.items(), _MOST_LEAVES)))]
        elif isinstance(one, list) and one:
            waiting += [(path, inner) for inner in reversed(one[:_MOST_LEAVES])]
        else:
            yield path, one

"""TOML read with exact numbers, and the line on which a key stands."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from typing import Any

from calclib.errors import BadInput
from calclib.errors.file_bounds import MAX_DIGITS, MAX_FILE, beyond_bounds, exact_number, refuse_long
from calclib.errors.file_lines import FileLines
from calclib.wording.facts import Fact, fact

_AT = re.compile(r"\s*\(at line (\d+), column \d+\)|\s*\(at end of document\)")
# Where a text begins or ends; within one they do no harm.
_CURLY = re.compile(
    "[=\\[,]\\s*[\u201c\u201d\u201e\u2018\u2019\u00ab\u00bb]|[\u201c\u201d\u2019\u00bb]\\s*,?\\s*(?:#.*)?$"
)
_HEAD = re.compile(r"\s*\[\[?([^\[\]#]+)\]\]?\s*(?:#.*)?$")


def read_toml(text: str, *, where: str, longest: int = MAX_FILE) -> Mapping[str, Any]:
    """Return the tables of a TOML file that a person wrote, held to the bounds of `file_bounds`.

    Numbers with a decimal point come as Decimal.

    Args:
        text: The text of the file.
        where: The file's name, for messages.
        longest: How many characters the file may have.

    Raises:
        BadInput: The text isn't TOML, or something in it is too long, too deep or too large; with the line.
    """
    refuse_long(text, where, fact("errors.this_file"), longest=longest)
    found = recorded_toml(text, where=where)
    for place, what in beyond_bounds(found):
        raise BadInput(
            fact("errors_class_files.out_of_bounds", what=what), where=where, line=FileLines(text).line(place)
        )
    return found


def recorded_toml(text: str, *, where: str) -> Mapping[str, Any]:
    """Return the tables of a TOML text that was checked when it was recorded.

    Args:
        text: The text.
        where: What it is, for messages.

    Raises:
        BadInput: The text isn't TOML; with the line.
    """
    try:
        return tomllib.loads(text.replace("\r\n", "\n"), parse_float=exact_number)
    except RecursionError:
        raise BadInput(fact("errors_class_files.too_deep"), where=where) from None
    except tomllib.TOMLDecodeError as error:
        place = _AT.search(str(error))
        line = int(place.group(1)) if place and place.group(1) else text.rstrip().count("\n") + 1
        what: str | Fact = _AT.sub("", str(error))
        if any(_CURLY.search(one) for one in text.split("\n")[line - 1 : line]):
            what = fact("errors_class_files.curly_quotes")
        raise BadInput(fact("errors_class_files.no_toml", what=what), where=where, line=line) from None
    except ValueError:
        raise BadInput(fact("errors_class_files.too_many_digits", most=MAX_DIGITS), where=where) from None


def line_of(text: str, key: str, *, table: str = "", number: int = 0) -> int | None:
    """Return the line of `key` in one table of a TOML text, or else the line of the table's head.

    Args:
        text: The TOML text.
        key: The bare key that is looked for; "" for the head of the table.
        table: Name of the table, "" for the top of the file.
        number: Which of several `[[table]]`, from 0.
    """
    wanted = re.compile(rf"\s*[\"']?{re.escape(key)}[\"']?\s*=")
    here, head, count = table == "", None, -1
    for line, content in enumerate(text.splitlines(), start=1):
        found = _HEAD.match(content)
        if found:
            if found.group(1).strip() == table:
                count += 1
            here = found.group(1).strip() == table and count == number
            head = line if here else head
        elif here and key and wanted.match(content):
            return line
    return head

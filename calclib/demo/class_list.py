"""An invented class: its list and its problem set. Nobody of these names is meant."""

from __future__ import annotations

from calclib.errors.messages import BadInput
from calclib.wording.facts import fact

COURSE = "invented-class"
SET = "dosage-1"
TITLE = "Dosage calculation 1"

_FIRST = "Ada Bela Ciro Dana Emre Fenna Gil Hedda Imre Juna Kalle Lior Mika Nuri Ottil Pavo Runa Sanna Tove Ulf".split()
_LAST = "Abelune Birkmar Corvell Dunsky Elvano Fairlock Grondal Hollund Istvane Jarnby Kestrow Lumeni Marwick".split()

_ITEMS = (
    "tablets-per-dose",
    "oral-liquid-volume",
    "reconstituted-vial-volume",
    "divided-doses",
    "safe-dose-range",
    "pump-rate",
    "infusion-end-time",
    "drop-rate",
    "secondary-infusion-entries",
    "titrated-rate",
)


def demo_roster(count: int) -> str:
    """Return the class list of an invented class, as roster.csv.

    Args:
        count: Number of students, 1 to 260.

    Raises:
        BadInput: There are no names for so many.
    """
    most = len(_FIRST) * len(_LAST)
    if not 1 <= count <= most:
        raise BadInput(fact("errors_demo.size_of_class", most=most, count=count))
    lines = ["id,name,hub_user,lms_name,accommodations"]
    for n in range(count):
        # The two lists have no common divisor, so that all pairs come before one comes again.
        name = f"{_FIRST[n % len(_FIRST)]} {_LAST[n % len(_LAST)]}"
        lines.append(f"student-{n + 1:03},{name},,,{'extra_minutes=1440' if n % 12 == 5 else ''}")
    return "\n".join(lines) + "\n"


def demo_blueprint() -> str:
    """Return the blueprint of a set of ten problems, as blueprint.toml."""
    head = f'''set = "{SET}"
title = "{TITLE}"
rounding = "by-size"
marking = "homework"
cut_score = 90
attempts = 2
'''
    return head + "".join(f'\n[[items]]\nitem = "{item}"\n' for item in _ITEMS)

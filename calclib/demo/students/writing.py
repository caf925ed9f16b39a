"""Ways to type an answer: plain, odd but harmless, unsafe, without its unit, and no answer at all."""

from __future__ import annotations

from decimal import Decimal

from calclib.demo.students.chance import Chance
from calclib.demo.students.figures import written
from calclib.demo.students.worksheet import TimeOfDay

# As people write a unit, all of them harmless; the first is the plain one.
UNITS = {
    "mL": ("mL", "ml", "mLs", "ML", "milliliters"),
    "mL/h": ("mL/h", "mL/hr", "ml/hr", "ml/h", "mL/hour", "mL per hour", "ml per hr"),
    "gtt/min": ("gtt/min", "gtts/min", "drops/min", "drops per minute", "gtt/minute", "gtt per min"),
    "tablet": ("tablets", "tab", "tabs", "tablet"),
    "capsule": ("capsules", "caps", "capsule"),
    "units": ("units", "Units", "unit"),
    "mg": ("mg", "MG", "milligrams"),
    "mcg": ("mcg", "MCG", "micrograms"),
    "g": ("g", "grams", "gram"),
    "kg": ("kg", "KG", "kgs", "kilograms"),
    "L": ("L", "liters", "l"),
    "oz": ("oz", "ounces"),
    "m2": ("m2", "m^2", "m²"),
    "min": ("min", "minutes", "mins"),
    "vial": ("vials", "vial"),
    "degrees F": ("degrees F", "F", "°F", "deg F", "degrees Fahrenheit"),
    "degrees C": ("degrees C", "C", "°C", "deg C", "degrees Celsius"),
    "mL/day": ("mL/day", "ml/day", "mL per day"),
    "mg/mL": ("mg/mL", "mg/ml", "mg per mL"),
    "mcg/mL": ("mcg/mL", "mcg/ml", "mcg per mL"),
    "mg/kg": ("mg/kg", "mg per kg"),
    "kg/m2": ("kg/m2", "kg/m^2", "kg/m²"),
    "mL/kg/min": ("mL/kg/min", "ml/kg/min", "mL per kg per min"),
    "mcg/kg/min": ("mcg/kg/min", "mcg per kg per min", "mcg/kg/minute"),
    "mcg/kg/h": ("mcg/kg/h", "mcg/kg/hr", "mcg per kg per hour"),
    "mg/kg/min": ("mg/kg/min", "mg per kg per min"),
    "mL/kg/h": ("mL/kg/h", "ml/kg/hr", "mL per kg per hour"),
    "units/h": ("units/h", "units/hr", "units per hour"),
    "milliunits/min": ("milliunits/min", "milliunits per minute"),
    "mg/h": ("mg/h", "mg/hr", "mg per hour"),
    "mcg/h": ("mcg/h", "mcg/hr", "mcg per hour"),
    "g/h": ("g/h", "g/hr", "g per hour"),
    "mEq/h": ("mEq/h", "mEq/hr", "mEq per hour"),
    "mg/min": ("mg/min", "mg per min", "mg per minute"),
    "mcg/min": ("mcg/min", "mcg per min", "mcg/minute"),
    "mg/day": ("mg/day", "mg per day"),
    "mEq": ("mEq", "meq"),
    "gtt": ("gtt", "gtts", "drops"),
    "h": ("h", "hours", "hr", "hrs"),
    "kcal": ("kcal",),
    "mL/min": ("mL/min", "ml/min", "mL per min"),
    "mEq/day": ("mEq/day", "mEq per day"),
    "g/day": ("g/day", "g per day"),
    "%": ("%", "percent"),
}
WRONG_UNITS = {
    "mL": ("mg", "L", "mL/h"),
    "mL/h": ("mL", "mL/min", "gtt/min"),
    "gtt/min": ("gtt", "mL/h", "gtt/h"),
    "tablet": ("mg", "mL"),
    "capsule": ("mg", "mL"),
    "units": ("mg", "mL"),
    "mg": ("mcg", "mL", "g"),
    "mcg": ("mg", "mL"),
    "g": ("mg", "kg"),
    "kg": ("lb", "g"),
    "L": ("mL",),
    "oz": ("lb", "mL"),
    "m2": ("m", "kg"),
    "min": ("h", "mL"),
    "vial": ("mL", "mg"),
    "degrees F": ("degrees C",),
    "degrees C": ("degrees F",),
    "mL/day": ("mL/h", "L"),
    "mg/mL": ("mg", "mcg/mL"),
    "mcg/mL": ("mg/mL", "mcg"),
    "mg/kg": ("mg", "mcg/kg"),
    "kg/m2": ("kg", "kg/m"),
    "mL/kg/min": ("mL/min", "mL/h"),
    "mcg/kg/min": ("mg/kg/min", "mcg/min", "mcg/kg/h"),
    "mcg/kg/h": ("mcg/kg/min", "mcg/h"),
    "units/h": ("units", "mL/h"),
    "mg/h": ("mg", "mL/h"),
    "mg/min": ("mg", "mg/h"),
    "mcg/min": ("mcg/h", "mcg"),
    "h": ("min",),
}
AROUND = {
    "mL": ("draw up {}", "give {}", "{}.", "= {}", "I would give {}"),
    "mL/h": ("set pump to {}", "set it at {}", "{}.", "rate = {}", "run at {}"),
    "gtt/min": ("{}.", "= {}", "count {}"),
    "tablet": ("give {}", "{}.", "{} for one dose"),
}
UNREADABLE = ("idk", "ask charge nurse", "?", "don't know", "not sure", "see my paper", "n/a", "call pharmacy")


def plain(value: Decimal, unit: str) -> str:
    """Return a value with its unit as it is safely written."""
    one = unit in ("tablet", "capsule", "vial") and value <= 1
    return f"{written(value)} {unit if one else UNITS.get(unit, (unit,))[0]}".strip()


def harmless(value: Decimal, unit: str, chance: Chance) -> str:
    """Return a value in one of many ways that say the same and endanger nobody."""
    word = chance.one_of(UNITS.get(unit, (unit,)))
    figure = written(value, commas=not chance.happens(Decimal("0.5")))
    ways = [f"{figure} {word}", f"{figure}  {word}", f" {figure} {word} "]
    ways += [way.format(f"{figure} {word}") for way in AROUND.get(unit, ("{}.", "= {}"))]
    if unit == "tablet" and value % 1 == Decimal("0.5") and value > 1:
        whole = int(value)
        ways += [f"{whole} 1/2 {word}", f"{whole}½ {word}", f"{whole} and 1/2 {word}"]
    if unit == "min" and value > 60 and value % 1 == 0:
        ways += [f"{int(value) // 60} h {int(value) % 60} min"] * 2
    return chance.one_of(ways)


def unsafe(value: Decimal, unit: str, chance: Chance) -> tuple[str, str]:
    """Return a value in an unsafe notation, and which."""
    figure, word = written(value), UNITS.get(unit, (unit,))[0]
    ways = [("no space", f"{figure}{word}")]
    if value < 1:
        ways += [("no zero before the point", f"{figure.removeprefix('0')} {word}")] * 3
    if value % 1 == 0:
        ways += [("zero after the point", f"{figure}.0 {word}")] * 2
    if unit == "units":
        ways += [("U for units", f"{figure} U"), ("IU for units", f"{figure} IU")] * 2
    if unit == "mL":
        ways += [("cc for mL", f"{figure} cc")]
    if "mcg" in unit:
        ways += [("micro sign", f"{figure} {word.replace('mcg', sign)}") for sign in ("ug", "µg", "μg")]
    name, text = chance.one_of(ways)
    return text, name


def without_unit(value: Decimal) -> str:
    """Return the number alone."""
    return written(value)


def with_wrong_unit(value: Decimal, unit: str, chance: Chance) -> tuple[str, str]:
    """Return the number with a unit that makes it wrong, and that unit."""
    word = chance.one_of(WRONG_UNITS.get(unit, ("mL" if unit != "mL" else "mg",)))
    return f"{written(value)} {word}", word


def unreadable(value: Decimal | None, unit: str, chance: Chance) -> str:
    """Return a text that is no single answer."""
    ways = list(UNREADABLE)
    if value is not None:
        figure, word = written(value), UNITS.get(unit, (unit,))[0]
        ways += [f"{figure} or {written(value + 1)} {word}", f"between {figure} and {written(value * 2)} {word}"]
        fraction = figure.partition(".")[2]
        if fraction and len(fraction) != 3 and value < 1000:
            ways += [f"{figure.replace('.', ',')} {word}"] * 2
    return chance.one_of(ways)


def time_of_day(time: TimeOfDay, chance: Chance | None) -> str:
    """Return a time in one of the ways in which it is charted; the plain one without chance."""
    day, minutes = divmod(int(time.minutes), 1440)
    hour, minute = divmod(minutes, 60)
    figure = f"{hour:02}{minute:02}"
    said = "" if day == 0 else " the next day" if day == 1 else f" {day} days later" if day > 1 else " the day before"
    if not time.day_said:
        said = " the same day"
    if chance is None:
        return figure + said
    clock = chance.one_of((figure, figure, f"{hour:02}:{minute:02}", f"{figure} h"))
    if said == " the next day":
        said = chance.one_of(
            (said, " next day", " (next day)", " the following day", ", next day", " tomorrow", " +1 day")
        )
    return clock + said

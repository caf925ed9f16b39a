"""Make a small class folder, kept so that later versions can be tested to read it: ``python make_class_folder.py NEW``.

Run it with the version of calclib whose folder is wanted, as root, since a hand-in of another account is made too.
Everything goes through the commands, as faculty would. In the folder NEW stand then `class/`, what the commands
printed of it in `printed/`, and both in `class.tar.xz`.
"""

from __future__ import annotations

import json
import os
import pwd
import re
import shutil
import sqlite3
import subprocess
import sys
import tarfile
from collections.abc import Callable
from pathlib import Path

import calclib

# The accounts are those that every Debian has, so that hand-ins in an exchange have owners.
ROSTER = """id,name,hub_user,lms_name,accommodations
ann,Ann Ash,games,"Ash, Ann",
ben,Ben Birch,mail,,extra_minutes=1440
cat,Cat Cedar,news,,extra_attempts=1
dan,Dan Dogwood,irc,,
eve,Eve Elder,lp,,
fay,Fay Fir,uucp,,
"""
ACCOUNTS = {"ann": "games", "ben": "mail", "cat": "news"}
BLUEPRINT = """set = "{name}"
title = "Set {name}"
rounding = "tenths-and-wholes"
marking = "homework"
cut_score = 80
attempts = 2
late = "10 percent a day"
due = 2026-11-20T23:59:00-05:00
"""
ITEMS = (
    "drop-rate",
    "pump-rate",
    "secondary-infusion-entries",
    "safe-dose-range",
    "infusion-end-time",
    "tablets-per-dose",
    "setup-drop-rate",
    "body-surface-dose",
)
SETS = ("w1", "w2", "w3", "w4")
# What each student types, from the number of the answer and the right answer as it is written.
ANSWERS: dict[str, Callable[[int, str], str]] = {
    "ann": lambda n, key: key,
    "ben": lambda n, key: key if n % 2 else key.split(" ")[0],
    "cat": lambda n, key: "" if n == 3 else "17 mL/h" if n % 3 == 0 else key,
    "dan": lambda n, key: "I think 5; or 6?" if n == 2 else ".5 mL" if n == 4 else key,
    "eve": lambda n, key: "1,000 mL/h" if n % 2 else "hold and call",
    "fay": lambda n, key: key if n < 4 else "12",
}
HANDED_IN_NOTHING = {("w4", "eve"), ("w2", "fay")}


def main() -> None:
    """Make the folder, what is printed of it, and the archive of both."""
    new = Path(sys.argv[1]).resolve()
    folder, work = new / "class", new / "work"
    work.mkdir(parents=True)
    (work / "roster.csv").write_text(ROSTER, "utf-8")
    run("start", str(folder), "--roster", str(work / "roster.csv"))
    for name in SETS:
        hand_out_and_mark(folder, work, name)
    rule_on_everything(folder, work)
    mark_another_attempt(folder, work)
    hand_in_as_others(folder, work)
    for name in SETS:
        run("report", str(folder), name)
    run("erase", str(folder), "eve", "--yes")
    keep_what_is_printed(folder, new / "printed")
    with tarfile.open(new / "class.tar.xz", "w:xz") as archive:
        for part in ("class", "printed"):
            archive.add(new / part, part)


def run(*words: str) -> str:
    """Return what a command prints; one that fails ends the program."""
    code = [sys.executable, "-c", "from calclib.cli import main; main()", *words]
    return subprocess.run(code, stdout=subprocess.PIPE, text=True, stdin=subprocess.DEVNULL, check=True).stdout


def hand_out_and_mark(folder: Path, work: Path, name: str) -> None:
    """Hand a set out, and mark what comes back: some of it copied, damaged or missing."""
    points = {"pump-rate": 2}
    items = "".join(f'\n[[items]]\nitem = "{item}"\npoints = {points.get(item, 1)}\n' for item in ITEMS)
    (work / f"{name}.toml").write_text(BLUEPRINT.format(name=name) + items, "utf-8")
    run("hand-out", str(folder), str(work / f"{name}.toml"))
    downloads = work / f"in-{name}"
    for student in ANSWERS:
        if (name, student) not in HANDED_IN_NOTHING:
            hand_in(folder, downloads, name, student)
    if name == "w1":
        shutil.copy(downloads / "ann" / "w1.ipynb", downloads / "fay" / "w1.ipynb")
        (downloads / "eve" / "w1.ipynb").write_text("{", "utf-8")
    if name == "w2":
        shutil.copy(downloads / "ann" / "w2.ipynb", downloads / "dan" / "w2.ipynb")
    run("collect", str(folder), name, str(downloads))
    run("mark", str(folder), name, "--yes")


def hand_in(folder: Path, downloads: Path, set_name: str, student: str, attempt: int = 1) -> None:
    """Put the student's newest notebook, answered, into a folder of downloads."""
    handed_out = (folder / "release").glob(f"**/{student}/**/{set_name}*.ipynb")
    source = max(handed_out, key=lambda path: path.stat().st_mtime)
    right = right_answers(folder, set_name, student, attempt)
    texts = [ANSWERS[student](number, key) for number, key in enumerate(right, start=1)]
    place = downloads / student / f"{set_name}.ipynb"
    place.parent.mkdir(parents=True, exist_ok=True)
    place.write_text(answered(source, texts), "utf-8")


def right_answers(folder: Path, set_name: str, student: str, attempt: int) -> list[str]:
    """The right answers in the order of the answer cells."""
    with sqlite3.connect(folder / "gradebook.db") as connection:
        rows = connection.execute(
            "select i.record from calclib_item i join calclib_person p on p.pseudonym = i.pseudonym "
            "where i.set_name = ? and p.student_id = ? and i.attempt = ? order by i.slot",
            (set_name, student, attempt),
        ).fetchall()
    return [part["answer"] for (record,) in rows for part in json.loads(record)["parts"]]


def answered(notebook: Path, texts: list[str]) -> str:
    """A notebook with answers typed in."""
    content = json.loads(notebook.read_text("utf-8"))
    for cell in content["cells"]:
        source = "".join(cell["source"])
        if found := re.match(r'answer_(\d+) = ""', source):
            typed = json.dumps(texts[int(found[1]) - 1], ensure_ascii=False)
            cell["source"] = source.replace('""', typed, 1).splitlines(keepends=True)
    return json.dumps(content, indent=1)


def rule(folder: Path, set_name: str, *words: str) -> None:
    """Make a ruling."""
    run("rule", str(folder), set_name, *words, "--by", "Prof. Quince", "--yes")


def rule_on_everything(folder: Path, work: Path) -> None:
    """Make a ruling of each kind, but for those on hand-ins of other accounts."""
    rule(folder, "w1", *"--student dan --problem 2 --points 1".split(), "--reason", "The five is the answer meant.")
    rule(folder, "w1", *"--problem 1 --within 2".split(), "--reason", "Two drip chambers were in use.")
    rule(folder, "w1", *"--problem 2 --student cat --from 10 --to 20".split(), "--reason", "Her own pump.")
    rule(folder, "w1", "--problem", "6", "--accept", "12 tablets", "--reason", "The label was smudged.")
    rule(folder, "w1", *"--problem 5 --credit-all".split(), "--reason", "The order was unclear.")
    rule(folder, "w1", *"--problem 4 --void".split(), "--reason", "It was not taught.")
    rule(folder, "w1", *"--withdraw 6".split(), "--reason", "It was taught after all.")
    rule(folder, "w1", *"--student fay --leave-notebook".split(), "--reason", "It is Ann's.")
    rule(folder, "w2", *"--student dan --take-notebook".split(), "--reason", "They shared one machine.")
    rule(folder, "w2", *"--marking first-practice".split(), "--reason", "The first set is for practice.")
    rule(folder, "w2", *"--rounding hundredths-below-one".split(), "--reason", "We teach hundredths.")
    rule(folder, "w3", *"--rounding tenths --instead".split(), "--reason", "I said so in the room.")
    rule(folder, "w3", "--model", str(newer_model(work)), "--reason", "The key was looked through again.")


def newer_model(work: Path) -> Path:
    """A model of the bank under the next number of its version."""
    (source,) = Path(calclib.__file__).parent.glob("**/bank/pump_rate.toml")
    text = re.sub(r"(?m)^version = (\d+)$", lambda found: f"version = {int(found[1]) + 1}", source.read_text("utf-8"))
    place = work / "pump.toml"
    place.write_text(text, "utf-8")
    return place


def mark_another_attempt(folder: Path, work: Path) -> None:
    """Give two students another attempt at the last set, and mark it."""
    run("again", str(folder), "w4", "--student", "cat", "--student", "dan")
    for student in ("cat", "dan"):
        hand_in(folder, work / "second", "w4", student, 2)
    run("collect", str(folder), "w4", str(work / "second"))
    run("mark", str(folder), "w4", "--yes")


def hand_in_as_others(folder: Path, work: Path) -> None:
    """Hand in through an exchange: one by its own account, and two by accounts of others, on which a person rules."""
    owners = {"ann": "games", "ben": "irc", "cat": "lp"}
    for day, (student, owner) in enumerate(owners.items(), start=1):
        when = f"2026-11-2{day} 08:00:00.000000 UTC"
        place = work / "exchange" / "dosage" / "inbound" / f"{ACCOUNTS[student]}+w3+{when}+x{day}"
        place.mkdir(parents=True)
        shutil.copy(work / "in-w3" / student / "w3.ipynb", place / "w3.ipynb")
        (place / "timestamp.txt").write_text(when, "utf-8")
        (place / "submission_secret.txt").write_text(f"secret {day}", "utf-8")
        for path in (place, *place.iterdir()):
            os.chown(path, pwd.getpwnam(owner).pw_uid, 0)
    run("collect", str(folder), "w3", str(work / "exchange"))
    waiting = re.findall(r"--student (\w+) --take-hand-in (\w+)", run("review", str(folder), "w3"))
    for (student, sign), act in zip(waiting, ("--take-hand-in", "--leave-hand-in"), strict=True):
        rule(folder, "w3", "--student", student, act, sign, "--reason", "She sat at another computer.")
    run("mark", str(folder), "w3", "--yes")


def keep_what_is_printed(folder: Path, printed: Path) -> None:
    """Keep what this version says of the class, in which the folder is called CLASS."""
    printed.mkdir()
    for name in SETS:
        for command in ("history", "review"):
            text = run(command, str(folder), name).replace(str(folder), "CLASS")
            (printed / f"{name}-{command}.txt").write_text(text, "utf-8")
    for student in ANSWERS:
        if student != "eve":
            (printed / f"w1-explain-{student}.txt").write_text(run("explain", str(folder), "w1", student), "utf-8")


if __name__ == "__main__":
    main()

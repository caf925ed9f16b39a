"""What the repository itself promises: two commands to paste, and nothing of the machine it was written on."""

from __future__ import annotations

import re
import shutil
import subprocess
import tomllib
from pathlib import Path

import pytest

from tests.layers.source_files import REPOSITORY

# Folders of one machine: written in two pieces, so that this file does not find itself.
MACHINE_PATHS = re.compile(
    "/" + r"work/|/" + r"root/|/" + r"home/[a-z]+/|/" + r"Users/[A-Za-z]+/|[A-Z]:\\" + r"Users\\\w+"
)


def tracked_files() -> list[Path]:
    """The files under version control; in a copy without git, those that git would not ignore by their folder."""
    if (REPOSITORY / ".git").exists() and shutil.which("git"):
        command = ["git", "-c", f"safe.directory={REPOSITORY}", "-C", str(REPOSITORY), "ls-files", "-z"]
        listed = subprocess.run(command, capture_output=True, check=True).stdout
        names = [name.decode("utf-8") for name in listed.split(b"\0") if name]
    else:
        names = [
            str(path.relative_to(REPOSITORY))
            for path in REPOSITORY.rglob("*")
            if not any(part.startswith((".venv", ".git", "__pycache__")) for part in path.parts)
        ]
    return [path for path in (REPOSITORY / name for name in names) if path.is_file()]


def section(title: str) -> str:
    """The text of one `## title` section of the README."""
    text = (REPOSITORY / "README.md").read_text("utf-8")
    found = re.search(rf"^## {re.escape(title)}\n(.*?)(?=^## |\Z)", text, re.MULTILINE | re.DOTALL)
    assert found is not None, f"README.md has no section {title!r}"
    return found[1]


@pytest.mark.parametrize(("title", "ending"), [("Run it", "calclib demo"), ("Test it", "pytest")])
def test_readme_gives_one_line_to_paste(title: str, ending: str) -> None:
    """'Run it' and 'Test it' hold exactly one fenced block of one line, which makes its own environment."""
    blocks = re.findall(r"^```[^\n]*\n(.*?)^```", section(title), re.MULTILINE | re.DOTALL)
    (line,) = [block.strip() for block in blocks]
    assert "\n" not in line
    assert line.startswith("python3 -m venv .venv && ")
    assert ending in line.split(" && ")[-1]
    assert all(part.startswith((".venv/bin/", "python3 -m venv")) for part in line.split(" && "))


def test_version_is_said_once() -> None:
    """The version that the package tells is the one that pip installs."""
    settings = tomllib.loads((REPOSITORY / "pyproject.toml").read_text("utf-8"))
    code = (REPOSITORY / "calclib" / "__init__.py").read_text("utf-8")
    assert f'__version__ = "{settings["project"]["version"]}"' in code


def test_no_file_names_a_folder_of_one_machine() -> None:
    """No tracked file holds a path that exists only where it was written."""
    found = []
    for path in tracked_files():
        try:
            text = path.read_text("utf-8")
        except UnicodeDecodeError:
            continue
        found += [f"{path.relative_to(REPOSITORY)}: {match[0]}" for match in MACHINE_PATHS.finditer(text)]
    assert found == []


def anchors(path: Path) -> set[str]:
    """What `#...` may name in a Markdown file: its headings, in lower case, joined by hyphens, without other signs."""
    headings = re.findall(r"^#+ (.+)$", path.read_text("utf-8"), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-") for heading in headings}


def test_links_inside_the_documents_lead_somewhere() -> None:
    """Each relative link or picture in a Markdown file names a file that exists, and a heading that is in it."""
    documents = [path for path in tracked_files() if path.suffix == ".md"]
    links = [
        (path, place, heading)
        for path in documents
        for place, heading in re.findall(r"\]\(([^)#\s]*)#?([^)\s]*)\)", path.read_text("utf-8"))
        if "://" not in place and not place.startswith("mailto:")
    ]
    broken = [
        f"{path.relative_to(REPOSITORY)} -> {place}#{heading}"
        for path, place, heading in links
        if not (target := path.parent / place if place else path).exists()
        or (heading and heading not in anchors(target))
    ]
    assert len(links) > 20
    assert broken == []

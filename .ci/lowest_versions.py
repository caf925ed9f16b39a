"""Print the lowest versions that pyproject.toml allows of what it names itself, as constraints for pip."""

from __future__ import annotations

import re
import sys
import tomllib
from pathlib import Path

PROJECT = tomllib.loads(Path("pyproject.toml").read_text(encoding="utf-8"))["project"]
NAMED = [
    *PROJECT["dependencies"],
    *PROJECT["optional-dependencies"]["cluster"],
    *PROJECT["optional-dependencies"]["postgresql"],
]
LOWEST = re.compile(r"([A-Za-z0-9_.-]+)(?:\[[^]]*\])?>=([0-9.]+)")

for requirement in NAMED:
    found = LOWEST.match(requirement)
    if found is None:
        raise SystemExit(f"pyproject.toml gives no lowest version of {requirement!r}: write it as name>=version.")
    sys.stdout.write(f"{found[1]}=={found[2]}\n")

"""What every page of the desk is made with, and what a page is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from calclib.class_files.class_folder import ClassFolder, class_folder
from calclib.desk.addresses import Addresses
from calclib.pages.templating import page

PLAIN_POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:"


@dataclass(frozen=True)
class Shown:
    """A page of the desk.

    Attributes:
        body: The page; "" where another is to be gone to.
        status: Its HTTP status.
        script: The hash of the only script that may run in it, "" if none may.
        go_to: The address of the page that is to be gone to.
    """

    body: bytes = b""
    status: int = 200
    script: str = ""
    go_to: str = ""


@dataclass(frozen=True)
class Visit:
    """One request of a person who is logged in.

    Attributes:
        folder: The class folder.
        addresses: Where the pages lie.
        token: What a form must bring back, so that no other site can send it.
        message: What is said first on the page.
        refused: Whether the message says that something was not done.
    """

    folder: Path
    addresses: Addresses
    token: str
    message: str = ""
    refused: bool = False

    @property
    def where(self) -> ClassFolder:
        """The class folder; it is looked at again for every page."""
        return class_folder(self.folder)

    def saying(self, message: str, *, refused: bool = False) -> Visit:
        """Return the same visit with something to say on its page."""
        return replace(self, message=message, refused=refused)

    def show(self, template: str, values: Mapping[str, Any], *, status: int = 200) -> Shown:
        """Return a page of the desk."""
        every = {"at": self.addresses, "token": self.token, "message": self.message, "refused": self.refused}
        script = str(values.get("script_hash", ""))
        return Shown(page(template, {**every, "set_name": "", **values}, room="calclib.desk"), status, script)

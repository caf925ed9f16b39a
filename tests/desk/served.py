"""A class whose first set is marked, a Jupyter server with its desk, and a person's browser without a screen."""

from __future__ import annotations

import html
import re
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.cookiejar import CookieJar
from pathlib import Path
from urllib.error import HTTPError
from urllib.parse import urlencode
from urllib.request import HTTPCookieProcessor, Request, build_opener

import pytest

from calclib.judging_papers import mark
from tests.browser.lab import free_port, own_settings
from tests.small_class.started import NOW

UNREAD = "about 20 or 30"
HOSTILE = "<script>alert(1)</script>"


@pytest.fixture
def marked_class(folder: Path, hand_in: Callable[..., Path], keys: Mapping[str, Mapping[str, str]]) -> Path:
    """Ann has all right; Ben typed something that waits for a person, a tenfold error, and markup."""
    hand_in("ann", keys["ann"])
    hand_in("ben", {**keys["ben"], "answer_2": UNREAD, "answer_3": HOSTILE})
    mark(folder, "week-3", now=NOW)
    return folder


@dataclass
class Answer:
    """What came back: status, headers, page."""

    status: int
    headers: Mapping[str, str]
    text: str

    @property
    def words(self) -> str:
        """The page as a person reads it."""
        bare = re.sub(r"<style>.*?</style>|<script>.*?</script>", "", self.text, flags=re.DOTALL)
        return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", bare)).split())

    def fields(self, form: int = 0) -> dict[str, str]:
        """The hidden fields of a form of the page."""
        found = re.findall(r"<form.*?</form>", self.text, re.DOTALL)[form]
        return {
            name: html.unescape(value)
            for name, value in re.findall(r'<input type="hidden" name="([^"]*)" value="([^"]*)"', found)
        }


@dataclass
class Window:
    """One browser that is logged in, or not."""

    address: str
    cookies: CookieJar = field(default_factory=CookieJar)

    def get(self, place: str = "", *, headers: Mapping[str, str] | None = None) -> Answer:
        """Open a page; `place` is below the desk unless it begins with "/"."""
        return self._send(place, None, headers or {})

    def post(self, place: str, fields: Mapping[str, str], *, headers: Mapping[str, str] | None = None) -> Answer:
        """Send a form."""
        return self._send(place, urlencode(fields).encode(), headers or {})

    def _send(self, place: str, data: bytes | None, headers: Mapping[str, str]) -> Answer:
        root = self.address.split("/calclib/desk")[0]
        address = f"{root}{place}" if place.startswith("/") else f"{self.address}/{place}".rstrip("/")
        opener = build_opener(HTTPCookieProcessor(self.cookies))
        try:
            with opener.open(Request(address, data, dict(headers)), timeout=60) as got:  # noqa: S310 - our own server
                return Answer(got.status, dict(got.headers), got.read().decode())
        except HTTPError as refused:
            return Answer(refused.code, dict(refused.headers), refused.read().decode())


@contextmanager
def running_desk(folder: Path, home: Path) -> Iterator[str]:
    """Run `calclib desk` on a class; yields the address that it prints, with its token."""
    port = free_port()
    program = "from calclib.cli import main; main()"
    command = [sys.executable, "-c", program, "desk", str(folder), "--no-browser", "--port", str(port)]
    with (home / "desk.log").open("w") as log:
        server = subprocess.Popen(
            command, env=own_settings(home, "light"), stdout=subprocess.PIPE, stderr=log, text=True
        )
        try:
            assert server.stdout is not None
            first = server.stdout.readline()
            found = re.search(r"http://\S+", first)
            assert found, (first, (home / "desk.log").read_text())
            yield found[0]
        finally:
            server.send_signal(signal.SIGTERM)
            try:
                server.communicate(timeout=20)
            except subprocess.TimeoutExpired:
                server.kill()
                server.communicate()


@dataclass(frozen=True)
class Desk:
    """A class at its desk.

    Attributes:
        folder: The class folder that is served.
        address: The address that `calclib desk` printed, with its token.
    """

    folder: Path
    address: str

    def window(self) -> Window:
        """A browser in which the person opened the printed address."""
        window = Window(self.address.split("?")[0])
        opened = window.get(self.address.removeprefix(window.address.split("/calclib")[0]))
        assert opened.status == 200, opened.words
        return window


@pytest.fixture(scope="session")
def served(made_class: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """One server for all tests; each puts its class where the server looks."""
    place = tmp_path_factory.mktemp("desk")
    shutil.copytree(made_class, place / "class")
    with running_desk(place / "class", place) as address:
        yield Desk(place / "class", address)


@pytest.fixture
def desk(served: Desk, marked_class: Path) -> Desk:
    """The class at its desk."""
    shutil.rmtree(served.folder)
    shutil.copytree(marked_class, served.folder)
    return served

"""Requests to the desk: who may make them, what they may hold, and the page that answers each."""

from __future__ import annotations

import asyncio
import datetime as dt
from collections.abc import Callable, Mapping
from concurrent.futures import Executor
from http import HTTPStatus
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from jupyter_server.auth.decorator import authorized
from jupyter_server.base.handlers import JupyterHandler
from tornado import web

from calclib.desk import action_pages, again_pages, class_pages, ruling_pages, standing_pages, student_pages
from calclib.desk.addresses import PLACE, Addresses
from calclib.desk.forms import OF_RULING
from calclib.desk.visit import PLAIN_POLICY, Shown, Visit
from calclib.errors import CalclibError
from calclib.wording import said

_FIELDS = (*OF_RULING, "state", "seen", "reason", "by", "until", "no_weekends", "only", "due", "note", "agreed")
_LONGEST_FIELD = 4_000
_NAME = "([^/]+)"
_NUMBER = "([0-9]{1,3})"

Work = Callable[[Visit], Shown]


class DeskHandler(JupyterHandler):
    """What every request must have: a login, the account of the server, and for a form our own page as its origin."""

    auth_resource = "calclib"

    def initialize(self, folder: Path, owner: str, worker: Executor) -> None:
        """Keep the class folder, the only account, and the worker that makes pages."""
        self.folder, self.owner, self.worker = folder, owner, worker

    @property
    def content_security_policy(self) -> str:
        """Nothing from elsewhere, no script, no frame; a page names its own script by its hash."""
        return _policy("")

    def set_default_headers(self) -> None:
        """Add what keeps a class's pages out of caches and their addresses out of other sites."""
        super().set_default_headers()
        self.set_header("Cache-Control", "no-store")
        self.set_header("Referrer-Policy", "same-origin")
        self.set_header("X-Content-Type-Options", "nosniff")

    async def prepare(self) -> None:  # type: ignore[override]
        """Refuse whoever may not be here, and keep the token out of addresses that stay in a browser's history."""
        await super().prepare()
        if self._finished:
            return
        if not self.identity_provider.auth_enabled:
            raise web.HTTPError(403, said("desk.no_login"))
        # Whoever has no login here is sent to it by the handler: a hub then refuses an account that is not the owner's.
        if self.owner and self.current_user is not None and self.current_user.username != self.owner:
            raise web.HTTPError(403, said("desk.other_account"))
        if self._posted_elsewhere():
            raise web.HTTPError(403, said("desk.foreign"))
        if self.request.method == "GET" and "token" in self.request.query_arguments:
            kept = [
                (key, value) for key in self.request.query_arguments if key != "token" for value in [self._one(key)]
            ]
            self.redirect(self.request.path + (f"?{urlencode(kept)}" if kept else ""))

    def write_error(self, status_code: int, **kwargs: Any) -> None:
        """Answer with a page that says in a sentence what is wrong."""
        error = (kwargs.get("exc_info") or (None, None, None))[1]
        if isinstance(error, CalclibError):
            status_code, message = HTTPStatus.NOT_FOUND, str(error)
            self.set_status(status_code)
        elif isinstance(error, web.HTTPError) and (status_code == HTTPStatus.FORBIDDEN or self._posted_elsewhere()):
            # Jupyter says of a form from another origin that there is no such page.
            status_code = HTTPStatus.FORBIDDEN
            self.set_status(status_code)
            message = error.log_message if error.log_message in _refusals() else said("desk.foreign")
        else:
            known = status_code == HTTPStatus.NOT_FOUND
            message = said("desk.no_page") if known else said("desk.failed")
        visit = Visit(self.folder, Addresses(self.base_url), "", message, refused=True)
        self.finish(visit.show("error.html", {}, status=status_code).body)

    def _posted_elsewhere(self) -> bool:
        return self.request.method == "POST" and not (self._own_origin() and self.check_origin())

    def _own_origin(self) -> bool:
        """Whether a form comes from a page of this server: a browser says so, and what says nothing is no browser."""
        return self.request.headers.get("Sec-Fetch-Site", "same-origin") in ("same-origin", "none")

    def _one(self, name: str) -> str:
        return self.get_query_argument(name, "") or ""

    def _form(self) -> Mapping[str, str]:
        fields = {name: self.get_body_argument(name, "", strip=False) or "" for name in _FIELDS}
        if any(len(text) > _LONGEST_FIELD for text in fields.values()):
            raise web.HTTPError(400)
        return {name: text for name, text in fields.items() if text}

    async def answer(self, work: Work) -> None:
        """Make a page beside the server's own work, and send it."""
        visit = Visit(self.folder, Addresses(self.base_url), self.xsrf_token.decode())
        shown = await asyncio.get_running_loop().run_in_executor(self.worker, work, visit)
        if shown.go_to:
            self.redirect(shown.go_to, status=HTTPStatus.SEE_OTHER)
            return
        self.set_status(shown.status)
        self.set_header("Content-Type", "text/html; charset=utf-8")
        self.set_header("Content-Security-Policy", _policy(shown.script))
        self.finish(shown.body)


def _page(make: Callable[..., Shown], *queries: str) -> type[DeskHandler]:
    """A handler that shows a page, made of the names in its address and some of its query."""

    class Page(DeskHandler):
        @web.authenticated
        @authorized
        async def get(self, *names: str) -> None:
            asked = [self._one(query) for query in queries]
            await self.answer(lambda visit: make(visit, *names, *asked))

    return Page


def _form(make: Callable[..., Shown]) -> type[DeskHandler]:
    """A handler that does what a form asks for, about what the names in its address are of."""

    class Form(DeskHandler):
        @web.authenticated
        @authorized
        async def post(self, *names: str) -> None:
            fields = self._form()
            await self.answer(lambda visit: make(visit, *names, fields))

    return Form


def _set(visit: Visit, name: str, ruling: str) -> Shown:
    return class_pages.set_page(visit.saying(ruling_pages.recorded_message(visit, name, ruling)), name)


def _answer(visit: Visit, name: str, student: str, slot: str, part: str, attempt: str) -> Shown:
    return ruling_pages.answer_page(visit, name, student, int(slot), part, attempt)


def _problem(visit: Visit, name: str, slot: str) -> Shown:
    return ruling_pages.problem_page(visit, name, int(slot))


def _feedback(visit: Visit, name: str, student: str) -> Shown:
    return student_pages.written_page(visit, name, student, "feedback")


def _plan(visit: Visit, name: str, student: str, attempt: str) -> Shown:
    return student_pages.written_page(visit, name, student, "plan", attempt)


def _record(visit: Visit, name: str, fields: Mapping[str, str]) -> Shown:
    return ruling_pages.record_ruling(visit, name, fields, now=dt.datetime.now(dt.UTC))


def _remedy(visit: Visit, name: str, fields: Mapping[str, str]) -> Shown:
    return action_pages.start_remediation(visit, name, fields, now=dt.datetime.now(dt.UTC))


def _book(visit: Visit, name: str, fields: Mapping[str, str]) -> Shown:
    return again_pages.book_attempt(visit, name, fields, now=dt.datetime.now(dt.UTC))


def _talk(visit: Visit, name: str, student: str, fields: Mapping[str, str]) -> Shown:
    return again_pages.record_talk_page(visit, name, student, fields, now=dt.datetime.now(dt.UTC))


def _standing(visit: Visit) -> Shown:
    return standing_pages.standing_page(visit, now=dt.datetime.now(dt.UTC))


def _sign(visit: Visit, fields: Mapping[str, str]) -> Shown:
    return standing_pages.sign_page(visit, fields, now=dt.datetime.now(dt.UTC))


class _Again(_page(again_pages.again_page), _form(_book)):  # type: ignore[misc]
    """The further attempts of a set: who may have one, and one given."""


class _Standing(_page(_standing), _form(_sign)):  # type: ignore[misc]
    """Where the students stand: shown, and signed."""


class _Remediation(_page(action_pages.remediation_page), _form(_remedy)):  # type: ignore[misc]
    """The plans of a set: shown, and written."""


def pages_of(folder: Path, owner: str, worker: Executor) -> list[tuple[str, type[DeskHandler], dict[str, Any]]]:
    """Return the addresses of the desk, each with what answers there.

    Args:
        folder: The class folder.
        owner: The only account that may come, "" for anybody who is logged in.
        worker: Makes the pages and records the rulings.
    """
    with_what = {"folder": folder, "owner": owner, "worker": worker}
    of_set = f"/sets/{_NAME}"
    student = f"{of_set}/students/{_NAME}"
    handlers = {
        "": _page(class_pages.sets_page),
        "/standing": _Standing,
        of_set: _page(_set, "ruling"),
        f"{of_set}/again": _Again,
        f"{of_set}/parallel": _page(again_pages.parallel),
        f"{of_set}/report": _page(class_pages.report),
        f"{of_set}/whole": _page(ruling_pages.whole_page),
        f"{of_set}/remediation": _Remediation,
        f"{of_set}/problems/{_NUMBER}": _page(_problem),
        f"{of_set}/preview": _form(ruling_pages.preview_page),
        f"{of_set}/rule": _form(_record),
        f"{of_set}/pages": _form(action_pages.write_pages),
        student: _page(student_pages.student_page),
        f"{student}/explanation": _page(student_pages.explanation_page, "problem"),
        f"{student}/feedback": _page(_feedback),
        f"{student}/plan": _page(_plan, "attempt"),
        f"{student}/notebook": _page(ruling_pages.notebook_page, "attempt"),
        f"{student}/talks": _form(_talk),
        f"{student}/time": _page(ruling_pages.time_page),
        f"{student}/hand-ins/{_NAME}": _page(ruling_pages.hand_in_page),
        f"{student}/answers/{_NUMBER}/{_NAME}": _page(_answer, "attempt"),
    }
    return [(f"/{PLACE}{place}", handler, with_what) for place, handler in handlers.items()]


def _policy(script: str) -> str:
    ours = f"; script-src '{script}'" if script else ""
    return f"{PLAIN_POLICY}{ours}; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"


def _refusals() -> tuple[str, ...]:
    return said("desk.no_login"), said("desk.other_account"), said("desk.foreign")

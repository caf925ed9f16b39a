"""A set's cells in a real kernel that is told the ids of cells, as JupyterLab tells them."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from jupyter_client.manager import start_new_kernel

CHECK = 'from calclib.reading import show_answer\n\nshow_answer("answer_{n}", asked="quantity", unit="mL/h")'
Run = Callable[[str, str], str]


@pytest.fixture(scope="module")
def run() -> Iterator[Run]:
    """Runs a cell under its id, and returns what it printed; an error is told with its name."""
    manager, client = start_new_kernel()

    def ran(source: str, cell_id: str) -> str:
        asked = {"code": source, "silent": False, "store_history": True, "stop_on_error": True, "allow_stdin": False}
        sent = client.session.msg("execute_request", {**asked, "user_expressions": {}}, metadata={"cellId": cell_id})
        client.shell_channel.send(sent)
        printed = ""
        while True:
            told = client.get_iopub_msg(timeout=60)
            if told["parent_header"].get("msg_id") != sent["header"]["msg_id"]:
                continue
            content = told["content"]
            printed += content.get("text", "") if told["msg_type"] == "stream" else content.get("ename", "")
            if content.get("execution_state") == "idle":
                return printed.strip()

    assert ran("from calclib.reading import start_set\n\nstart_set()", "set-start").startswith("Ready.")
    yield ran
    client.stop_channels()
    manager.shutdown_kernel(now=True)


@pytest.mark.parametrize(
    ("typed", "first", "check"),
    [
        ('answer_1 = "25 mL/h"', "", "Read as 25 mL/h"),
        ("answer_1 = 25 mL/h", "Read as text: 25 mL/h.", "Read as 25 mL/h"),
        ('Answer_1 = "26 mL/h"', "", "Read as 26 mL/h"),
        ('"27 mL/h"', "", "Read as 27 mL/h"),
        ("28 mL/h", "Read as text: 28 mL/h.", "Read as 28 mL/h"),
        ("answer_1 = 29 mL?", "Read as text: 29 mL?.", "Read as 29 mL"),
        ("answer_1 = 1/0", "Read as text: 1/0.", "Not read: "),
        ("answer_1 = undefined_name", "Read as text: undefined_name.", "Not read: "),
        ("answer_1 = open('x').read()", "Not read: ", "Not read: "),
        ('answer_1 = ""', "", "No answer yet."),
    ],
)
def test_what_is_typed_last_is_read_and_nothing_fails(run: Run, typed: str, first: str, check: str) -> None:
    """In the answer's own cell, whatever was there before, and though other cells were run since."""
    run('answer_1 = "12 mL/h"', "set-q1-rate-answer")
    told = run(typed, "set-q1-rate-answer")
    assert told.startswith(first)
    assert bool(told) == bool(first)
    run('answer_1 = "99 mL/h"\nprint(1000 / 8)', "a-cell-of-my-own")
    shown = run(CHECK.format(n=1), "set-q1-rate-check")
    assert shown.startswith(check)
    assert "Read as 12" not in shown


def test_cells_of_ones_own_run_as_python(run: Run) -> None:
    """They print, and they fail as they would anywhere."""
    assert run("volume = 1000\nprint(volume / 8)", "a-cell-of-my-own") == "125.0"
    assert run("volume /", "a-cell-of-my-own") == "SyntaxError"

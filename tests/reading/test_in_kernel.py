"""A set's cells in a real kernel that is told the ids of cells, as JupyterLab tells them."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest
from jupyter_client.manager import start_new_kernel

from calclib.reading import kernel_start

CHECK = 'from calclib.reading import show_answer\n\nshow_answer("answer_{n}", asked="quantity", unit="mL/h")'
Run = Callable[[str, str], str]


@contextmanager
def kernel(**more: str) -> Iterator[Run]:
    """Runs a cell under its id, and returns what it printed; an error is told with its name."""
    manager, client = start_new_kernel(env={**os.environ, **more})

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

    yield ran
    client.stop_channels()
    manager.shutdown_kernel(now=True)


@pytest.fixture(scope="module")
def run() -> Iterator[Run]:
    """A kernel in which the first cell of a set was run."""
    with kernel() as running:
        assert running("from calclib.reading import start_set\n\nstart_set()", "set-start").startswith("Ready.")
        yield running


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


def test_before_a_set_was_started_an_answer_is_text_too() -> None:
    """In a kernel that runs our file as it starts: no error in red, and a cell of one's own stays Python."""
    with kernel(PYTHONSTARTUP=kernel_start.__file__) as running:
        assert running("answer_1 = 5\nprint(answer_1 * 2)", "a-cell-of-my-own") == "10"
        assert running("28 mL/h", "set-q1-rate-answer").startswith("Read as text: 28 mL/h.")
        assert running(CHECK.format(n=1), "set-q1-rate-check") == "Read as 28 mL/h"
        assert running("answer_2 = 29 mL/h", "set-q2-rate-answer").startswith("Read as text: 29 mL/h.")


def test_a_check_in_a_set_that_was_not_started_says_what_red_text_means() -> None:
    """Once: from then on an answer without quotes is no error, and what was typed is read all the same."""
    with kernel() as running:
        assert running("answer_1 = 28 mL/h", "set-q1-rate-answer") == "SyntaxError"
        first = running(CHECK.format(n=1), "set-q1-rate-check")
        assert first.startswith("Read as 28 mL/h\nIf red text appears under your answer")
        assert running("answer_1 = 28 mL/h", "set-q1-rate-answer").startswith("Read as text: 28 mL/h.")
        assert running(CHECK.format(n=1), "set-q1-rate-check") == "Read as 28 mL/h"

"""What a kernel may run as it starts: the cells of answers are then text, also before the set was started.

Named by the variable PYTHONSTARTUP of whoever starts kernels. Only cells with the id of an answer are looked at, and
nothing is imported before the first of them.
"""

from __future__ import annotations

from typing import Any


def wait_for_answers(shell: Any) -> None:
    """Let the first cell of an answer that runs in a kernel start its set.

    Args:
        shell: The kernel's shell.
    """

    def first(lines: list[str]) -> list[str]:
        parent = shell.get_parent() if hasattr(shell, "get_parent") else {}
        if not str(parent.get("metadata", {}).get("cellId", "")).endswith("-answer"):
            return lines
        shell.input_transformers_cleanup.remove(first)
        try:
            from calclib.reading.start import answer_lines, answers_as_text
        except ModuleNotFoundError:
            return lines
        # Where the set was started meanwhile, these lines are text already.
        return answer_lines(lines) if answers_as_text() else lines

    shell.input_transformers_cleanup.insert(0, first)


if __name__ == "__main__" and "get_ipython" in globals():
    wait_for_answers(get_ipython())  # type: ignore[name-defined]  # noqa: F821 - the kernel's own

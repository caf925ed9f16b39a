"""nbgrader's gradebook and notebooks: the only folder that knows its schema and internals."""

from calclib.gradebook.results import PartResult, SetResults, StudentResult, attempt_in_words, set_results

__all__ = [
    "PartResult",
    "SetResults",
    "StudentResult",
    "attempt_in_words",
    "set_results",
]

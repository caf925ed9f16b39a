from calclib.analysis import FaultCount, NamingQuality, fault_counts, naming_quality
from calclib.analysis.faults import StepFault, fault_named, step_faults
from calclib.analysis.problems import Mistake


def cause(fault: str, certain: bool) -> dict[str, object]:
    """A cause as verdicts have it."""
    return {"fault": fault, "certain": certain}


def test_each_answer_counts_once_for_a_fault() -> None:
    """Certain causes come first, and an answer with several possible ones counts for each of them once."""
    counts = fault_counts(
        [
            [cause("inverted", True)],
            [cause("inverted", False), cause("inverted", False), cause("unit slip", False)],
            [],
            [cause("a", True)],
            [cause("a", True)],
        ]
    )
    assert counts == (FaultCount("a", 2, 0), FaultCount("inverted", 1, 1), FaultCount("unit slip", 0, 1))


def test_a_mistake_that_is_no_fault_of_a_chain_has_a_name_too() -> None:
    """What the judge says beside the kinds of faults is named in lists as it was recorded."""
    every = ("wrong day", "two mistakes", "set-up", "hour miscounted", "slip of the finger", "rounded too far")
    assert tuple(fault_named(one) for one in every) == every


def test_precision_is_of_the_named_and_recall_of_the_planted() -> None:
    """A named mistake where none was planted costs precision, an unnamed one recall."""
    planted = {1: "inverted", 2: "inverted", 3: "slip"}
    named = {1: ["inverted"], 2: [], 3: ["other"], 4: ["slip"]}
    quality = naming_quality(planted, named)
    assert quality == NamingQuality(planted=3, named=3, right=1)
    assert (quality.precision, quality.recall) == (1 / 3, 1 / 3)


def test_nothing_planted_or_named_has_no_share() -> None:
    """No division by nothing."""
    quality = naming_quality({}, {})
    assert (quality.precision, quality.recall) == (None, None)


def test_mistakes_are_counted_by_the_step_in_which_they_are_made() -> None:
    """By problem, the commonest first; the same mistake in another step is another line."""
    first, often = ({"kind": "recorded.text", "text": text} for text in ("minutes taken for hours", "hours left out"))
    made = [
        *(Mistake(2, "rate", "left out", "time", "", certain=True, what=often) for _ in range(2)),
        Mistake(2, "rate", "left out", "time", "", certain=False, what=first),
        Mistake(2, "rate", "left out", "rate", "", certain=False, what=first),
        Mistake(1, "dose", "inverted", "dose", "", certain=True, what=first),
    ]
    assert step_faults(made) == (
        StepFault(1, "dose", "inverted", 1, 0, first),
        StepFault(2, "time", "left out", 2, 1, often),
        StepFault(2, "rate", "left out", 0, 1, first),
    )

"""The judge: verdicts, diagnosis, messages, hints and explanations."""

from calclib.answers.judging import judge_item
from calclib.answers.marking_policy import MarkingPolicy, marking_policies, marking_policy, read_marking_policy
from calclib.answers.teaching import hint, worked
from calclib.answers.verdict import VERDICTS, Cause, PartVerdict

__all__ = [
    "VERDICTS",
    "Cause",
    "MarkingPolicy",
    "PartVerdict",
    "hint",
    "judge_item",
    "marking_policies",
    "marking_policy",
    "read_marking_policy",
    "worked",
]

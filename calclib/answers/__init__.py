"""The judge: verdicts, diagnosis, messages, hints and explanations."""

from calclib.answers.carrying import carried_from
from calclib.answers.feedback.explaining import explained
from calclib.answers.feedback.teaching import hint, worked
from calclib.answers.judging import judge_item
from calclib.answers.marking_policy import MarkingPolicy, marking_policies, marking_policy, read_marking_policy
from calclib.answers.runs import can_run, recorded_run, run_facts, run_of, run_words, time_in_words
from calclib.answers.setups.findings import Finding
from calclib.answers.setups.judging import SetupVerdict, judge_setup
from calclib.answers.verdict import VERDICTS, Cause, PartVerdict

__all__ = [
    "VERDICTS",
    "Cause",
    "Finding",
    "MarkingPolicy",
    "PartVerdict",
    "SetupVerdict",
    "can_run",
    "carried_from",
    "explained",
    "hint",
    "judge_item",
    "judge_setup",
    "marking_policies",
    "marking_policy",
    "read_marking_policy",
    "recorded_run",
    "run_facts",
    "run_of",
    "run_words",
    "time_in_words",
    "worked",
]

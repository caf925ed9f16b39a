"""`calclib policies`."""

from __future__ import annotations

from pathlib import Path

import click

from calclib.answers.marking_policy import marking_policies
from calclib.cli.contract import CONTRACT, json_line
from calclib.cli.say import say
from calclib.quantity.policies import rounding_policies
from calclib.sources.catalogue import source
from calclib.wording.sentences import said, sentence


@click.command()
@click.option(
    "--check", "file", metavar="FILE", type=click.Path(path_type=Path), help="Check a marking policy of your own."
)
@click.option("--json", "as_json", is_flag=True, help="One JSON object a line, for programs.")
def policies(as_json: bool, file: Path | None) -> None:
    """List the rounding policies and the marking policies, each with its source.

    A marking policy may also be a file of your own, which the blueprint names, marking = "marking.toml". It starts from
    one that ships and says what is different; calclib example writes one to copy from.

    \b
      name = "our-exam"             lowercase letters, digits, -
      title = "Our exam"
      says = "Partial points for rounding; nothing fails the exam by itself."
      like = "strict-exam"          holds where this file says nothing
      source = "course_policy"      key of a source; this one if left out
      [worth]                       shares of an answer's points, 0 to 1
      unit_missing = 0.5
      rounded_wrongly = 0.5
      [notices]                     what notation costs
      joint_commission = 0.25       on the Joint Commission's list
      other = 0                     other unsafe notation
      another_path = 0              right only by another way
      [critical]
      factor = 10                   so many times too large or small
      fails = "part"                "nothing", "part" or "exam"
    """
    if file is not None:
        _check(file)
        return
    if as_json:
        for policy in rounding_policies().values():
            say(json_line({"contract": CONTRACT, "kind": "rounding", **policy.to_record()}))
        for marking in marking_policies().values():
            worth = {verdict: str(share) for verdict, share in marking.worth.items()}
            say(
                json_line(
                    {
                        "contract": CONTRACT,
                        "kind": "marking",
                        "name": marking.name,
                        "says": marking.says,
                        "worth": worth,
                        "title": marking.title,
                        "source": marking.source,
                        "notices": {
                            "joint_commission": str(marking.joint_commission_costs),
                            "other": str(marking.other_notice_costs),
                            "another_path": str(marking.another_path_costs),
                        },
                        "critical": {"factor": str(marking.critical_factor), "fails": marking.critical_fails},
                    }
                )
            )
        return
    say(said("policies.rounding"))
    for policy in rounding_policies().values():
        cited = said("policies.cited", source=source(policy.source).cite())
        say(f"  {policy.name:24} {' '.join(policy.says.split())}\n{'':27}{cited}")
    say(f"\n{said('policies.marking')}")
    for marking in marking_policies().values():
        say(f"  {marking.name:24} {marking.says}")


def _check(file: Path) -> None:
    """Print the rules of a policy of faculty's own as students read them."""
    from calclib.answers.feedback.marking_words import marking_lines
    from calclib.class_files.marking_file import own_marking_policy

    policy = own_marking_policy(file)
    say(f"{policy.name}: {policy.title}. {policy.says}")
    for line in marking_lines(policy):
        say(f"  {sentence(line)}")

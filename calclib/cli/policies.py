"""`calclib policies`."""

from __future__ import annotations

import click

from calclib.answers.marking_policy import marking_policies
from calclib.cli.contract import CONTRACT, json_line
from calclib.quantity.policies import rounding_policies
from calclib.sources.catalogue import source


@click.command()
@click.option("--json", "as_json", is_flag=True, help="One JSON object a line, for programs.")
def policies(as_json: bool) -> None:
    """List the rounding policies and the marking policies, each with its source."""
    if as_json:
        for policy in rounding_policies().values():
            click.echo(json_line({"contract": CONTRACT, "kind": "rounding", **policy.to_record()}))
        for marking in marking_policies().values():
            worth = {verdict: str(share) for verdict, share in marking.worth.items()}
            click.echo(
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
    click.echo("Rounding policies")
    for policy in rounding_policies().values():
        click.echo(f"  {policy.name:24} {' '.join(policy.says.split())}\n{'':27}Source: {source(policy.source).cite()}")
    click.echo("\nMarking policies")
    for marking in marking_policies().values():
        click.echo(f"  {marking.name:24} {marking.says}")

"""``probebook coverage``: the competences of the trade against the bank of questions."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import click

from probebook.cli.common import echo_json, json_option, library_options, progress

if TYPE_CHECKING:
    from probebook.api import Library


@click.command("coverage")
@click.option("--goal", is_flag=True, help="Exit 1 when a competence or an outcome falls short of the goal.")
@library_options
@json_option
def command(goal: bool, library: Library, as_json: bool) -> None:
    """Count the questions that can be FAILED for lack of each competence.

    The goal is three such questions for every competence that a screen can judge, wholly or in part, and two kinds of
    question for every outcome.
    """
    from probebook.api import count_coverage, load_plans, reports
    from probebook.api.workbooks import kept_builds

    plans = load_plans(library)
    with progress("compiling", len(plans)) as step:
        found = count_coverage(plans, library, done=step, kept=kept_builds())
    if as_json:
        echo_json(found.to_json(library.words))
    else:
        click.echo("\n".join(reports.coverage_lines(found, len(plans), library)))
    if goal and found.short_of_goal(library.words):
        sys.exit(1)

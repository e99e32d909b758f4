"""``probebook new``: a commented start of one's own folder, appliance, fault, slip or workbook."""

from __future__ import annotations

from pathlib import Path

import click

from probebook.cli.common import scenarios_option


@click.command("new")
@click.argument("kind", metavar="folder|appliance|fault|slip|workbook")
@click.argument("name")
@click.option(
    "--appliance",
    default="",
    metavar="ID",
    help="What a fault or a workbook is about (default: the only appliance of your folder).",
)
@scenarios_option
def command(kind: str, name: str, appliance: str, scenarios: Path | None) -> None:
    """Write a start called NAME, full of comments, to be changed into your own.

    A folder of your own lies over the trade that came with Probebook: it holds what you add or change, and nothing is
    copied. Go into it; the other starts are written there. Each passes 'probebook check' and builds as it is.
    """
    from probebook.api import load_library, reports, starting
    from probebook.errors import UsageError, choose_one

    if kind not in starting.KINDS:
        raise UsageError(f"there is no start of a '{kind}'", remedy=choose_one(kind, starting.KINDS))
    library = load_library(scenarios)
    for path in starting.start(kind, name, library, appliance=appliance):
        click.echo(reports.wrote_line(path, library.words))
    click.echo(reports.started_line(kind, name, library.words))

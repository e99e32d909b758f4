"""``probebook report``: what the marks of a class say."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from probebook.cli.common import library_options, progress

if TYPE_CHECKING:
    from probebook.api import Library


@click.command("report")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False), metavar="DIR")
@click.option(
    "--history",
    type=click.Path(path_type=Path, dir_okay=False),
    default=None,
    metavar="FILE",
    help="File that keeps sittings (no names): says which places became harder or easier.",
)
@click.option("--sat-on", default="", metavar="DATE", help="Day of the sitting (default: that of the first hand-in).")
@library_options
def command(folder: Path, history: Path | None, sat_on: str, library: Library) -> None:
    """Write the report of the marks in DIR (``marks.json``) beside them.

    Written are a page (report.html), the figures (report.json) and a table of the items (report-items.csv): safety
    mistakes, what to teach tomorrow, items, reliability, the pass mark, difficulty, outcomes, slips, options and
    learners. With --history the sitting is kept in FILE and held against earlier ones of its blueprint.
    """
    from probebook.api.reporting import report_class

    with progress("reckoning"):
        lines = report_class(folder, library, history, sat_on)
    click.echo("\n".join(lines))

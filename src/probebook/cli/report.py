"""``probebook report``: what the marks of a class say."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from probebook.cli.common import library_options

if TYPE_CHECKING:
    from probebook.api import Library


@click.command("report")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False), metavar="DIR")
@library_options
def command(folder: Path, library: Library) -> None:
    """Write the report of the marks in DIR (``marks.json``) beside them.

    Written are a page (report.html), the figures (report.json) and a table of the items (report-items.csv): safety
    mistakes, what to teach tomorrow, items, reliability, the pass mark, difficulty, outcomes, slips and learners.
    """
    from probebook.api.reporting import report_class

    for line in report_class(folder, library):
        click.echo(line)

"""``probebook preview``: an appliance on one page, for its author and for print."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from probebook.cli.common import library_options, progress

if TYPE_CHECKING:
    from probebook.api import Library


@click.command("preview")
@click.argument("appliance")
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    default=None,
    metavar="FILE",
    help="File to write (default: APPLIANCE.html here).",
)
@library_options
def command(appliance: str, out: Path | None, library: Library) -> None:
    """Write one page that shows APPLIANCE: an id, or an appliance file that is being written.

    The page is a single file for screen and print: rating plate, schematic in each position, harness, parts, what the
    meters show on a healthy one, faults, and what checking the file found.
    """
    from probebook.api import load_appliance, preview_page, reports, write_atomic

    path = Path(appliance)
    item = load_appliance(appliance, library)
    with progress("drawing"):
        text = preview_page(item, library, path if path.suffix == ".toml" else None)
    target = out or Path(f"{item.id}.html")
    write_atomic(target, text)
    click.echo(reports.wrote_line(target, library.words))

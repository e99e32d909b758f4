"""``probebook preview``: an appliance on one page, for its author and for print."""

from __future__ import annotations

from pathlib import Path

import click

from probebook.cli.common import open_library, scenarios_option


@click.command("preview")
@click.argument("appliance")
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    default=None,
    metavar="FILE",
    help="File to write (default: APPLIANCE.html here).",
)
@scenarios_option
def command(appliance: str, out: Path | None, scenarios: Path | None) -> None:
    """Write one page that shows APPLIANCE: an id, or an appliance file that is being written.

    The page is a single file for screen and print: rating plate, schematic in each position, harness, parts, what the
    meters show on a healthy one, faults, and what checking the file found.
    """
    from probebook.appliances import load_appliance
    from probebook.appliances.checking import check_appliance
    from probebook.files import write_atomic
    from probebook.workbook.previewing import preview

    library = open_library(scenarios)
    path = Path(appliance)
    if path.suffix == ".toml":
        item = load_appliance(path)
    else:
        item = library.appliance(appliance)
        path = library.folder / "appliances" / f"{appliance}.toml"
    text = preview(item, library, check_appliance(path))
    target = out or Path(f"{item.id}.html")
    write_atomic(target, text)
    click.echo(f"wrote {target}")

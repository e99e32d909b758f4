"""``probebook moderate``: every item of a set with its key and proof, for a second tutor to sign."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from probebook.cli.common import progress, scenarios_option
from probebook.cli.secrets_asked import key_options

if TYPE_CHECKING:
    from probebook.api.moderating import PaperSet


@click.command("moderate")
@click.argument("marks", type=click.Path(path_type=Path, file_okay=False), metavar="[DIR]", required=False)
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    required=True,
    metavar="DIR",
    help="Folder for the pack and its record; keep it apart from the papers.",
)
@click.option(
    "--sign",
    "signed",
    type=click.Path(path_type=Path, dir_okay=False),
    default=None,
    metavar="CSV",
    help="Verdicts typed into moderation.csv: item,verdict,by,on,note. They are added to the record.",
)
@click.option(
    "--second",
    type=click.Path(path_type=Path, dir_okay=False),
    default=None,
    metavar="CSV",
    help="Marks that a second marker gave by hand: paper,item,marks,by,why.",
)
@key_options
@scenarios_option
def command(
    marks: Path | None,
    out: Path,
    signed: Path | None,
    second: Path | None,
    papers: PaperSet,
    scenarios: Path | None,
) -> None:
    """Write a page with every distinct item of a set for a second tutor: key, slips, working, proof, difficulty.

    DIR holds the marks of the class (marks.json), where it is marked; with --second it is said how two markers agree.
    What a second tutor says of each item is kept in moderation.json: which, what, who and when.
    """
    from probebook.api import load_library
    from probebook.api.moderating import moderate_set

    library = load_library(scenarios)
    with progress("laying out"):
        lines = moderate_set(papers, out, library, marks=marks, second=second, signed=signed)
    click.echo("\n".join(lines))

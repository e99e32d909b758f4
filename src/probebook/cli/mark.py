"""``probebook mark``: hand-ins and typed answer sheets read as data, marked, and told to tutor and learners."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from probebook.cli.common import jobs_option, progress, scenarios_option
from probebook.cli.secrets_asked import key_options

if TYPE_CHECKING:
    from probebook.api.assessing import PaperSet


@click.command("mark")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False), metavar="[DIR]", required=False)
@click.option(
    "--from-sheet",
    "sheets",
    type=click.Path(path_type=Path, dir_okay=False),
    multiple=True,
    metavar="CSV",
    help="Table of answers typed in from paper, as 'probebook print' makes it; may be given several times.",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    required=True,
    metavar="DIR",
    help="Folder for marks and feedback.",
)
@click.option(
    "--overrides",
    type=click.Path(path_type=Path, dir_okay=False),
    default=None,
    metavar="FILE",
    help="CSV file of marks given by hand: paper,item,marks,by,why.",
)
@click.option(
    "--late",
    type=click.FloatRange(0, 100_000),
    default=5.0,
    show_default=True,
    metavar="MINUTES",
    help="How late a hand-in may be and still be marked.",
)
@jobs_option("Processes that read hand-ins, where there are many.")
@key_options
@scenarios_option
def command(
    folder: Path | None,
    sheets: tuple[Path, ...],
    out: Path,
    overrides: Path | None,
    late: float,
    jobs: int,
    papers: PaperSet,
    scenarios: Path | None,
) -> None:
    """Mark the hand-ins (NAME.handin.json) in DIR, and answers typed in from paper.

    Nothing in a hand-in is run. Each one that cannot be marked, and each line of a table that cannot be taken, is named
    with the reason; the others are marked. Of two hand-ins of one paper the earliest counts, and both are shown.
    """
    from probebook.api import assessing, load_library

    library = load_library(scenarios)
    with progress("marking"):
        marked = assessing.mark_folder(
            folder, papers, out, library, sheets=sheets, overrides=overrides, most_late=late, jobs=jobs
        )
    click.echo("\n".join(assessing.marked_lines(marked, out, library.words)))

"""``probebook mark``: hand-ins read as data, marked, and told to tutor and learners."""

from __future__ import annotations

from pathlib import Path

import click

from probebook.cli.common import jobs_option, scenarios_option
from probebook.cli.secrets_asked import passphrase_from, passphrase_option


@click.command("mark")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False), metavar="DIR")
@click.option(
    "--key",
    type=click.Path(path_type=Path, dir_okay=False),
    required=True,
    metavar="FILE",
    help="Sealed key that 'probebook set' made.",
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
@passphrase_option
@scenarios_option
def command(
    folder: Path,
    key: Path,
    out: Path,
    overrides: Path | None,
    late: float,
    jobs: int,
    passphrase_file: Path | None,
    scenarios: Path | None,
) -> None:
    """Mark the hand-ins (NAME.handin.json) in DIR.

    Nothing in a hand-in is run. Each one that cannot be marked is named with the reason; the others are marked. Of two
    hand-ins of one paper the earliest counts, and both are shown.
    """
    from probebook.api import assessing, load_library

    library = load_library(scenarios)
    papers = assessing.open_key(key, passphrase_from(passphrase_file, confirm=False))
    marked = assessing.mark_folder(folder, papers, out, library, overrides=overrides, most_late=late, jobs=jobs)
    click.echo("\n".join(assessing.marked_lines(marked, out, library.words)))

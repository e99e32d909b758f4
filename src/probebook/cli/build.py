"""``probebook build``: scenarios in, workbooks and answer keys out."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from probebook.cli.common import jobs_option, library_options, progress

if TYPE_CHECKING:
    from probebook.api import Library


@click.command("build")
@click.option("--check", is_flag=True, help="Write nothing; exit 1 when the workbooks on disk are out of date.")
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path(),
    metavar="DIR",
    help="Folder in which workbooks/ and answer_keys/ are written (default: here).",
)
@jobs_option("Workbooks built at the same time.")
@library_options
def command(check: bool, out: Path, jobs: int, library: Library) -> None:
    """Build every workbook and its answer keys.

    The same scenarios give the same bytes. Files that have no plan any more are removed. What did not change since an
    earlier build is taken from a folder of yours (PROBEBOOK_CACHE names it; 'off' makes everything afresh).
    """
    from probebook.api import build_files, load_plans, reports, stale_files, write_files
    from probebook.api.workbooks import kept_builds
    from probebook.errors import StaleError

    plans = load_plans(library)
    with progress("building", len(plans)) as step:
        files = build_files(plans, library, done=step, kept=kept_builds(), jobs=jobs)
    if check:
        stale = stale_files(files, out)
        if stale:
            raise StaleError(
                f"{len(stale)} of {len(files)} files are out of date ({', '.join(stale[:4])}"
                f"{', …' if len(stale) > 4 else ''})",
                remedy="run 'probebook build' and commit what it writes",
            )
        click.echo(reports.current_line(len(files), library.words))
        return
    write_files(files, out, library.folder)
    click.echo(reports.built_line(len(plans), out, library.words))

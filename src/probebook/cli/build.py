"""``probebook build``: scenarios in, workbooks and answer keys out."""

from __future__ import annotations

from pathlib import Path

import click

from probebook.cli.common import open_library, progress, scenarios_option


@click.command("build")
@click.option("--check", is_flag=True, help="Write nothing; exit 1 when the workbooks on disk are out of date.")
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path(),
    metavar="DIR",
    help="Folder in which workbooks/ and answer_keys/ are written (default: here).",
)
@scenarios_option
def command(check: bool, out: Path, scenarios: Path | None) -> None:
    """Build every workbook and its answer keys.

    The same scenarios give the same bytes. Files that have no plan any more are removed.
    """
    from probebook.errors import StaleError
    from probebook.files import write_atomic
    from probebook.workbook.building import build_all, stale_files, surplus_files
    from probebook.workbook.plan import load_plans

    library = open_library(scenarios)
    plans = load_plans(library.folder)
    with progress("building", len(plans)) as step:
        files = build_all(plans, library, done=step)
    if check:
        stale = stale_files(files, out)
        if stale:
            raise StaleError(
                f"{len(stale)} of {len(files)} files are out of date ({', '.join(stale[:4])}"
                f"{', …' if len(stale) > 4 else ''})",
                remedy="run 'probebook build' and commit what it writes",
            )
        click.echo(f"{len(files)} files are up to date")
        return
    for name, text in files.items():
        path = out / name
        path.parent.mkdir(parents=True, exist_ok=True)
        write_atomic(path, text)
    for path in surplus_files(files, out):
        path.unlink()
    click.echo(f"built {len(plans)} workbooks and their keys in {out / 'workbooks'} and {out / 'answer_keys'}")

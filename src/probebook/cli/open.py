"""``probebook open``: the workbooks in JupyterLab."""

from __future__ import annotations

import sys
from pathlib import Path

import click


@click.command("open")
@click.argument("workbook", required=False)
@click.option(
    "--dir",
    "folder",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path("workbooks"),
    metavar="DIR",
    help="Folder of the workbooks (default: ./workbooks).",
)
@click.option("--no-browser", is_flag=True, help="Start the server and print its address only.")
def command(workbook: str | None, folder: Path, no_browser: bool) -> None:
    """Open WORKBOOK (any part of its name will do), or the folder of workbooks, in JupyterLab."""
    import subprocess

    from probebook.errors import UsageError

    found = sorted(folder.glob("*.ipynb"))
    if not found:
        raise UsageError("there are no workbooks", where=str(folder), remedy="run 'probebook build' first")
    target = folder
    if workbook:
        matching = [path for path in found if workbook.removesuffix(".ipynb") in path.stem]
        if len(matching) != 1:
            names = ", ".join(path.stem for path in (matching or found))
            raise UsageError(
                f"'{workbook}' names {len(matching)} workbooks", where=str(folder), remedy=f"choose one of {names}"
            )
        target = matching[0]
    line = [sys.executable, "-m", "jupyter", "lab", str(target)]
    if no_browser:
        line.append("--no-browser")
    sys.exit(subprocess.call(line))

"""``probebook print``: a workbook's questions, or the papers of a class, for a room without computers."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from probebook.cli.common import library_options, progress
from probebook.cli.secrets_asked import passphrase_from, passphrase_option
from probebook.errors import UsageError

if TYPE_CHECKING:
    from probebook.api import Library


@click.command("print")
@click.argument("workbook", default="")
@click.option(
    "--key",
    type=click.Path(path_type=Path, dir_okay=False),
    default=None,
    metavar="FILE",
    help="Sealed key that 'probebook set' made: print the paper of each learner instead of a workbook.",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    required=True,
    metavar="DIR",
    help="Folder for the files.",
)
@click.option(
    "--folder",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path(),
    metavar="DIR",
    help="Folder that holds workbooks and answer_keys (default: this one).",
)
@click.option("--large-print", is_flag=True, help="Letters of 18 points; drawings also in enlarged parts.")
@passphrase_option
@library_options
def command(
    workbook: str,
    key: Path | None,
    out: Path,
    folder: Path,
    large_print: bool,
    passphrase_file: Path | None,
    library: Library,
) -> None:
    """Print the questions of WORKBOOK, or with --key the papers of a class, as PDF files for A4.

    Written are the paper, an answer sheet, a mark scheme with the slips to look for, and a table (CSV) to type answers
    into. The files are tagged for screen readers, and the same questions give the same bytes.
    """
    from probebook.api import assessing, printing

    if bool(workbook) == (key is not None):
        raise UsageError(
            "one thing is printed at a time", where="print", remedy="name a workbook, or a sealed key with --key"
        )
    papers = assessing.open_key(key, passphrase_from(passphrase_file, confirm=False)) if key is not None else None
    with progress("printing"):
        if papers is None:
            lines = printing.print_workbook(workbook, folder, out, library, large=large_print)
        else:
            lines = printing.print_papers(papers, out, library, large=large_print)
    for line in lines:
        click.echo(line)

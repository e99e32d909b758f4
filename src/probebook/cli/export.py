"""``probebook export``: the bank or the papers of a class as a package of items in an open standard."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from probebook.cli.common import echo_json, json_option, library_options, progress
from probebook.cli.secrets_asked import passphrase_from, passphrase_option
from probebook.errors import UsageError

if TYPE_CHECKING:
    from probebook.api import Library


@click.command("export")
@click.argument("workbooks", nargs=-1)
@click.option(
    "--key",
    type=click.Path(path_type=Path, dir_okay=False),
    default=None,
    metavar="FILE",
    help="Sealed key that 'probebook set' made: export the papers of that class instead of workbooks.",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    required=True,
    metavar="FILE",
    help="The package to write, a ZIP file.",
)
@click.option(
    "--standard",
    default="qti-3.0",
    show_default=True,
    metavar="ID",
    help="Version of the standard: qti-3.0 or qti-2.2.",
)
@click.option(
    "--folder",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path(),
    metavar="DIR",
    help="Folder that holds workbooks and answer_keys (default: this one).",
)
@passphrase_option
@json_option
@library_options
def command(
    workbooks: tuple[str, ...],
    key: Path | None,
    out: Path,
    standard: str,
    folder: Path,
    passphrase_file: Path | None,
    as_json: bool,
    library: Library,
) -> None:
    """Write the questions of WORKBOOKS (all of them where none is named) as a package of items, 1EdTech QTI.

    An item of that standard carries its own answer: whoever opens the file can read it. So the papers of a class are
    exported only with their sealed key and its passphrase, and never into the folder where the learners' papers lie.
    Each question that the standard cannot carry is named, with the reason.
    """
    from probebook.api import assessing, exporting

    chosen = exporting.standard_of(standard)
    if workbooks and key is not None:
        raise UsageError(
            "one thing is exported at a time", where="export", remedy="name workbooks, or a sealed key with --key"
        )
    if key is None:
        booklets = exporting.bank(workbooks, folder)
    else:
        papers = assessing.open_key(key, passphrase_from(passphrase_file, confirm=False))
        exporting.keep_from_learners(out, papers)
        booklets = exporting.papers_of(papers)
    with progress("exporting", len(booklets)) as step:
        found = exporting.export(booklets, out, chosen, library, step)
    if as_json:
        echo_json(found.data)
    else:
        click.echo("\n".join(found.lines))

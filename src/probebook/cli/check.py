"""``probebook check``: scenario files read as strictly as a build reads them, and looked at as a fitter would."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from probebook.cli.common import echo_json, json_option, library_options, progress

if TYPE_CHECKING:
    from probebook.api import Library


@click.command("check")
@click.argument("files", nargs=-1, type=click.Path(path_type=Path), metavar="[FILE]...")
@click.option("--quiet", "-q", is_flag=True, help="Print errors and warnings only.")
@library_options
@json_option
def command(files: tuple[Path, ...], quiet: bool, library: Library, as_json: bool) -> None:
    """Check FILES (all scenario files when none is named): appliances, regions, sentences, plans, assumptions ...

    Exit code 1 when an error was found. Warnings and information do not count.
    """
    from probebook.api import check_file, reports, scenario_files
    from probebook.api.workbooks import kept_builds

    kept = kept_builds()
    paths = list(files) or scenario_files(library)
    found = []
    with progress("checking", len(paths)) as step:
        for path in paths:
            found += [(path, finding) for finding in check_file(path, library, kept=kept)]
            step(path.name)
    if as_json:
        echo_json({"files": [str(path) for path in paths], "findings": [reports.finding_json(*row) for row in found]})
    else:
        lines = reports.checked_lines(len(paths), [f for _, f in found], library.words, quiet=quiet)
        click.echo("\n".join(lines))
    sys.exit(1 if any(f.severity == "error" for _, f in found) else 0)

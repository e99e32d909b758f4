"""``probebook check``: scenario files read as strictly as a build reads them, and looked at as a fitter would."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from probebook.cli.common import echo_json, json_option, open_library, progress, scenarios_option


@click.command("check")
@click.argument("files", nargs=-1, type=click.Path(path_type=Path), metavar="[FILE]...")
@click.option("--quiet", "-q", is_flag=True, help="Print errors and warnings only.")
@scenarios_option
@json_option
def command(files: tuple[Path, ...], quiet: bool, scenarios: Path | None, as_json: bool) -> None:
    """Check FILES (all scenario files when none is named).

    Exit code 1 when an error was found. Warnings and information do not count.
    """
    from probebook.appliances.checking import Severity
    from probebook.workbook.filecheck import check_file, scenario_files

    paths = list(files) or scenario_files(open_library(scenarios).folder)
    found = []
    with progress("checking", len(paths)) as step:
        for path in paths:
            found += [(path, finding) for finding in check_file(path)]
            step(path.name)
    errors = sum(finding.severity is Severity.ERROR for _, finding in found)
    if as_json:
        echo_json(
            {
                "files": [str(path) for path in paths],
                "findings": [
                    {
                        "file": str(path),
                        "severity": str(f.severity),
                        "where": f.where,
                        "message": f.message,
                        "remedy": f.remedy,
                    }
                    for path, f in found
                ],
            }
        )
    else:
        for _, finding in found:
            if not quiet or finding.severity is not Severity.INFORMATION:
                click.echo(f"{finding.severity}: {finding}")
        click.echo(f"{len(paths)} files, {errors} errors")
    sys.exit(1 if errors else 0)

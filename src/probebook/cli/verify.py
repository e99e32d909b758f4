"""``probebook verify``: every workbook run, every question answered through its widgets, every key computed again."""

from __future__ import annotations

import time
from pathlib import Path

import click

from probebook.cli.common import echo_json, jobs_option, json_option, progress, scenarios_option


@click.command("verify")
@click.argument("names", nargs=-1)
@jobs_option("Notebooks run at the same time.")
@click.option(
    "--dir",
    "folder",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path(),
    metavar="DIR",
    help="Folder that holds workbooks/ and answer_keys/ (default: here).",
)
@click.option(
    "--trust-folder",
    "trusted",
    is_flag=True,
    help="Run notebooks too whose code no build has written. It can do whatever you can.",
)
@scenarios_option
@json_option
def command(
    names: tuple[str, ...], jobs: int, folder: Path, trusted: bool, scenarios: Path | None, as_json: bool
) -> None:
    """Verify the workbooks (or those whose name holds one of NAMES).

    Each notebook is run; each question is given its key, each of its slips, a blank and rubbish, through its own
    widgets. The keys are computed again from the scenarios, in the language and the region of the workbook, in a
    separate process and compared. Of a notebook that holds other code than a build writes, nothing is run.
    """
    from probebook.api import load_library, reports, verify_workbooks
    from probebook.errors import VerificationError

    library = load_library(scenarios)
    start = time.perf_counter()
    with progress("verifying", len(names) or len(list((folder / "workbooks").glob("*.ipynb")))) as step:
        findings = verify_workbooks(folder, library.folder, names=names, jobs=jobs, trusted=trusted, done=step)
    if as_json:
        echo_json(reports.verified_json(findings))
    else:
        click.echo("\n".join(reports.verified_lines(findings, time.perf_counter() - start, library.words)))
    failed = [f for f in findings if f.problems]
    if failed:
        raise VerificationError(
            f"{sum(len(f.problems) for f in failed)} problems in {len(failed)} workbooks",
            remedy="mend the scenarios and build again, or restore the files that were changed by hand",
        )

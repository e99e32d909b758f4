"""``probebook verify``: every workbook run, every question answered through its widgets, every key computed again."""

from __future__ import annotations

import os
import time
from pathlib import Path

import click

from probebook.cli.common import echo_json, json_option, open_library, progress, scenarios_option


@click.command("verify")
@click.argument("names", nargs=-1)
@click.option(
    "--jobs",
    "-j",
    type=click.IntRange(1, 64),
    default=min(4, os.cpu_count() or 1),
    show_default=True,
    help="Notebooks run at the same time.",
)
@click.option(
    "--dir",
    "folder",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path(),
    metavar="DIR",
    help="Folder that holds workbooks/ and answer_keys/ (default: here).",
)
@scenarios_option
@json_option
def command(names: tuple[str, ...], jobs: int, folder: Path, scenarios: Path | None, as_json: bool) -> None:
    """Verify the workbooks (or those whose name holds one of NAMES).

    Each notebook is run; each question is given its key, each of its slips, a blank and rubbish, through its own
    widgets. The keys are computed again from the scenarios in a separate process and compared.
    """
    from probebook.errors import VerificationError
    from probebook.workbook.verifying import verify_all

    library = open_library(scenarios)
    start = time.perf_counter()
    with progress("verifying", len(names) or len(list((folder / "workbooks").glob("*.ipynb")))) as step:
        findings = verify_all(folder, library.folder, jobs=jobs, only=names, done=step)
    problems = [f"{f.workbook}: {problem}" for f in findings for problem in f.problems]
    if as_json:
        echo_json(
            {
                "workbooks": [
                    {
                        "workbook": f.workbook,
                        "questions": f.questions,
                        "attempts": f.attempts,
                        "seconds": round(f.seconds, 3),
                        "problems": list(f.problems),
                    }
                    for f in findings
                ],
                "verified": not problems,
            }
        )
    else:
        width = max(len(f.workbook) for f in findings)
        click.echo(f"{'workbook':{width}}  questions  answers tried  seconds  result")
        for f in findings:
            result = "verified" if not f.problems else f"{len(f.problems)} problems"
            click.echo(f"{f.workbook:{width}}  {f.questions:9d}  {f.attempts:13d}  {f.seconds:7.1f}  {result}")
        questions, attempts = sum(f.questions for f in findings), sum(f.attempts for f in findings)
        seconds = time.perf_counter() - start
        click.echo(f"{len(findings)} workbooks, {questions} questions, {attempts} answers in {seconds:.1f} s")
        for problem in problems:
            click.echo(f"  {problem}")
    if problems:
        raise VerificationError(
            f"{len(problems)} problems in {len({f.workbook for f in findings if f.problems})} workbooks",
            remedy="mend the scenarios and build again, or restore the files that were changed by hand",
        )

"""``probebook set``: one paper a learner, a sealed key, a record of what was set."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import click

from probebook.cli.common import jobs_option, progress, scenarios_option
from probebook.cli.secrets_asked import passphrase_from, passphrase_option


@click.command("set")
@click.argument("blueprint")
@click.option(
    "--class",
    "class_file",
    type=click.Path(path_type=Path, dir_okay=False),
    required=True,
    metavar="FILE",
    help="CSV file of the learners: id,name and where wanted extra_time,large_print,language.",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    required=True,
    metavar="DIR",
    help="Folder for papers, sealed key and record.",
)
@click.option(
    "--secret-file",
    type=click.Path(path_type=Path, dir_okay=False),
    default=None,
    metavar="FILE",
    help="Text that the draws are named after: the same text sets the same papers (default: a fresh secret).",
)
@jobs_option("Papers drawn at the same time.")
@click.option(
    "--cluster",
    default="",
    metavar="ADDRESS",
    help="Draw them on the workers of this cluster (dask.distributed; tcp://HOST:PORT), each with the same Probebook.",
)
@click.option(
    "--bench-from",
    type=click.Choice(["table", "service"]),
    default="table",
    show_default=True,
    help="What a paper knows of its bench: a table of all readings, or nothing: 'probebook hub' is asked for each.",
)
@passphrase_option
@scenarios_option
def command(
    blueprint: str,
    class_file: Path,
    out: Path,
    secret_file: Path | None,
    *,
    bench_from: str,
    passphrase_file: Path | None,
    scenarios: Path | None,
    **workers: Any,
) -> None:
    """Set a class: BLUEPRINT is an id in blueprints/, or a file that is being written.

    Each learner gets one notebook with questions of their own, all equally hard within the band of the blueprint. No
    paper holds a key; the sealed key file does, and marking needs it and its passphrase.
    """
    from probebook.api import assessing, load_library

    library = load_library(scenarios)
    learners = assessing.read_learners(class_file, library)
    plan = replace(assessing.read_blueprint(blueprint, library), asks_service=bench_from == "service")
    secret = assessing.secret_of(secret_file) if secret_file else ""
    passphrase = passphrase_from(passphrase_file, confirm=True)
    with progress("setting", len(learners)) as step:
        found = assessing.set_class(
            plan,
            learners,
            out,
            passphrase,
            library,
            secret=secret,
            pool=assessing.executor(**workers),
            done=lambda: step(""),
        )
    click.echo("\n".join(assessing.set_lines(found, out, library.words)))

"""``probebook explain``: what follows from readings taken on an appliance."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import TYPE_CHECKING

import click

from probebook.cli.common import echo_json, json_option, library_options, progress

if TYPE_CHECKING:
    from probebook.api import Library

#: Sentences are wrapped at the width of the terminal, and never wider than this.
WIDEST = 110


@click.command("explain")
@click.argument("appliance")
@click.option(
    "--evidence",
    "evidence_path",
    required=True,
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="What was observed and measured (TOML or JSON).",
)
@click.option(
    "--meter",
    "meter_ids",
    multiple=True,
    metavar="M",
    help="Instrument used; may be repeated (default: the good multimeter and the insulation tester).",
)
@library_options
@json_option
def command(appliance: str, evidence_path: Path, meter_ids: tuple[str, ...], library: Library, as_json: bool) -> None:
    """Say which faults of APPLIANCE the evidence leaves, what ruled out what, and what to test next."""
    from probebook.api import explain, load_appliance, read_evidence, reports

    item = load_appliance(appliance, library)
    evidence = read_evidence(evidence_path, item)
    with progress("weighing"):
        found = explain(item, evidence, library, [library.meter(meter_id) for meter_id in meter_ids])
    if as_json:
        echo_json(found.to_json())
        return
    width = min(shutil.get_terminal_size().columns, WIDEST)
    click.echo("\n".join(reports.explanation_lines(found, item.title, library.words, width)))

"""``probebook explain``: what follows from readings taken on an appliance."""

from __future__ import annotations

import shutil
import textwrap
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from probebook.cli.common import echo_json, json_option, open_library, scenarios_option

if TYPE_CHECKING:
    from probebook.diagnosis import Exclusion


def _grouped(exclusions: Iterable[Exclusion]) -> dict[tuple[int, str], list[str]]:
    """Rivals by what speaks against them: (observation, what it contrasts) → their titles."""
    groups: dict[tuple[int, str], list[str]] = {}
    for item in sorted(exclusions, key=lambda e: e.observation):
        contrast = item.sentence.partition(" That excludes ")[0]
        groups.setdefault((item.observation, contrast), []).append(item.title)
    return groups


def _wrapped(text: str, lead: str) -> str:
    width = min(shutil.get_terminal_size().columns, 110)
    return textwrap.fill(text, width=width, initial_indent=lead, subsequent_indent=" " * len(lead))


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
    help="Instrument used; may be repeated (default: bench-multimeter and insulation-tester).",
)
@scenarios_option
@json_option
def command(
    appliance: str, evidence_path: Path, meter_ids: tuple[str, ...], scenarios: Path | None, as_json: bool
) -> None:
    """Say which faults of APPLIANCE the evidence leaves, what ruled out what, and what to test next."""
    from probebook.diagnosis import explain, read_evidence
    from probebook.errors import UsageError

    library = open_library(scenarios)
    item = library.appliance(appliance)
    if not evidence_path.is_file():
        raise UsageError("there is no such file", where=str(evidence_path), remedy="name a file of readings")
    evidence = read_evidence(evidence_path, item)
    meters = tuple(library.meter(name) for name in meter_ids or ("bench-multimeter", "insulation-tester"))
    found = explain(item, evidence, meters)
    if as_json:
        echo_json(found.to_json())
        return
    click.echo(f"{item.title}: {len(found.findings)} observations")
    for number, finding in enumerate(found.findings, start=1):
        click.echo(f"  {number}. {finding.text}" + (f"  (sound: {finding.sound})" if finding.sound else ""))
    click.echo()
    click.echo("Determined." if found.determined else "Not determined: more than one fault still explains this.")
    for row in found.rows:
        click.echo(f"  {row.probability:7.2%}  {row.title}")
    if found.exclusions:
        click.echo("\nWhat speaks against the others")
        for (number, contrast), titles in _grouped(found.exclusions).items():
            click.echo(_wrapped(f"{contrast} Against: {', '.join(titles)}.", f"  {number + 1}. "))
    if found.following:
        click.echo("\nBest next")
        for text, worth in found.following:
            click.echo(f"  {worth.bits:.2f} bit, {worth.minutes:.0f} min  {text}")

"""``probebook coverage``: the competences of the trade against the bank of questions."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from probebook.cli.common import echo_json, json_option, open_library, progress, scenarios_option

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from probebook.questions.coverage import Coverage


@click.command("coverage")
@click.option("--goal", is_flag=True, help="Exit 1 when a competence or an outcome falls short of the goal.")
@scenarios_option
@json_option
def command(goal: bool, scenarios: Path | None, as_json: bool) -> None:
    """Count the questions that can be FAILED for lack of each competence.

    The goal is three such questions for every competence that a screen can judge, wholly or in part, and two kinds of
    question for every outcome.
    """
    from probebook.questions.coverage import coverage, load_competences
    from probebook.workbook.compiling import compile_plan
    from probebook.workbook.plan import load_plans

    library = open_library(scenarios)
    competences = load_competences(library.folder)
    plans = load_plans(library.folder)
    bank = []
    with progress("compiling", len(plans)) as step:
        for plan in plans:
            bank += [(f"{plan.stem}/{question.id}", question) for question in compile_plan(plan, library).questions]
            step(plan.stem)
    found = coverage(bank, competences, library.slips, library.outcomes)
    if as_json:
        echo_json(found.to_json())
    else:
        titles = {outcome.id: outcome.title for outcome in library.outcomes.values()}
        click.echo("\n".join(_text(found, len(plans), titles)))
    if goal and found.short_of_goal():
        sys.exit(1)


def _text(found: Coverage, workbooks: int, titles: Mapping[str, str]) -> list[str]:
    from probebook.questions.coverage import WANTED

    lines = [f"{found.questions} questions in {workbooks} workbooks", "", "Items that can be failed for lack of it"]
    lines += [f"  {row.id}  {row.screen}  {found.count(row.id):4d}  {row.text}" for row in found.on_screen]
    lines += ["", f"Competences with one such item, and with {WANTED}"]
    figures = [
        ("all, the hands-on ones counted as missing", found.overall(), found.overall(WANTED)),
        (
            "those a screen can judge, wholly or in part",
            found.share(found.on_screen),
            found.share(found.on_screen, WANTED),
        ),
    ]
    well = found.by_theme(WANTED)
    figures += [(f"theme {theme}", share, well[theme]) for theme, share in found.by_theme().items()]
    wide = max(len(name) for name, *_ in figures)
    lines += [f"  {name:{wide}}  {one!s:>17}  {three!s:>17}" for name, one, three in figures]
    lines += [f"  Rows that rest on a standard that was seen: {found.seen()}."]
    if found.out_of_scope:
        lines += ["", "Out of scope: hands on an appliance are needed"]
        lines += [f"  {row.id}  {row.text}" for row in found.out_of_scope]
    lines += ["", "Questions by outcome and kind", *_table(found, titles)]
    missing = found.short_of_goal()
    lines += ["", "The goal is reached." if not missing else f"Short of the goal in {len(missing)} points"]
    return [*lines, *(f"  {sentence}" for sentence in missing)]


def _table(found: Coverage, titles: Mapping[str, str]) -> Sequence[str]:
    """Outcome × kind, the kinds as columns of figures."""
    from probebook.questions.model import Kind

    kinds = [kind for kind in Kind if any(kind in row for row in found.kinds.values())]
    wide = max((len(titles.get(outcome, outcome)) for outcome in found.kinds), default=0)
    head = " ".join(f"{kind!s:>{max(len(kind), 4)}}" for kind in kinds)
    lines = [f"  {'':{wide}} {head}   all"]
    for outcome, row in found.kinds.items():
        cells = " ".join(f"{row.get(kind, 0) or '·':>{max(len(kind), 4)}}" for kind in kinds)
        lines.append(f"  {titles.get(outcome, outcome):{wide}} {cells} {sum(row.values()):5d}")
    totals = " ".join(f"{sum(row.get(kind, 0) for row in found.kinds.values()):>{max(len(kind), 4)}}" for kind in kinds)
    return [*lines, f"  {'all':{wide}} {totals} {found.questions:5d}"]

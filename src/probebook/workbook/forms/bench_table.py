"""A bench as a table for a page: the table of the core, with the sentences and pictures that a page adds."""

from __future__ import annotations

from typing import Any

from probebook.bench.simulator import Bench
from probebook.bench.table.bench_table import table_of
from probebook.words import Phrase
from probebook.workbook.forms.bench_curve import record_in
from probebook.workbook.forms.bench_facts import BenchStatus, IsolatedStatus, StatusWords

__all__ = ["page_table"]

#: A number of minutes that no sentence holds of itself, to one decimal, put where the page is to put its own.
MARK = 7531.5


def page_table(bench: Bench, *, with_par: bool = True) -> dict[str, Any]:
    """All that a page needs to run a bench without the kernel, as plain JSON data; no fault and no key is in it.

    ``with_par`` says whether a job that has ended is held beside the par.

    Raises
    ------
    UsageError
        The instruments of the bench err anew in every reading.
    """
    return {**table_of(bench, with_par=with_par), "status": _status(bench), "curves": _curves(bench)}


def _status(bench: Bench) -> dict[str, Any]:
    """How the job stands in a sentence, with holes, for each position; and the words that fill them."""
    hole = {name: Phrase(f"{{{name}}}") for name in ("supply", "dead", "covers", "wires")}
    titles = {position.name: bench.noun(position.title) for position in bench.appliance.positions}
    on = {name: BenchStatus(title, hole["covers"], hole["wires"], MARK) for name, title in titles.items()}
    off = {
        name: IsolatedStatus(hole["supply"], hole["dead"], title, hole["covers"], hole["wires"], MARK)
        for name, title in titles.items()
    }
    written = bench.words.language.number(f"{MARK:.1f}")
    return {
        "on": {name: str(bench.say(facts, "supply-on")).replace(written, "{minutes}") for name, facts in on.items()},
        "off": {name: str(bench.say(facts, "isolated")).replace(written, "{minutes}") for name, facts in off.items()},
        "covers": {name: str(bench.noun(name)) for name, _ in bench.appliance.covers},
        "words": {key: str(bench.say(StatusWords(), key)) for key in StatusWords.says_},
    }


def _curves(bench: Bench) -> dict[str, dict[str, str]]:
    """The heat-up record in each position in which one can be taken."""
    if not bench.appliance.heat:
        return {}
    positions = [position.name for position in bench.appliance.positions]
    return {name: record_in(bench, name) for name in positions if bench.ran_in(name, record=True).symptoms}

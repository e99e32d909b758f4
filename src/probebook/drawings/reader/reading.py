"""What a page needs to show the path of the current on a schematic: for each position, what flows, and what is said.

It lies in the drawing as JSON, beside what is drawn. It tells what works in a position, so it belongs into lessons and
worked examples; a drawing that goes with a question holds none.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from probebook.appliances.model import Appliance, State
from probebook.appliances.naming import load_entry
from probebook.drawings.layout import Layout
from probebook.drawings.paths import LOADS, closed_contacts, way_through
from probebook.drawings.reader.flowing import flow_of, pieces_of
from probebook.drawings.reader.folding import fold_of
from probebook.drawings.svg import Box
from probebook.drawings.telling.describing import tell_ways
from probebook.words import Facts, Words

__all__ = ["Reading", "embedded", "readings_of"]


@dataclass(frozen=True)
class ReaderWords(
    Facts,
    group="drawings/reader",
    says=("path", "as-drawn", "follow", "whole", "larger", "smaller", "fit", "frame", "keys"),
):
    """What stands on the buttons over a drawing, and how it is read."""


@dataclass(frozen=True, slots=True)
class Reading:
    """A position whose path may be shown, and what carries current in it, each branch with its sense."""

    position: str
    flow: Mapping[str, int]


def readings_of(appliance: Appliance, positions: Iterable[str], least: float) -> tuple[Reading, ...]:
    """The paths of a sound appliance in these positions; ``least`` is the current (A) that counts as one."""
    return tuple(Reading(name, flow_of(appliance, State(name), least)) for name in positions)


def embedded(
    words: Words, appliance: Appliance, plan: Layout, view: Box, full: Box, readings: Iterable[Reading]
) -> str:
    """What a page is told beside the drawing, as JSON; ``view`` is the box of the circuit, ``full`` that of it all."""
    told = [_told(words, appliance, plan, reading) for reading in readings]
    said = {key: words.say(ReaderWords(), key) for key in ReaderWords.says_}
    data = {"words": said, "fold": fold_of(plan, view, full), "readings": told}
    return json.dumps(data, ensure_ascii=False, separators=(",", ":"))


def _told(words: Words, appliance: Appliance, plan: Layout, reading: Reading) -> dict[str, Any]:
    live = frozenset(reading.flow)
    loads = [b for b in appliance.branches if b.kind in LOADS and b.name in live]
    found: list[dict[str, Any]] = []
    for load in loads:
        way = [branch.name for branch, _ in way_through(appliance, load, live)]
        found.append(
            {
                "part": load.part,
                "label": load_entry(words, appliance, load),
                "on": sorted({*way, *pieces_of(appliance, plan, way)}),
                "told": " ".join(tell_ways(words, appliance, live, [load])),
            }
        )
    return {
        "title": words.noun(appliance.position(reading.position).title).text,
        "closed": sorted(closed_contacts(appliance, reading.position, live=True)),
        "flow": dict(sorted(reading.flow.items())) | dict.fromkeys(sorted(pieces_of(appliance, plan, live)), 0),
        "told": "\n".join(tell_ways(words, appliance, live)),
        "loads": found,
    }

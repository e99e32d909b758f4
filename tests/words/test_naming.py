"""Names of things in sentences, against names recorded before they were text."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from probebook.appliances import Appliance, BranchKind, load_appliances, naming
from probebook.scenario_folder import scenarios_dir
from probebook.textfiles import parse_toml
from probebook.words import Words

RECORDED = json.loads((Path(__file__).parent / "names.json").read_text("utf-8"))
SCENARIOS = scenarios_dir()
APPLIANCES = load_appliances(SCENARIOS)
WORDS = Words(SCENARIOS)

NAMES: dict[str, Callable[[Appliance, str], object]] = {
    "name": lambda a, n: naming.branch_name(WORDS, a, a.branches[a.branch(n)]),
    "name_here": lambda a, n: naming.branch_with_terminals(WORDS, a, a.branches[a.branch(n)]),
    "wire": lambda a, n: naming.wire_with_ends(WORDS, a, n),
    "short": lambda a, n: naming.part_noun(WORDS, a.part(n)),
    "place": lambda a, n: naming.terminal_place(WORDS, a, n),
    "probes": lambda a, n: naming.probes_place(WORDS, a, *n.split()),
    "load": lambda a, n: naming.load_noun(WORDS, a, n),
    "listing": lambda a, n: naming.load_entry(WORDS, a, a.branches[a.branch(n)]),
    "subject": lambda a, n: naming.subject_noun(WORDS, a, n),
}


@pytest.mark.parametrize("what", NAMES)
@pytest.mark.parametrize("appliance_id", RECORDED)
def test_names_read_as_recorded(appliance_id: str, what: str) -> None:
    """Every part, circuit, wire, terminal and pair of probes bears the name that was recorded."""
    appliance = APPLIANCES[appliance_id]
    found = {key: str(NAMES[what](appliance, key)) for key in RECORDED[appliance_id][what]}
    assert found == RECORDED[appliance_id][what]


@pytest.mark.parametrize("appliance_id", RECORDED)
def test_words_of_an_appliance_file_are_nouns(appliance_id: str) -> None:
    """What an appliance file names by a word (circuits, places, colours, covers) is a noun that a language can say."""
    nouns = parse_toml((SCENARIOS / "text" / "en" / "nouns.toml").read_text("utf-8"), "nouns.toml")
    appliance = APPLIANCES[appliance_id]
    sections = {b.name.partition(".")[2] for b in appliance.branches if b.kind is BranchKind.ELEMENT}
    places = {b.place for b in appliance.branches if b.place}
    said = {word for word in sections if len(word) > 1} | places | {w.colour for w in appliance.wires}
    assert {word for word in said | {p.cover for p in appliance.parts} if word and word not in nouns} == set()

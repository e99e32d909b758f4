"""What a file says a position works, falsified in every appliance and position, is found; and what no poor earth is."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from appliance_text import FOLDER, SCENARIOS

from probebook.appliances import earth_limit, load_appliance, load_appliances
from probebook.appliances.checking import Severity, check_appliance
from probebook.regions import load_region, region_ids

LIBRARY = load_appliances(SCENARIOS)
POSITIONS = [(a.id, n) for a in LIBRARY.values() for n in range(len(a.positions))]
WORKS = re.compile(r"^works = \[.*\]$", re.MULTILINE)


def _falsified(name: str, position: int, loads: tuple[str, ...], folder: Path) -> Path:
    """The file of an appliance with one position said to work exactly these loads."""
    text = (FOLDER / f"{name}.toml").read_text(encoding="utf-8")
    line = list(WORKS.finditer(text))[position]
    said = ", ".join(f'"{load}"' for load in loads)
    path = folder / f"{name}.toml"
    path.write_text(f"{text[: line.start()]}works = [{said}]{text[line.end() :]}", encoding="utf-8")
    return path


@pytest.mark.parametrize(("name", "number"), POSITIONS, ids=[f"{a}-{n}" for a, n in POSITIONS])
def test_works_is_held_against_what_the_energised_circuit_feeds(name: str, number: int, tmp_path: Path) -> None:
    """With one load left out of ``works``, or one put in that gets none, the checker names that load and position."""
    appliance = LIBRARY[name]
    position = appliance.positions[number]
    every = [load for p in appliance.positions for load in p.heats]
    fewer, idle = position.heats[1:], [load for load in every if load not in position.heats][:1]
    said = (*fewer, *idle)
    found = check_appliance(_falsified(name, number, said, tmp_path), scenarios=SCENARIOS)
    here = [f for f in found if f.severity is Severity.ERROR and f"({position.name}).works" in f.where]
    wrong = [*position.heats[:1], *idle]
    assert len(here) == len(wrong)
    assert all(any(f"'{load}'" in f.message for f in here) for load in wrong)


@pytest.mark.parametrize("region", region_ids(SCENARIOS))
def test_an_ohm_to_metalwork_is_over_the_limit_everywhere(region: str) -> None:
    """0.96 ohm to the metalwork of a class I appliance passes under no region's rules, not even with half its ohms."""
    for name in LIBRARY:
        appliance = load_appliance(FOLDER / f"{name}.toml", scenarios=SCENARIOS, region=load_region(SCENARIOS, region))
        assert earth_limit(appliance).high < 0.96 / 2

"""An appliance on a plug, in countries whose plugs hold a fuse and in those whose plugs hold none."""

from __future__ import annotations

from pathlib import Path

import pytest

from probebook.api import State, load_appliance, load_library, take_reading, usual_meter
from probebook.appliances import Appliance, PartKind

SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"
ON_PLUGS = ("eye-level-grill", "kettle", "tumble-dryer", "washing-machine")


def standing(name: str, region: str) -> Appliance:
    """An appliance as it is in a region."""
    return load_appliance(name, load_library(SCENARIOS, region=region))


@pytest.mark.parametrize("region", ["au", "nz"])
@pytest.mark.parametrize("name", ON_PLUGS)
def test_a_plug_without_fuse_leads_straight_into_the_cord(name: str, region: str) -> None:
    """No fuse, no clip and no fault of theirs is left, and the line pin is joined to what the fuse fed."""
    here, there = standing(name, region), standing(name, "gb")
    assert any(p.kind is PartKind.FUSE and p.cover == "plug" for p in there.parts)
    assert not any(p.kind is PartKind.FUSE and p.cover == "plug" for p in here.parts)
    assert {w.mark for w in there.wires} - {w.mark for w in here.wires} == {"W1"}
    assert not any("FU1" in (w.start + w.end) for w in here.wires)
    assert not any(f.target.partition(".")[0] in ("FU1", "W1") for f in here.faults)
    assert here.line == there.line == "X1.L"
    assert {t for t in there.terminals if not t.startswith("FU1.")} == set(here.terminals)


@pytest.mark.parametrize("name", ON_PLUGS)
def test_a_plug_with_fuse_stays_as_it_is_written(name: str) -> None:
    """Great Britain and Ireland, whose plugs hold a fuse (BS 1362), have the file as it stands."""
    assert standing(name, "ie").terminals == standing(name, "gb").terminals
    assert any(part.title == "plug fuse" for part in standing(name, "ie").parts)


def test_line_to_neutral_reads_the_element_with_or_without_the_fuse() -> None:
    """The fuse's few milliohms are all that is missing from line to neutral."""
    shown = []
    for region in ("gb", "nz"):
        library = load_library(SCENARIOS, region=region)
        kettle = load_appliance("kettle", library)
        position = next(p.name for p in kettle.positions if p.heats)
        meter = usual_meter(library, "ohms")
        taken = take_reading(kettle, ("X1.L", "X1.N"), meter, "ohms", state=State(position=position))
        shown.append(taken.shown.value)
    assert shown[0] == pytest.approx(shown[1], abs=0.11)
    assert 15.0 < shown[1] < 30.0

"""Single failures that fit beside a key: none in a sample, by the script beside this file; and that it sees them."""

from __future__ import annotations

import math

import numpy as np
import pytest
from open_world import CELLS, besides_the_key, failures, fitting, ohms_in, solved
from open_world import sample as wanted

from probebook.appliances import BranchKind, State
from probebook.appliances.probing import probe_ohms
from probebook.cases.generate import case_meters, make_case
from probebook.cases.library import library
from probebook.diagnosis import Measured, posterior, reading
from probebook.diagnosis.off_list import off_list
from probebook.physical import Mode

TRADE = library()
OVEN = TRADE.appliance("conventional-oven")
METERS = (TRADE.meter_for("insulation"), TRADE.meter_for("bench"))


def shown(position: str, a: str, b: str, ohms: float, *lifted: str) -> Measured:
    """A reading with the leads nulled."""
    return Measured(reading(position, a, b, lifted=lifted), ohms, nulled=True)


@pytest.mark.parametrize("asked", wanted(TRADE, 16, "open world sample"), ids=lambda a: f"{a[0]}-{a[2]}")
def test_nothing_but_the_key_fits_a_case(asked: tuple[str, str, int]) -> None:
    """Each single failure of the circuit, of any value, contradicts some reading or run of the case, but the key."""
    case = make_case(TRADE, *asked)
    left = besides_the_key(TRADE.appliance(case.appliance), case.truth, case.evidence, case_meters(case, TRADE))
    assert left == [], case.id


def test_a_key_without_its_own_reading_is_seen_through() -> None:
    """The grill circuit found by a reading across another one leaves wires, contact and the circuit itself."""
    grill = shown("grill", "E1.1", "E1.2", 45.6)
    left = besides_the_key(OVEN, ["inner-open"], [grill], METERS)
    assert {("ohms", "S1.b"), ("ohms", "W6"), ("ohms", "W9")} <= set(left)
    own = shown("off", "E1.3", "E1.4", math.inf, "W9")
    assert besides_the_key(OVEN, ["inner-open"], [grill, own], METERS) == []


@pytest.mark.parametrize(
    "item",
    [
        shown("grill", "E1.1", "E1.2", 45.6),
        shown("off", "E1.3", "E1.4", math.inf, "W9"),
        shown("off", "X1.E", "M.1", 4.1),
        shown("oven", "X1.L", "X1.N", 13.5),
        shown("oven", "S1.P2", "E2.1", 2.4),
    ],
)
def test_what_is_said_to_be_off_the_list_is_what_fits_here(item: Measured) -> None:
    """Where no list explains a reading, diagnosis names the very failures that fit it here."""
    here = set(fitting(OVEN, [item], METERS, [])) - {("nothing", "")}
    found = posterior(OVEN, [item], METERS)
    spelled = {Mode.OHMS: "ohms", Mode.WELDED: "weld", Mode.LEAKS: "leak"}
    assert {(spelled[f.mode], f.branch) for f in off_list(found, fits=False)} == here


def test_every_wire_contact_and_load_can_fail() -> None:
    """Each branch but sound insulation is among the failures; contacts also weld; sections leak at each end."""
    listed = [(f.what, f.branch) for f in failures(OVEN)]
    for branch in OVEN.branches:
        if branch.kind is BranchKind.INSULATION:
            assert listed.count(("leak", branch.name.split("~")[0])) == 2
        elif math.isfinite(branch.cold_ohms):
            assert ("ohms", branch.name) in listed
        if branch.kind is BranchKind.CONTACT:
            assert ("weld", branch.name) in listed
    assert CELLS[0] <= 0.01
    assert (CELLS[1:] / CELLS[:-1]).max() < 1.4


@pytest.mark.parametrize("position", ["off", "oven", "grill"])
def test_its_circuits_agree_with_those_of_the_core(position: str) -> None:
    """Ohms between terminals, parts just as the file has them, agree with the circuit floor to 1 part in 10⁶."""
    pairs = [("X1.L", "X1.N"), ("E1.1", "E1.2"), ("E2.1", "S1.3"), ("F1.1", "F1.2"), ("X1.E", "M2.1")]
    core = probe_ohms(OVEN, [State(position)], pairs)[0]
    ends = [b.ends for b in OVEN.branches]
    for (a, b), ohms in zip(pairs, core.tolist(), strict=True):
        row = ohms_in(OVEN, shown(position, a, b, 1.0), [], 0)
        found = solved(len(OVEN.terminals), ends, np.array([row]), OVEN.terminal(a), OVEN.terminal(b))
        assert math.isinf(found[0]) if ohms > 1e6 else found[0] == pytest.approx(ohms, rel=1e-6)


def test_a_sound_appliance_needs_no_failure() -> None:
    """A good reading leaves nothing wrong; and without a complaint no failure is looked for then."""
    good = shown("off", "E2.1", "E2.2", 33.7, "W10")
    assert fitting(OVEN, [good], METERS, []) == [("nothing", "")]

"""What a person would notice: against what the trade expects of each fault, and against a second computation."""

from __future__ import annotations

import math
from dataclasses import replace

import networkx
import pytest
from diagnosis_samples import APPLIANCES, appliance

from probebook.appliances import BranchKind, FaultKind, State, branch_ends, branch_ohms
from probebook.diagnosis import Symptom, hypotheses, model_of, noticed, symptoms
from probebook.diagnosis.symptom_table import (
    COLD,
    HOLDS,
    NORMAL,
    OFF,
    PROTECTION,
    RIGHT,
    SHORT_OF,
    TEMPERATURE,
    TOO_COOL,
    TOO_HOT,
    WEAKLY,
)

#: What joins terminals without being a load.
JOINS = (BranchKind.WIRE, BranchKind.CONTACT, BranchKind.FUSE)


@pytest.mark.parametrize("name", APPLIANCES)
def test_a_sound_appliance_does_what_its_positions_say(name: str) -> None:
    """Sound, every load of a position works normally, nothing trips, and the temperature is right where it is set."""
    which = appliance(name)
    found = symptoms(which, ())
    for position in which.positions:
        here = {s.subject: s.how for s in found if s.position == position.name}
        for load in position.heats:
            branch = which.branches[which.branch(load)]
            assert here[branch.place or load] == NORMAL
        if position.heats:
            assert here[PROTECTION] == HOLDS
            assert here.get(TEMPERATURE, RIGHT) == RIGHT


@pytest.mark.parametrize("name", APPLIANCES)
def test_every_hypothesis_has_symptoms_and_a_user_setting_those_of_a_sound_appliance(name: str) -> None:
    """The table holds every hypothesis, once a position and subject, and a user setting changes nothing in it."""
    which = appliance(name)
    table = model_of(which).symptom_table
    assert list(table) == [h.faults for h in hypotheses(which)]
    for found in table.values():
        assert len({(s.position, s.subject) for s in found}) == len(found)
    for fault in which.faults:
        if not fault.changes and not fault.offset and not fault.volts and not fault.stops:
            assert noticed(which, [fault.id]) == ()


@pytest.mark.parametrize(
    ("faults", "expected"),
    [
        (["base-open"], [("oven", "base", OFF), ("oven", TEMPERATURE, SHORT_OF), ("oven", "top", NORMAL)]),
        (["inner-open"], [("half-grill", "grill", OFF), ("grill", "top", NORMAL), ("oven", TEMPERATURE, RIGHT)]),
        (["cutout-open"], [("oven", "base", OFF), ("oven", TEMPERATURE, COLD), ("oven", "H1", NORMAL)]),
        (["thermostat-welded"], [("oven", TEMPERATURE, TOO_HOT), ("oven", "base", NORMAL)]),
        (["thermostat-low"], [("oven", TEMPERATURE, TOO_COOL)]),
        (["lamp-open"], [("lamp", "H1", OFF), ("oven", "base", NORMAL)]),
        (["low-supply"], [("oven", "top", WEAKLY), ("oven", "base", WEAKLY), ("lamp", "H1", WEAKLY)]),
        (["base-tag-burnt"], [("oven", "base", WEAKLY), ("grill", "top", NORMAL)]),
        (["contact-m-burnt"], [("oven", "H2", OFF), ("lamp", "H1", NORMAL)]),
        (["base-open", "lamp-open"], [("oven", "base", OFF), ("oven", "H1", OFF)]),
    ],
)
def test_faults_of_the_oven_show_as_the_trade_knows_them(
    faults: list[str], expected: list[tuple[str, str, str]]
) -> None:
    """Each fault of the conventional oven shows itself as a person of the trade expects.

    Common practice, no published source.
    """
    found = set(symptoms(appliance(), faults))
    for position, subject, how in expected:
        assert Symptom(position, subject, how) in found


@pytest.mark.parametrize("name", APPLIANCES)
def test_a_load_that_is_off_has_no_path_and_one_that_works_has(name: str) -> None:
    """With one fault a lamp or motor is off exactly when line and neutral do not both reach it, by graph search.

    Faults that stop a motor or the supply, and devices that trip, are left out: they are not a matter of paths.
    """
    which = appliance(name)
    for fault in which.faults:
        if fault.stops or fault.volts:
            continue
        found = symptoms(which, [fault.id])
        for position in which.positions:
            here = {s.subject: s.how for s in found if s.position == position.name}
            if here.get(PROTECTION, HOLDS) != HOLDS:
                continue
            ohms = branch_ohms(which, [State(position.name, faults=frozenset({fault.id}))], hot=True)[0]
            for load in position.heats:
                branch = which.branches[which.branch(load)]
                if branch.kind not in (BranchKind.LAMP, BranchKind.MOTOR):
                    continue
                graph = networkx.Graph()
                graph.add_nodes_from(range(len(which.terminals)))
                for (i, j), r, b in zip(branch_ends(which).tolist(), ohms.tolist(), which.branches, strict=True):
                    if b.kind in JOINS and math.isfinite(r):
                        graph.add_edge(i, j)
                reached = [
                    {e for e in branch.ends if networkx.has_path(graph, which.terminal(pole), e)}
                    for pole in (which.line, which.neutral)
                ]
                both = all(reached) and len(reached[0] | reached[1]) == 2 and ohms[which.branch(load)] < 1e6
                if here[load] == OFF:
                    assert not both
                if here[load] == NORMAL:
                    assert both


def test_leakage_trips_the_residual_device_and_nothing_less_does() -> None:
    """A device of 30 mA trips for a leak that passes 30 mA at 230 V, 7.7 kΩ, and never for less than 15 mA, 15.3 kΩ.

    IEC 61008-1: half the rated residual current must not trip, all of it must.
    """
    for name in APPLIANCES:
        which = appliance(name)
        for fault in which.faults:
            forced = [c for c in fault.changes if "~" in c.branch and c.force]
            if not forced or not which.supply.residual_amps:
                continue
            least = min(min(c.force or 1e9, c.force_hot if c.force_hot is not None else c.force or 1e9) for c in forced)
            hows = {s.how for s in symptoms(which, [fault.id]) if s.subject == PROTECTION}
            trips = any("residual" in how for how in hows)
            limit = which.supply.volts / which.supply.residual_amps
            if least > 2 * limit:
                assert not trips, (name, fault.id)
            if trips:
                assert least <= 2 * limit


def test_a_heater_on_a_lower_resistance_is_too_strong() -> None:
    """An element that drifted far down takes more than 1.15 of its watts and is said to be too strong, not normal.

    By ohms alone: watts at the same volts go with 1 over ohms.
    """
    which = appliance()
    base = next(f for f in which.faults if f.kind is FaultKind.DRIFT)
    low = replace(base, changes=tuple(replace(c, factor=0.8) for c in base.changes))
    drifted = replace(which, faults=tuple(low if f.id == base.id else f for f in which.faults))
    place = next(b.place for b in which.branches if b.name == base.changes[0].branch)
    hows = {s.how for s in symptoms(drifted, [base.id]) if s.subject == place}
    assert "too strong" in hows

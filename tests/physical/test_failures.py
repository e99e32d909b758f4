"""Failures that fit what was read and seen: the worst cases of old, by hand, and the key of every case."""

from __future__ import annotations

import math

import pytest

from probebook.cases.generate import case_instance, case_meters, make_case
from probebook.cases.library import library
from probebook.physical import Failure, InUse, Mode, Read, Setting, fitting, same_as

TRADE = library()
OVEN = TRADE.appliance("conventional-oven")
KETTLE = TRADE.appliance("kettle")


def shown(position: str, a: str, b: str, ohms: float, *lifted: str, insulation: bool = False) -> Read:
    """A reading to a few per cent."""
    volts = 500.0 if insulation else 1.0
    low, high = (20e6, math.inf) if math.isinf(ohms) else (ohms * 0.98 - 0.1, ohms * 1.02 + 0.1)
    return Read(Setting(position, lifted=frozenset(lifted), volts=volts), (a, b), max(low, 0.0), high, insulation)


def names(found: tuple[Failure, ...]) -> set[str]:
    """Mode and branch of each."""
    return {f"{f.mode}:{f.branch}" for f in found}


#: The outer grill circuit and the lamp, where the inner circuit should be beside them.
GRILL = shown("grill", "E1.1", "E1.2", 45.6)


def test_a_reading_across_another_circuit_condemns_nothing() -> None:
    """The outer circuit alone at full grill: inner circuit, contact b, its feed or its neutral may be open."""
    found = names(fitting(OVEN, [GRILL]))
    assert {"ohms:E1.inner", "ohms:S1.b", "ohms:W6", "ohms:W9"} <= found
    assert "ohms:E2.heater" not in found
    own = shown("off", "E1.3", "E1.4", math.inf, "W9")
    assert names(fitting(OVEN, [GRILL, own])) == {"ohms:E1.inner"}
    sound = shown("off", "E1.3", "E1.4", 37.0, "W9")
    assert "ohms:E1.inner" not in names(fitting(OVEN, [GRILL, sound]))


def test_line_to_earth_pins_a_leak_on_no_section() -> None:
    """Low from line to earth at oven: every section may leak; with the base element alone and low, none but that."""
    line = shown("oven", "X1.L", "X1.E", 50e3, insulation=True)
    found = names(fitting(OVEN, [line]))
    assert {"leaks:E1.outer", "leaks:E1.inner", "leaks:E2.heater"} <= found
    own = shown("off", "E2.2", "M.1", 50e3, "W7", "W10", insulation=True)
    assert names(fitting(OVEN, [line, own])) == {"leaks:E2.heater"}


def test_a_chain_from_line_leaves_each_link() -> None:
    """No path from line to the outlet of the thermostat: wires, cut-out, contact m; across the cut-out, it alone."""
    chain = shown("oven", "X1.L", "S1.P2", 210.0)
    found = names(fitting(OVEN, [chain, shown("oven", "X1.L", "X1.N", 176.0)]))
    assert {"ohms:F1", "ohms:W2", "ohms:W3", "ohms:S1.m"} <= found
    assert names(fitting(OVEN, [shown("off", "F1.1", "F1.2", math.inf)])) == {"ohms:F1"}


def test_a_lead_is_one_of_the_links_of_a_kettle() -> None:
    """Open from line to the far side of the switch: plug, fuse, flex, switch."""
    found = names(fitting(KETTLE, [shown("boil", "X1.L", "S1.2", math.inf)]))
    assert found == {"ohms:W1", "ohms:FU1", "ohms:W2", "ohms:W5", "ohms:S1.a"}


@pytest.mark.parametrize(("ohms", "fits"), [(35.0, False), (45.0, True), (63.0, True), (12.0, True), (32.0, False)])
def test_an_element_of_another_value_is_a_failure_of_any_value(ohms: float, fits: bool) -> None:
    """The base element alone: its own ohms to five per cent are sound, more or less than that is that element's."""
    found = fitting(OVEN, [shown("off", "E2.1", "E2.2", ohms, "W10")])
    assert ("ohms:E2.heater" in names(found)) is fits
    assert (Mode.NONE in {f.mode for f in found}) is not fits


def test_a_welded_thermostat_reads_closed_when_it_should_be_open() -> None:
    """Nought across the thermostat with its knob turned down is the contact welded, and nothing else."""
    at_rest = Read(Setting("off", calling=False), ("B1.1", "B1.2"), 0.0, 0.2)
    assert names(fitting(OVEN, [at_rest])) == {"welded:B1"}


def test_use_tells_what_no_reading_did() -> None:
    """The base stays cold at oven and all else does as it should: what feeds the base alone, and nothing before it."""
    seen = InUse(
        "oven",
        {"top": "normal", "base": "off", "H1": "normal", "H2": "normal", "temperature": "never reaches it"},
    )
    found = names(fitting(OVEN, [], [seen]))
    assert {"ohms:E2.heater", "ohms:W7", "ohms:W10", "ohms:S1.c"} == found
    everything = InUse("oven", {**dict.fromkeys(("top", "base", "H1", "H2"), "normal"), "temperature": "right"})
    assert Mode.NONE in {f.mode for f in fitting(OVEN, [], [everything])}


def test_where_nothing_is_amiss_only_what_explains_the_complaint_counts() -> None:
    """With all good so far, a base said to stay cold leaves its own path, not the lamp; no complaint leaves nothing."""
    good = [shown("off", "X1.L", "S1.P1", 0.01)]
    told = InUse("oven", {"base": "off"}, complete=False)
    found = names(fitting(OVEN, good, (), [told]))
    assert {"ohms:E2.heater", "ohms:W7", "ohms:W10", "ohms:S1.c"} <= found
    assert "ohms:H1" not in found
    assert names(fitting(OVEN, good)) == {"nothing:"}


def test_one_fault_being_there_the_other_has_to_be_shown_too() -> None:
    """With the base element open given, the lamp is proved by its own reading and by nothing that base explains."""
    base = OVEN.fault("base-open")
    own = shown("off", "E2.1", "E2.2", math.inf, "W10")
    assert Mode.NONE in {f.mode for f in fitting(OVEN, [own], given=[base])}
    lamp = shown("off", "H1.1", "H1.2", math.inf, "W11")
    assert names(fitting(OVEN, [own, lamp], given=[base])) == {"ohms:H1"}


@pytest.mark.parametrize(
    ("fault", "same"),
    [
        ("base-open", {(Mode.OHMS, "E2.heater")}),
        ("base-tag-burnt", {(Mode.OHMS, "W10")}),
        ("base-damp", {(Mode.LEAKS, "E2.heater")}),
        ("thermostat-welded", {(Mode.WELDED, "B1")}),
        ("feeds-crossed", set()),
        ("low-supply", set()),
    ],
)
def test_what_a_listed_fault_is_here(fault: str, same: set[tuple[Mode, str]]) -> None:
    """Each fault of the file is one way of one branch to fail; a wire in a wrong place and a low supply are none."""
    assert same_as(OVEN, [OVEN.fault(fault)]) == same


@pytest.mark.parametrize("appliance_id", TRADE.appliance_ids)
def test_the_key_of_a_case_is_among_what_fits(appliance_id: str) -> None:
    """Parts and faults as they were made, instruments as they err: the true failure is never thrown out."""
    from probebook.cases.condemning import evidence_here

    for level in (1, 2, 3):
        case = make_case(TRADE, appliance_id, "kept", level)
        assert case_instance(case, TRADE).faults == set(case.truth)
        appliance = TRADE.appliance(appliance_id)
        key = same_as(appliance, [appliance.fault(f) for f in case.truth])
        reads, seen, told = evidence_here(appliance, case.evidence, case_meters(case, TRADE))
        if key:
            assert key & {f.what for f in fitting(appliance, reads, seen, told)}, case.id

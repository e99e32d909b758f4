"""What prompts say of a situation: controls, wires that are off, meters, pictures of them."""

from __future__ import annotations

import pytest

from probebook.appliances import State
from probebook.cases.library import library
from probebook.meters import Function
from probebook.questions import situation_words as sw

TRADE = library()
WORDS = TRADE.words


def test_a_regulator_is_on_or_off_and_calls_for_nothing() -> None:
    """An energy regulator is said to be on, or in the off part of its cycle, and nothing at its off mark."""
    grill = TRADE.appliance("eye-level-grill")
    on = sw.controls_words(WORDS, grill, State("full"))
    rests = sw.controls_words(WORDS, grill, State("full", calling=False))
    assert on.endswith("R1 is on (closed).")
    assert rests.endswith("R1 is in the off part of the cycle (open).")
    assert "regulator" not in sw.controls_words(WORDS, grill, State("off"))


def test_thermostats_are_told_apart_by_how_they_stand() -> None:
    """Of two thermostats, one satisfied, each has a sentence of its own; alike they share one."""
    oven = TRADE.appliance("double-oven")
    position = oven.positions[-1].name
    both = sw.controls_words(WORDS, oven, State(position))
    one = sw.controls_words(WORDS, oven, State(position, satisfied=frozenset({"B1"})))
    assert both.count(" call for heat (closed).") == 1
    assert "B2 calls for heat (closed)." in one
    assert "B1 does not call (open)." in one


def test_a_lifted_wire_is_told_at_the_probed_end() -> None:
    """A wire is told with colour and ends, and where it is off when a probe is there."""
    oven = TRADE.appliance("conventional-oven")
    wire = oven.wires[0]
    told = sw.lift_words(WORDS, oven, [wire.mark], [wire.end])
    assert told.startswith(
        f"Wire **{wire.mark}** ({wire.colour}, {wire.start} to {wire.end}) is lifted off {wire.end};"
    )
    assert sw.lift_words(WORDS, oven, []) == "Every wire is on."


@pytest.mark.parametrize("function", list(Function))
def test_every_function_of_a_meter_has_its_sentence(function: Function) -> None:
    """Leads are told where they count, and the volts of an insulation test."""
    meter = TRADE.meter_for("bench")
    told = sw.meter_words(WORDS, meter, function, nulled=True, test_volts=500.0)
    assert told.endswith(", leads nulled.") is function.through_leads
    assert ("at 500 V" in told) is (function is Function.INSULATION)

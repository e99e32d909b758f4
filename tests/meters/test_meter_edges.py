"""Where the beeper changes its mind, and what nulling leaves in a budget."""

from __future__ import annotations

import pytest
from meters_setting import BENCH, POCKET

from probebook.meters import Function, budget, limits, read


@pytest.mark.parametrize(("short", "beeps"), [(0.01, True), (0.0, False), (-0.01, False), (-2.4, False)])
def test_the_beeper_sounds_below_its_ohms_and_not_at_them(short: float, beeps: bool) -> None:
    """A beeper of 25 Ω sounds at 24.99 Ω; at 25 Ω, 25.01 Ω and 27.4 Ω it is silent. The leads are nulled."""
    assert BENCH.beeper_ohms == 25.0
    assert read(BENCH, Function.CONTINUITY, 25.0 - short, nulled=True).beeps is beeps


@pytest.mark.parametrize(("ohms", "beeps"), [(29.5, True), (29.7, False)])
def test_leads_bring_a_reading_nearer_to_the_beepers_edge(ohms: float, beeps: bool) -> None:
    """0.4 Ω of leads that are not nulled count: a beeper of 30 Ω sounds up to 29.6 Ω at the tips."""
    assert (POCKET.beeper_ohms, POCKET.lead_ohms) == (30.0, 0.4)
    assert read(POCKET, Function.CONTINUITY, ohms).beeps is beeps


def test_what_nulling_leaves_is_in_the_budget() -> None:
    """26.0 Ω nulled: 0.5 % of it, two digits of 0.1 Ω, and one digit more that nulling may leave: 0.43 Ω (by hand)."""
    rows = {row.quantity: row for row in budget(BENCH, read(BENCH, Function.OHMS, 26.0, nulled=True), 230.0).rows}
    assert rows["resistance-accuracy"].half_width == pytest.approx(0.005 * 26.0 + 2 * 0.1 + 0.1)
    rows = {row.quantity: row for row in budget(BENCH, read(BENCH, Function.OHMS, 25.8), 230.0).rows}
    assert rows["resistance-accuracy"].half_width == pytest.approx(0.005 * 26.0 + 2 * 0.1)
    low, high = limits(BENCH, Function.OHMS, 26.0, resolution=0.1, nulled=True)
    assert high - low == pytest.approx(2 * (0.005 * 26.0 + 2 * 0.1 + 0.1 + 0.05), abs=0.001)

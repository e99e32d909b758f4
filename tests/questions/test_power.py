"""Keys of power questions worked out by hand from what the prompt says, and against a circuit simulator."""

from __future__ import annotations

import re

import pytest
from bank_checks import asked, figures, position_of, sample

import spice
from probebook.appliances import Appliance, PartKind, State, branch_ends, branch_ohms
from probebook.cases.library import library
from probebook.questions import scene as sc
from probebook.questions import situation_words as sw
from probebook.questions.model import Kind, Question

TRADE = library()


def _holds(question: Question, value: float, key: str = "") -> bool:
    band = (question.field(key) if key else question.fields[0]).band
    assert band is not None
    return band.holds(value)


def _volts(question: Question) -> float:
    return figures(question.prompt, r"(?:supply is|at|from) \**(\d+) V")[0]


def _simulated_watts(appliance: Appliance, position: str, **changes: float) -> dict[str, float]:
    """Watts of each section by ngspice, with branches changed (``E1_outer`` for E1.outer)."""
    volts = appliance.plate.volts
    ohms = branch_ohms(appliance, [State(position)], hot=True, test_volts=volts)[0].copy()
    for name, value in changes.items():
        ohms[appliance.branch(name.replace("_", "."))] = value
    line, neutral = appliance.terminal(appliance.line), appliance.terminal(appliance.neutral)
    # Terminals that nothing joins to the supply get a path of 1 GΩ to neutral, so that none floats.
    n = len(appliance.terminals)
    ends = [(int(a), int(b)) for a, b in branch_ends(appliance)] + [(t, neutral) for t in range(n) if t != neutral]
    table = [*map(float, ohms), *[1e9] * (n - 1)]
    sections = sc.sections(appliance)
    asks = [f"v(t{t})" for s in sections for t in s.ends]
    found = dict(zip(asks, spice.operating_point(ends, table, {line: volts, neutral: 0.0}, asks), strict=True))
    return {
        s.name: (found[f"v(t{s.ends[0]})"] - found[f"v(t{s.ends[1]})"]) ** 2 / float(ohms[appliance.branch(s.name)])
        for s in sections
    }


def test_watts_ohms_and_amps_by_hand() -> None:
    """P = V²/R, R = V²/P and I = V/R from the figures of the prompt give the key (Ohm's law, Joule's law)."""
    for form in ("watts", "ohms", "amps"):
        for _, question in sample(TRADE, Kind.POWER, form):
            volts = _volts(question)
            if form == "ohms":
                watts = figures(question.prompt, r"\*\*([\d.]+) W\*\*")[0]
                assert _holds(question, volts**2 / watts)
            else:
                ohms = figures(question.prompt, r"\*\*([\d.]+) Ω\*\*")[0]
                assert _holds(question, volts**2 / ohms if form == "watts" else volts / ohms)
                assert not _holds(question, volts * ohms)


def test_power_goes_with_the_square_of_the_voltage() -> None:
    """At 216, 220, 240 and 253 V a 230 V part takes 0.8820, 0.9149, 1.0888 and 1.2100 of its rating (computed)."""
    published = {207.0: 0.8100, 216.0: 0.8820, 220.0: 0.9149, 240.0: 1.0888, 253.0: 1.2100}
    seen = set()
    for _, question in sample(TRADE, Kind.POWER, "other-voltage", seeds=4):
        watts = figures(question.prompt, r"rated \*\*([\d.]+) W at 230 V\*\*")[0]
        other = figures(question.prompt, r"supply is \*\*(\d+) V\*\*")[0]
        assert _holds(question, watts * published[other])
        seen.add(other)
    assert len(seen) >= 4


def test_hot_watts_from_cold_ohms_by_hand() -> None:
    """P = V²/(Ct R) with the factor of the prompt gives the key (handbook definition R_T = Ct R20)."""
    for _, question in sample(TRADE, Kind.POWER, "hot-cold"):
        cold = figures(question.prompt, r"reads \*\*([\d.]+) Ω\*\*")[0]
        factor = figures(question.prompt, r"\*\*([\d.]+) times\*\*")[0]
        volts = _volts(question)
        assert _holds(question, volts**2 / (factor * cold))
        assert not _holds(question, volts**2 / cold)


def test_totals_by_the_simulator() -> None:
    """The watts of a position are what ngspice finds in its sections, hot.

    Relays, whose contacts hang on what the simulator finds, have a comparison of their own (tests/appliances).
    """
    for appliance in TRADE.appliance_ids:
        if any(part.kind is PartKind.RELAY for part in TRADE.appliance(appliance).parts):
            continue
        question = asked(TRADE, Kind.POWER, "total", appliance, 1, "totals")
        if question is None:
            continue
        item = TRADE.appliance(appliance)
        watts = _simulated_watts(item, position_of(TRADE, appliance, question))
        assert _holds(question, sum(watts.values())), (appliance, watts)


def test_shares_by_the_simulator() -> None:
    """The heat left with one element open is what ngspice finds with that section taken out."""
    checked = 0
    for appliance in TRADE.appliance_ids:
        question = asked(TRADE, Kind.POWER, "share", appliance, 1, "shares")
        if question is None:
            continue
        item = TRADE.appliance(appliance)
        position = position_of(TRADE, appliance, question)
        name = re.findall(r"The \*\*(.+?)\*\* has gone open", question.prompt)[0]
        section = next(s for s in sc.sections(item) if sw.name(TRADE.words, item, s).text == name)
        whole = sum(_simulated_watts(item, position).values())
        left = sum(
            watts
            for s, watts in _simulated_watts(item, position, **{section.name.replace(".", "_"): 1e15}).items()
            if s != section.name
        )
        assert _holds(question, left / whole)
        checked += 1
    assert checked >= 5


def test_sections_in_series_by_the_simulator() -> None:
    """A seven-heat plate's series positions take what ngspice finds, and less than any of their sections alone."""
    for seed in ("one", "two", "three"):
        question = asked(TRADE, Kind.POWER, "series", "solid-plate", 1, seed)
        assert question is not None
        item = TRADE.appliance("solid-plate")
        watts = _simulated_watts(item, position_of(TRADE, "solid-plate", question))
        total = sum(watts.values())
        assert _holds(question, total)
        on = [s for s in sc.sections(item) if watts[s.name] > 1]
        assert total == pytest.approx(item.plate.volts**2 / sum(s.hot_ohms for s in on), rel=1e-3)
        assert total < min(s.watts for s in on)


def test_branch_currents_by_hand() -> None:
    """Each branch takes its watts over the volts; what comes back is the same (Kirchhoff)."""
    for _, question in sample(TRADE, Kind.POWER, "branch-amps"):
        watts = figures(question.prompt, r"\*\* \(([\d.]+) W\)")[0]
        assert _holds(question, watts / _volts(question), "amps")
        assert question.field("back").answer == "same"


def test_ohms_of_lamps_and_motors_give_no_watts() -> None:
    """The right choice for a lamp or motor is its rating, and the sum from cold ohms is a slip (common practice)."""
    for form in ("lamp", "motor"):
        for _, question in sample(TRADE, Kind.POWER, form, seeds=1):
            rating = figures(question.prompt, r"rated \*\*([\d.]+) W")[0]
            field = question.fields[0]
            chosen = next(o.text for o in field.options if o.id == field.answer)
            assert chosen.startswith(f"about {rating:g} W")
            assert {slip.slip for slip in question.slips} >= {f"{form}-for-element"}

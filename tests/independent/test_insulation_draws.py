"""Insulation in parallel: the posterior is that of importance draws through exact circuits."""

from __future__ import annotations

import pytest
from insulation_draws import compare, reference, sample

from probebook.appliances import Appliance, FaultKind
from probebook.cases.library import library
from probebook.diagnosis import Measured, posterior, reading
from probebook.meters import Function, Meter

DRAWS = 20_000
#: Random sets, by seed, that the draws reach in a second or two each.
SETS = (2, 8, 17, 22)


def instruments() -> list[Meter]:
    """The bench multimeter and the insulation tester."""
    return [library().meter_for(role) for role in ("bench", "insulation")]


def insulated(position: str, a: str, b: str, megohms: float, *, dried: bool = False) -> Measured:
    """An insulation reading of so many megohms."""
    return Measured(reading(position, a, b, Function.INSULATION, dried=dried), megohms * 1e6)


#: Readings that were published with this project's review of its own linear treatment, which erred by up to 0.24 in
#: them; the fourth had a probability of 1e-300 for the true fault.
PUBLISHED = {
    "3 megohm, line to earth at full grill": ("conventional-oven", [insulated("grill", "X1.L", "X1.E", 3.0)]),
    "10 megohm, line to earth at oven": ("conventional-oven", [insulated("oven", "X1.L", "X1.E", 10.0)]),
    "1.2 megohm, neutral to earth": ("conventional-oven", [insulated("off", "X1.N", "X1.E", 1.2)]),
    "solid plate with section b open": (
        "solid-plate",
        [
            Measured(reading("2", "E1.1", "E1.2", lifted={"W4"}), 57.8),
            insulated("1", "X1.L", "X1.E", 34.1),
            insulated("3", "X1.N", "X1.E", 881.0),
            insulated("6", "X1.L", "X1.E", 32.7),
        ],
    ),
    "wet, then dried": (
        "conventional-oven",
        [insulated("off", "X1.N", "X1.E", 0.58), insulated("off", "X1.N", "X1.E", 120.0, dried=True)],
    ),
    "as low after drying": (
        "conventional-oven",
        [insulated("off", "X1.N", "X1.E", 0.05), insulated("off", "X1.N", "X1.E", 0.05, dried=True)],
    ),
}


@pytest.mark.parametrize("name", PUBLISHED)
def test_published_evidence_is_weighed_as_draws_weigh_it(name: str) -> None:
    """Every hypothesis has the probability that importance draws give it, within 0.01."""
    which, evidence = PUBLISHED[name]
    apart, error, _ = compare(library().appliance(which), evidence, instruments(), DRAWS)
    assert error < 0.003
    assert apart < 0.01


@pytest.mark.parametrize("number", SETS)
def test_random_evidence_is_weighed_as_draws_weigh_it(number: int) -> None:
    """Random readings, a third of them of insulation: within 0.01 of importance draws, and what these leave open."""
    appliance, evidence, meters = sample(library(), number + 1)[number]
    apart, error, _ = compare(appliance, evidence, meters, DRAWS)
    assert error < 0.006
    assert apart < 0.01 + error


def probability(appliance: Appliance, evidence: list[Measured], *faults: str) -> float:
    """What the project gives a set of faults."""
    return posterior(appliance, evidence, instruments()).probability_of(faults)


def test_a_true_open_section_is_found_through_its_insulation() -> None:
    """Readings that an open section b explains exactly leave it likely: 34.1 and 32.7 megohm are not the same paths."""
    which, evidence = PUBLISHED["solid plate with section b open"]
    assert probability(library().appliance(which), evidence, "b-open") > 0.9


def test_what_recovers_is_damp_and_what_does_not_is_a_leak() -> None:
    """Low before drying and good after it is damp; as low after it is a leak; a reading of all says not of which part.

    Damp in the filling of an element is cured by drying, a cracked sheath is not: common practice, no published source.
    """
    for name, kind in (("wet, then dried", FaultKind.DAMP), ("as low after drying", FaultKind.LEAK)):
        which, evidence = PUBLISHED[name]
        appliance = library().appliance(which)
        assert sum(probability(appliance, evidence, f.id) for f in appliance.faults if f.kind is kind) > 0.9


def test_the_draws_themselves_repeat() -> None:
    """Two independent runs of the reference agree within the error that it states, five times over."""
    which, evidence = PUBLISHED["10 megohm, line to earth at oven"]
    appliance = library().appliance(which)
    one, other = (reference(appliance, evidence, instruments(), DRAWS, seed) for seed in (1, 2))
    for h, p in one.probabilities.items():
        assert abs(p - other.probabilities[h]) <= 5.0 * (one.errors[h] + other.errors[h]) + 1e-6

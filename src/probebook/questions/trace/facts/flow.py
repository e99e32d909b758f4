"""What carries current in a state, by the energised solution at working temperature."""

from __future__ import annotations

from collections.abc import Iterable

from probebook.appliances import Appliance, State, at_work, working
from probebook.appliances.assumed import Checking
from probebook.questions import scene as sc
from probebook.questions.trace.figures import figures_of

__all__ = ["carrying", "in_order", "neutral_side", "on_at"]


def carrying(appliance: Appliance, state: State) -> frozenset[str]:
    """Names of all branches that carry current in a state.

    A load that works carries current; what is no load carries some when more goes through it than nothing, insulation
    taken as perfect: what leaks to earth is not what a learner traces.
    """
    flow = working(appliance, [state], volts=appliance.plate.volts, leaking=False)
    least, part = figures_of(appliance).carrying, appliance.assumptions.get(Checking).works_part
    loads = frozenset(b.name for b in sc.loads(appliance))
    others = frozenset(
        b.name for b, amps in zip(appliance.branches, flow.amps[0], strict=True) if abs(float(amps)) > least
    )
    return (at_work(appliance, flow, 0, part) & loads) | (others - loads)


def on_at(appliance: Appliance, state: State) -> frozenset[str]:
    """Names of the loads that carry current in a state."""
    names = {b.name for b in sc.loads(appliance)}
    return carrying(appliance, state) & names


def in_order(appliance: Appliance, names: Iterable[str]) -> list[str]:
    """Names in the order of the appliance's branches."""
    return sorted(names, key=appliance.branch)


def neutral_side(appliance: Appliance, marks: Iterable[str], state: State) -> frozenset[str]:
    """Those of the wires that lie on the neutral side: less than half the supply above earth."""
    flow = working(appliance, [state], volts=appliance.plate.volts)
    half = appliance.plate.volts / 2
    return frozenset(
        mark for mark in marks if float(flow.volts[0, appliance.terminal(appliance.wire(mark).start)]) < half
    )

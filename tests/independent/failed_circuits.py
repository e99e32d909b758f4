"""Failures that no file lists, drawn by the weights that are stated for such and put into the circuit as branches."""

from __future__ import annotations

import math
import random
from dataclasses import replace

import numpy as np

from probebook.appliances import Appliance, Branch, BranchKind
from probebook.cases.instance import Instance
from probebook.diagnosis.open.ways import Sort, Way, list_ways


def draw_failure(which: Appliance, rng: random.Random) -> tuple[Way, float]:
    """A failure off the list, and its value."""
    ways = list_ways(which)
    way = rng.choices(ways, [w.weight for w in ways])[0]
    low, high = way.least, way.most
    if low == high:
        return way, low
    if way.sort is Sort.LEAK:
        middle, quarter = math.log(low * high) / 2.0, math.log(high / low) / 4.0
        return way, math.exp(rng.gauss(middle, quarter))
    return way, math.exp(rng.uniform(math.log(low), math.log(high)))


def failed(which: Appliance, way: Way, value: float, made: Instance) -> Instance:
    """The very appliance with a failure in it: branches changed and added by hand."""
    at = which.branch(way.branch)
    branches, spread = list(which.branches), made.spread.tolist()
    terminals = list(which.terminals)
    old = branches[at]
    own = old.cold_ohms * spread[at]
    if way.sort in (Sort.OPEN, Sort.MOVED):
        branches[at] = replace(old, cold_ohms=math.inf, strikes_at=0.0)
    elif way.sort is Sort.JOINT:
        branches[at], spread[at] = replace(old, cold_ohms=own + value), 1.0
    elif way.sort in (Sort.VALUE, Sort.TURNS):
        branches[at], spread[at] = replace(old, cold_ohms=value), 1.0
    if way.sort is Sort.WELDED:
        added = [Branch(f"{way.branch}!", BranchKind.WIRE, old.ends, value, value, "weld")]
    elif way.sort is Sort.MOVED:
        stays, _, to = way.between
        added = [Branch(f"{way.branch}!", BranchKind.WIRE, (stays, to), own, own, old.part)]
    elif way.sort is Sort.LEAK:
        one, two, metal = way.between
        start = one
        added = []
        if one != two:
            start = len(terminals)
            terminals.append("inside.1")
            branches[at] = replace(old, ends=(one, start), cold_ohms=old.cold_ohms / 2)
            added = [replace(old, name="other half", ends=(start, two), cold_ohms=old.cold_ohms / 2)]
        added.append(Branch(f"{way.branch}!", BranchKind.INSULATION, (start, metal), value, value, "leak"))
    else:
        added = []
    spread += [spread[at] if b.name == "other half" else 1.0 for b in added]
    changed = replace(with_branches(which, (*branches, *added)), terminals=tuple(terminals), _terminal_index={})
    return replace(made, appliance=changed, spread=np.array(spread))


def with_branches(which: Appliance, branches: tuple[Branch, ...]) -> Appliance:
    """The appliance with other branches."""
    return replace(which, branches=branches, _branch_index={}, _terminal_index={})

"""Which faults can stand together in one appliance."""

from __future__ import annotations

from itertools import combinations

from probebook.appliances.model import Appliance, Fault


def touched(fault: Fault) -> frozenset[str]:
    """What a fault lays hold of: the branches it changes, or what it is on, or the supply."""
    if fault.changes:
        return frozenset(change.branch for change in fault.changes)
    if fault.volts > 0:
        return frozenset({"supply"})
    return frozenset({fault.target or "user"})


def compatible(appliance: Appliance, one: Fault | str, other: Fault | str) -> bool:
    """Whether two faults can stand together.

    They can unless both lay hold of the same thing: a section cannot be both open and drifted, a contact not both
    burnt and welded, a wire not both broken and on the wrong tag. An element can be open and leak, because its
    insulation is another path. KeyError for a fault the appliance does not have.
    """
    a, b = (appliance.fault(f) if isinstance(f, str) else f for f in (one, other))
    return a.id != b.id and touched(a).isdisjoint(touched(b))


def compatible_pairs(appliance: Appliance) -> tuple[tuple[str, str], ...]:
    """Every two faults that can stand together, by id, in the order of the file."""
    return tuple((a.id, b.id) for a, b in combinations(appliance.faults, 2) if compatible(appliance, a, b))

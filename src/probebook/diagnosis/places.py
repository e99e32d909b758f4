"""Where things are in an appliance: the controls at rest, metalwork, the place of a fault, wires."""

from __future__ import annotations

from probebook.appliances import Appliance, BranchKind, Fault, PartKind
from probebook.diagnosis.trial import Trial

__all__ = ["LOADS", "metalwork", "place_of", "pushed_or_warmed", "rest", "wires_at"]

#: What draws power and can be read across its terminals.
LOADS = (BranchKind.ELEMENT, BranchKind.LAMP, BranchKind.MOTOR)


def rest(appliance: Appliance) -> str:
    """The position of the controls at rest: the first that works nothing."""
    return next((p.name for p in appliance.positions if not p.heats), appliance.positions[0].name)


def metalwork(appliance: Appliance) -> tuple[str, ...]:
    """Terminals on metalwork that can be touched, in file order."""
    return tuple(t for part in appliance.parts if part.kind is PartKind.METALWORK for t in part.terminals)


def place_of(appliance: Appliance, fault: Fault) -> str:
    """Mark of the part or wire where a fault is; empty for one that is not in the appliance."""
    if any(w.mark == fault.target for w in appliance.wires):
        return fault.target
    for branch in appliance.branches:
        if branch.name == fault.target:
            return branch.part
    return fault.target if any(p.mark == fault.target for p in appliance.parts) else ""


def pushed_or_warmed(appliance: Appliance, trial: Trial) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Marks of the relays that a trial pushes in by hand, and of the cut-outs that it warms until they operate."""
    relays = {part.mark for part in appliance.parts if part.kind is PartKind.RELAY}
    marks = sorted(trial.opened)
    return tuple(m for m in marks if m in relays), tuple(m for m in marks if m not in relays)


def wires_at(appliance: Appliance, terminal: str) -> tuple[str, ...]:
    """Marks of the wires that end at a terminal, protective conductors left out."""
    return tuple(w.mark for w in appliance.wires if terminal in (w.start, w.end) and not w.is_earth)

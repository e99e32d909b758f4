"""What can be tried: readings of a dead appliance, looks, functional runs, heat-up records.

A trial is a plain record of what somebody does; what it shows is evidence.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from probebook.appliances import State
from probebook.errors import UsageError
from probebook.meters import Function

#: Functions that read a dead appliance.
DEAD_FUNCTIONS = (Function.OHMS, Function.CONTINUITY, Function.INSULATION)


class TrialKind(StrEnum):
    """The sort of trial."""

    METER = "meter"
    LOOK = "look"
    RUN = "run"
    RECORD = "record"


@dataclass(frozen=True, slots=True)
class Trial:
    """One thing done to find out more.

    Attributes
    ----------
    kind
        A reading by meter, a look at a part or wire, a functional run, or a heat-up record.
    position, calling
        Setting of the controls; whether the thermostat is set so that it calls for heat.
    lifted
        Marks of wires of which one end is lifted.
    opened
        Marks of cut-outs that have been warmed until they should have operated, and of relays pushed in by hand.
    function, probes
        What the meter is set to, and the two terminals it is put on. Readings only.
    dried
        Whether the appliance has been dried out first.
    at
        Mark of the part or wire looked at. Looks only.
    """

    kind: TrialKind = TrialKind.METER
    position: str = ""
    calling: bool = True
    lifted: frozenset[str] = frozenset()
    opened: frozenset[str] = frozenset()
    function: Function = Function.OHMS
    probes: tuple[str, str] = ("", "")
    dried: bool = False
    at: str = ""

    def state(self, faults: frozenset[str] = frozenset()) -> State:
        """The appliance in the state this trial finds it in, with these faults."""
        return State(self.position, self.calling, self.lifted, faults, self.opened, self.dried)

    @property
    def key(self) -> tuple[Any, ...]:
        """What trials are put in order by: the same on every machine, in every run."""
        return (
            self.kind.value,
            self.position,
            not self.calling,
            tuple(sorted(self.lifted)),
            tuple(sorted(self.opened)),
            self.function.value,
            self.probes,
            self.dried,
            self.at,
        )


def reading(
    position: str,
    a: str,
    b: str,
    function: Function = Function.OHMS,
    *,
    lifted: frozenset[str] | set[str] | tuple[str, ...] = frozenset(),
    calling: bool = True,
    opened: frozenset[str] | set[str] | tuple[str, ...] = frozenset(),
    dried: bool = False,
) -> Trial:
    """A reading between two terminals."""
    return Trial(
        TrialKind.METER, position, calling, frozenset(lifted), frozenset(opened), function, (a, b), dried=dried
    )


def look(at: str) -> Trial:
    """A look at a part or wire, by its mark."""
    return Trial(TrialKind.LOOK, at=at)


def run(position: str) -> Trial:
    """A functional run in a position, appliance whole and energised."""
    return Trial(TrialKind.RUN, position)


def record(position: str) -> Trial:
    """A heat-up record taken in a position, appliance whole and energised."""
    return Trial(TrialKind.RECORD, position)


def trial_to_json(trial: Trial) -> dict[str, Any]:
    """The trial as plain data; only what differs from the default is written."""
    plain = Trial()
    found: dict[str, Any] = {"kind": trial.kind.value}
    for key in ("position", "calling", "dried", "at"):
        if getattr(trial, key) != getattr(plain, key):
            found[key] = getattr(trial, key)
    for key in ("lifted", "opened"):
        if getattr(trial, key):
            found[key] = sorted(getattr(trial, key))
    if trial.kind is TrialKind.METER:
        found["function"] = trial.function.value
        found["probes"] = list(trial.probes)
    return found


def trial_from_json(data: Mapping[str, Any]) -> Trial:
    """Read what :func:`trial_to_json` wrote; :class:`UsageError` when it is something else."""
    try:
        a, b = data.get("probes", ("", ""))
        return Trial(
            TrialKind(data["kind"]),
            str(data.get("position", "")),
            bool(data.get("calling", True)),
            frozenset(data.get("lifted", ())),
            frozenset(data.get("opened", ())),
            Function(data.get("function", "ohms")),
            (str(a), str(b)),
            bool(data.get("dried", False)),
            str(data.get("at", "")),
        )
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise UsageError(f"this is no trial: {dict(data)!r}", remedy="write it with trial_to_json") from error


def by_number(mark: str) -> tuple[str, int]:
    """Sort key for marks: W9 before W10."""
    digits = "".join(c for c in mark if c.isdigit())
    return mark.rstrip("0123456789"), int(digits or 0)

"""What can be tried: readings of a dead appliance, looks, functional runs, heat-up records.

A trial is a plain record of what somebody does; what it shows is evidence. :func:`trials` lists those that a sensible
person would think of, so that the value of each can be worked out; evidence may hold any other.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from probebook.appliances import Appliance, Branch, BranchKind, Fault, PartKind, State
from probebook.errors import UsageError
from probebook.meters import Function

#: Functions that read a dead appliance.
DEAD_FUNCTIONS = (Function.OHMS, Function.CONTINUITY, Function.INSULATION)

#: Test voltage of the insulation function, V d.c. (the usual one for 230 V appliances).
INSULATION_VOLTS = 500.0


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
        Marks of cut-outs that have been warmed until they should have operated.
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


def trials(appliance: Appliance) -> tuple[Trial, ...]:
    """The sensible trials on an appliance, each once, in a fixed order; a few hundred at most.

    Readings of a dead appliance: each load across its terminals, as wired and with each of its wires lifted; line to
    neutral in each position; each contact in a position that closes it and one that does not, of cut-outs also warmed
    until they should operate; each wire end to end;
    earth to each piece of metalwork; insulation of the whole and of each load with its wires off, also after drying.
    Then looks at whatever can show something, and a functional run and a heat-up record in each working position.
    """
    found = dict.fromkeys(
        (
            *_loads(appliance),
            *_incoming(appliance),
            *_contacts(appliance),
            *_wires(appliance),
            *_earth(appliance),
            *_insulation(appliance),
            *_others(appliance),
        )
    )
    return tuple(found)


def rest(appliance: Appliance) -> str:
    """The position of the controls at rest: the first that works nothing."""
    return next((p.name for p in appliance.positions if not p.heats), appliance.positions[0].name)


def place_of(appliance: Appliance, fault: Fault) -> str:
    """Mark of the part or wire where a fault is; empty for one that is not in the appliance."""
    if any(w.mark == fault.target for w in appliance.wires):
        return fault.target
    for branch in appliance.branches:
        if branch.name == fault.target:
            return branch.part
    return fault.target if any(p.mark == fault.target for p in appliance.parts) else ""


def wires_at(appliance: Appliance, terminal: str) -> tuple[str, ...]:
    """Marks of the wires that end at a terminal, protective conductors left out."""
    return tuple(w.mark for w in appliance.wires if terminal in (w.start, w.end) and not w.is_earth)


def _ends(appliance: Appliance, branch: Branch) -> tuple[str, str]:
    return appliance.terminals[branch.ends[0]], appliance.terminals[branch.ends[1]]


def _of_kind(appliance: Appliance, *kinds: BranchKind) -> Iterator[Branch]:
    return (b for b in appliance.branches if b.kind in kinds)


def _loads(appliance: Appliance) -> Iterator[Trial]:
    still = rest(appliance)
    for load in _of_kind(appliance, BranchKind.ELEMENT, BranchKind.LAMP, BranchKind.MOTOR):
        a, b = _ends(appliance, load)
        yield reading(still, a, b)
        for mark in (*wires_at(appliance, b), *wires_at(appliance, a)):
            yield reading(still, a, b, lifted=(mark,))
        for position in appliance.positions:
            if load.name in position.heats:
                yield reading(position.name, a, b)


def _incoming(appliance: Appliance) -> Iterator[Trial]:
    for position in appliance.positions:
        yield reading(position.name, appliance.line, appliance.neutral)


def _contacts(appliance: Appliance) -> Iterator[Trial]:
    still = rest(appliance)
    cycling = {p.mark for p in appliance.parts if p.kind in (PartKind.THERMOSTAT, PartKind.REGULATOR)}
    limiting = {p.mark for p in appliance.parts if p.kind is PartKind.CUT_OUT}
    for contact in _of_kind(appliance, BranchKind.CONTACT, BranchKind.FUSE):
        a, b = _ends(appliance, contact)
        closing = [p.name for p in appliance.positions if contact.name in p.closes]
        opening = [p.name for p in appliance.positions if contact.name not in p.closes]
        positions = [*closing[:1], *opening[:1]] if closing else [still]
        lifts: list[tuple[str, ...]] = [
            (),
            *((mark,) for mark in (*wires_at(appliance, b), *wires_at(appliance, a))[:1]),
        ]
        if contact.part in limiting:
            yield reading(still, a, b, opened=(contact.part,))
        for position in positions:
            for lifted in lifts:
                yield reading(position, a, b, lifted=lifted)
                if contact.part in cycling:
                    yield reading(position, a, b, lifted=lifted, calling=False)


def _wires(appliance: Appliance) -> Iterator[Trial]:
    still = rest(appliance)
    for wire in appliance.wires:
        yield reading(still, wire.start, wire.end)


def _earth(appliance: Appliance) -> Iterator[Trial]:
    if not appliance.earth:
        return
    for part in appliance.parts:
        if part.kind is PartKind.METALWORK:
            for terminal in part.terminals:
                yield reading(rest(appliance), appliance.earth, terminal)


def _insulation(appliance: Appliance) -> Iterator[Trial]:
    still = rest(appliance)
    to_earth = appliance.earth or next((p.terminals[0] for p in appliance.parts if p.kind is PartKind.METALWORK), "")
    if not to_earth:
        return
    for dried in (False, True):
        yield reading(still, appliance.neutral, to_earth, Function.INSULATION, dried=dried)
        for position in appliance.positions:
            if position.heats:
                yield reading(position.name, appliance.line, to_earth, Function.INSULATION, dried=dried)
    by_name = {b.name: b for b in appliance.branches}
    for path in _of_kind(appliance, BranchKind.INSULATION):
        load = by_name.get(path.name.split("~")[0])
        if load is None:
            continue
        a, b = _ends(appliance, load)
        metal = next((t for t in _ends(appliance, path) if t not in (a, b)), "")
        if not metal:
            continue
        off = frozenset((*wires_at(appliance, a), *wires_at(appliance, b)))
        for dried in (False, True):
            yield reading(still, b, metal, Function.INSULATION, lifted=off, dried=dried)


def _others(appliance: Appliance) -> Iterator[Trial]:
    places = {place_of(appliance, fault) for fault in appliance.faults if fault.looks}
    marks = [p.mark for p in appliance.parts] + [w.mark for w in appliance.wires]
    yield from (look(mark) for mark in marks if mark in places)
    working = [p.name for p in appliance.positions if p.heats]
    yield from (run(name) for name in working)
    if appliance.heat:
        yield from (record(name) for name in working)


def describe(appliance: Appliance, trial: Trial) -> str:
    """The trial in a few words, as a job record would have it."""
    if trial.kind is TrialKind.LOOK:
        return f"look at {_titled(appliance, trial.at)}"
    setting = _setting(appliance, trial)
    if trial.kind is TrialKind.RUN:
        return f"functional run, {setting}"
    if trial.kind is TrialKind.RECORD:
        return f"heat-up record, {setting}"
    words = [f"{trial.function.value} {trial.probes[0]} to {trial.probes[1]}", setting]
    if trial.lifted:
        words.append(f"{joined(sorted(trial.lifted, key=by_number))} off")
    if trial.opened:
        words.append(f"{joined(sorted(trial.opened))} warmed until it should open")
    if trial.dried:
        words.append("after drying out")
    return ", ".join(words)


def _setting(appliance: Appliance, trial: Trial) -> str:
    title = next((p.title for p in appliance.positions if p.name == trial.position), trial.position)
    return f"controls at {title}" + ("" if trial.calling else ", thermostat not calling")


def _titled(appliance: Appliance, mark: str) -> str:
    for part in appliance.parts:
        if part.mark == mark:
            return f"{part.title} ({mark})"
    return f"wire {mark}"


def by_number(mark: str) -> tuple[str, int]:
    """Sort key for marks: W9 before W10."""
    digits = "".join(c for c in mark if c.isdigit())
    return mark.rstrip("0123456789"), int(digits or 0)


def joined(words: list[str]) -> str:
    """Words as English lists them: ``a``, ``a and b``, ``a, b and c``."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"

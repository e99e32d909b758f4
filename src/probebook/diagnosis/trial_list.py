"""The trials that a sensible person would think of, so that the value of each can be worked out.

Evidence may hold any other.
"""

from __future__ import annotations

from collections.abc import Iterator

from probebook.appliances import Appliance, Branch, BranchKind, PartKind
from probebook.appliances.supply.reaching import apart
from probebook.diagnosis.places import LOADS, metalwork, place_of, rest, wires_at
from probebook.diagnosis.trial import Trial, look, reading, record, run
from probebook.meters import Function


def list_trials(appliance: Appliance) -> tuple[Trial, ...]:
    """The sensible trials on an appliance, each once, in a fixed order; a few hundred at most.

    Readings of a dead appliance: each load across its terminals, as wired and with each of its wires lifted; line to
    neutral, of three phases each line to neutral and to each other line, in each position; each contact in a position
    that closes it and one that does not, of cut-outs also warmed until they should operate, of relays pushed in by
    hand; each wire end to end; earth to each piece of metalwork; insulation of the whole and of each load with its
    wires off, also after drying.
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


def _ends(appliance: Appliance, branch: Branch) -> tuple[str, str]:
    return appliance.terminals[branch.ends[0]], appliance.terminals[branch.ends[1]]


def _of_kind(appliance: Appliance, *kinds: BranchKind) -> Iterator[Branch]:
    return (b for b in appliance.branches if b.kind in kinds)


def _loads(appliance: Appliance) -> Iterator[Trial]:
    still, aside = rest(appliance), _to_neons(appliance)
    for load in _of_kind(appliance, *LOADS, BranchKind.COIL):
        a, b = _ends(appliance, load)
        yield reading(still, a, b)
        for mark in (*wires_at(appliance, b), *wires_at(appliance, a)):
            if load.kind is BranchKind.NEON or mark not in aside:
                yield reading(still, a, b, lifted=(mark,))
        for position in appliance.positions:
            if load.name in position.heats:
                yield reading(position.name, a, b)


def _to_neons(appliance: Appliance) -> frozenset[str]:
    """Marks of the wires that lead to a neon: with one of them off, another load is no freer than before."""
    ends = {t for neon in _of_kind(appliance, BranchKind.NEON) for t in _ends(appliance, neon)}
    return frozenset(w.mark for w in appliance.wires if w.start in ends or w.end in ends)


def _incoming(appliance: Appliance) -> Iterator[Trial]:
    feeds = [(fed, appliance.against) for fed in _feeds(appliance)]
    for a, b in (*appliance.live_pairs, *feeds):
        for position in appliance.positions:
            yield reading(position.name, a, b)


def _feeds(appliance: Appliance) -> tuple[str, ...]:
    """The line terminals of a second supply."""
    return tuple(t for part in appliance.parts if part.kind is PartKind.FEED for t in part.terminals)


def _contacts(appliance: Appliance) -> Iterator[Trial]:
    still = rest(appliance)
    cycling = {p.mark for p in appliance.parts if p.kind in (PartKind.THERMOSTAT, PartKind.REGULATOR)}
    worked = {p.mark for p in appliance.parts if p.kind in (PartKind.CUT_OUT, PartKind.RELAY)}
    feeds = {p.mark for p in appliance.parts if p.kind is PartKind.FEED}
    for contact in _of_kind(appliance, BranchKind.CONTACT, BranchKind.FUSE):
        if contact.part in feeds:
            continue  # nothing to be read of a supply that is off
        a, b = _ends(appliance, contact)
        closing = [p.name for p in appliance.positions if contact.name in p.closes]
        opening = [p.name for p in appliance.positions if contact.name not in p.closes]
        positions = [*closing[:1], *opening[:1]] if closing else [still]
        lifts: list[tuple[str, ...]] = [
            (),
            *((mark,) for mark in (*wires_at(appliance, b), *wires_at(appliance, a))[:1]),
        ]
        if contact.part in worked:
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
    for terminal in metalwork(appliance):
        yield reading(rest(appliance), appliance.earth, terminal)


def _insulation(appliance: Appliance) -> Iterator[Trial]:
    still = rest(appliance)
    to_earth = appliance.earth or next(iter(metalwork(appliance)), "")
    if not to_earth:
        return
    for dried in (False, True):
        if appliance.neutral:
            yield reading(still, appliance.neutral, to_earth, Function.INSULATION, dried=dried)
        for line in (*appliance.lines, *_feeds(appliance)):
            for position in appliance.positions:
                if position.heats:
                    yield reading(position.name, line, to_earth, Function.INSULATION, dried=dried)
        for terminal in apart(appliance, still):
            yield reading(still, terminal, to_earth, Function.INSULATION, dried=dried)
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

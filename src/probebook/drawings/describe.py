"""The circuit in plain English: what lies between line and neutral, for people and for screen readers."""

from __future__ import annotations

from collections.abc import Iterable

from probebook.appliances.model import Appliance, Branch, BranchKind, PartKind
from probebook.drawings.colours import conductor_colour
from probebook.drawings.paths import LOADS, SET_BY_HAND, carrying, closed_contacts
from probebook.drawings.units import short_watts

_NOUN = {
    BranchKind.ELEMENT: "",
    BranchKind.LAMP: "lamp",
    BranchKind.MOTOR: "motor",
    BranchKind.NEON: "neon",
}


def load_name(appliance: Appliance, branch: Branch) -> str:
    """A load as it is spoken of: 'E1 top element (grill), outer section, 820 W'."""
    part = appliance.part(branch.part)
    sections = [n for n in part.branches if appliance.branches[appliance.branch(n)].kind is BranchKind.ELEMENT]
    section = f", {branch.name.partition('.')[2]} section" if len(sections) > 1 else ""
    watts = f", {short_watts(branch.watts)}" if branch.watts else ""
    return f"{part.mark} {part.title}{section}{watts}"


def describe(
    appliance: Appliance, position: str | None = None, *, lifted: Iterable[str] = (), calling: bool = True
) -> str:
    """What lies between line and neutral in a position, sentence by sentence.

    For each load that works, the way from line to neutral through terminals, contacts and wires; then what is switched
    off. With no position, every part and what each wire joins. KeyError for an unknown position.
    """
    away = frozenset(lifted)
    heading = appliance.title[:1].upper() + appliance.title[1:]
    supply = f"line at {appliance.line}, neutral at {appliance.neutral}"
    if appliance.earth:
        supply += f", earth at {appliance.earth}"
    sentences = [f"{heading}: {supply}."]
    if away:
        sentences.append(f"Lifted at one end: {_listed(sorted(away))}.")
    if position is None:
        return " ".join([*sentences, *_parts(appliance), *_wires(appliance)])
    place = appliance.position(position)
    cycled = "" if calling else ", thermostat and regulator contacts open"
    sentences.append(f"Controls at '{place.title}'{cycled}.")
    return " ".join(
        [
            *sentences,
            *_ways(appliance, position, away, calling),
            *_contacts(appliance, position, calling),
            *_earthing(appliance),
        ]
    )


def _parts(appliance: Appliance) -> list[str]:
    sentences: list[str] = []
    for part in appliance.parts:
        branches = [appliance.branches[appliance.branch(n)] for n in part.branches]
        loads = [b for b in branches if b.kind in LOADS]
        if loads:
            sentences += [f"{load_name(appliance, b)}, between {_between(appliance, b)}." for b in loads]
        else:
            paths = [b for b in branches if b.kind in (BranchKind.CONTACT, BranchKind.FUSE)]
            joins = [f"{b.name} between {_between(appliance, b)}" for b in paths]
            terminals = f": {_listed(joins)}" if joins else f", {_count(part.terminals)}"
            sentences.append(f"{part.mark} {part.title}{terminals}.")
    return sentences


def _count(terminals: tuple[str, ...]) -> str:
    return f"terminal{'s' if len(terminals) > 1 else ''} {_listed(terminals)}"


def _wires(appliance: Appliance) -> list[str]:
    return [
        f"Wire {w.mark}, {colour.word} ({colour.code}), from {w.start} to {w.end}."
        for w in appliance.wires
        for colour in [conductor_colour(w.colour)]
    ]


def _between(appliance: Appliance, branch: Branch) -> str:
    one, other = (appliance.terminals[e] for e in branch.ends)
    return f"{one} and {other}"


def _listed(names: Iterable[str]) -> str:
    items = list(names)
    return items[0] if len(items) == 1 else ", ".join(items[:-1]) + " and " + items[-1] if items else "none"


def _ways(appliance: Appliance, position: str, away: frozenset[str], calling: bool) -> list[str]:
    live = carrying(appliance, position, calling=calling, lifted=away)
    loads = [b for b in appliance.branches if b.kind in LOADS]
    working = [b for b in loads if b.name in live]
    sentences: list[str] = []
    if not working:
        sentences.append("Nothing is joined from line to neutral: no load works.")
    elif len(working) > 1:
        alone = [b for b in working if not _series(appliance, b, live)]
        if len(alone) == len(working):
            sentences.append(f"{len(working)} loads work, each across line and neutral, so all are in parallel.")
    for branch in working:
        way = _way(appliance, branch, live)
        with_it = _series(appliance, branch, live)
        series = f" in series with {_listed(with_it)}" if with_it else ""
        sentences.append(f"{load_name(appliance, branch)} works{series}: from line by {way} to neutral.")
    idle = [load_name(appliance, b) for b in loads if b.name not in live]
    if idle:
        sentences.append(f"Out of circuit: {'; '.join(idle)}.")
    return sentences


def _links(appliance: Appliance, live: frozenset[str]) -> dict[int, list[tuple[int, Branch]]]:
    near: dict[int, list[tuple[int, Branch]]] = {i: [] for i in range(len(appliance.terminals))}
    for branch in appliance.branches:
        if branch.name in live:
            one, other = branch.ends
            near[one].append((other, branch))
            near[other].append((one, branch))
    return near


def _walk(
    near: dict[int, list[tuple[int, Branch]]], start: int, goal: int, barred: frozenset[int]
) -> list[tuple[Branch, int]] | None:
    """Shortest way from a terminal to another, loads counting for many joints; terminals barred are left out."""
    cost: dict[int, int] = {start: 0}
    came: dict[int, tuple[int, Branch]] = {}
    waiting = [start]
    while waiting:
        here = min(waiting, key=lambda n: (cost[n], n))
        waiting.remove(here)
        if here == goal:
            break
        for there, branch in near[here]:
            price = cost[here] + (1000 if branch.kind in LOADS else 1)
            if there not in barred and price < cost.get(there, 10**9):
                cost[there] = price
                came[there] = (here, branch)
                waiting.append(there)
    if goal not in cost:
        return None
    steps: list[tuple[Branch, int]] = []
    at = goal
    while at != start:
        before, branch = came[at]
        steps.append((branch, at))
        at = before
    return steps[::-1]


def _full_way(appliance: Appliance, branch: Branch, live: frozenset[str]) -> list[tuple[Branch, int]]:
    near = _links(appliance, live - {branch.name})
    line, neutral = appliance.terminal(appliance.line), appliance.terminal(appliance.neutral)
    best: list[tuple[Branch, int]] = []
    for entry, exit_ in (branch.ends, branch.ends[::-1]):
        there = _walk(near, line, entry, frozenset([exit_, neutral]))
        if there is None:
            continue
        passed = frozenset([line, *(at for _, at in there)]) - {exit_}
        back = _walk(near, exit_, neutral, passed)
        if back is not None:
            way = [*there, (branch, exit_), *back]
            if not best or _weight(way) < _weight(best):
                best = way
    return best


def _weight(way: list[tuple[Branch, int]]) -> int:
    return sum(1000 if b.kind in LOADS else 1 for b, _ in way)


def _series(appliance: Appliance, branch: Branch, live: frozenset[str]) -> list[str]:
    return [b.name for b, _ in _full_way(appliance, branch, live) if b.kind in LOADS and b.name != branch.name]


def _way(appliance: Appliance, branch: Branch, live: frozenset[str]) -> str:
    words = [appliance.line]
    for step, at in _full_way(appliance, branch, live):
        via = step.name
        if step.kind is BranchKind.CONTACT:
            part = appliance.part(step.part)
            noun = {PartKind.THERMOSTAT: "thermostat", PartKind.CUT_OUT: "cut-out"}.get(part.kind, "contact")
            via = f"{noun} {step.name}"
        words += [via, appliance.terminals[at]]
    return ", ".join(words)


def _contacts(appliance: Appliance, position: str, calling: bool) -> list[str]:
    shut = closed_contacts(appliance, position, calling=calling)
    sentences: list[str] = []
    for part in appliance.parts:
        if part.kind in SET_BY_HAND:
            closed = [n for n in part.branches if n in shut]
            opened = [n for n in part.branches if n not in shut]
            sentences.append(f"{part.mark} {part.title}: closed {_listed(closed)}; open {_listed(opened)}.")
    return sentences


def _earthing(appliance: Appliance) -> list[str]:
    marks = [f"{w.mark} from {w.start} to {w.end}" for w in appliance.wires if w.is_earth]
    return [f"Protective conductors: {_listed(marks)}."] if marks else []

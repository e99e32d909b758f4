"""Automatic placement and place hints, on the library and on circuits made up at random."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import combinations
from pathlib import Path

import pytest
from svg_facts import groups, on_segment, overlap, parse, segments, shared_length, terminals, texts, wire_line

from probebook.appliances import load_appliances
from probebook.appliances.model import Appliance, Branch, BranchKind, Part, PartKind, Plate, Position, Supply, Wire
from probebook.cases.library import library
from probebook.drawings import harness, schematic
from probebook.drawings.layout import layout

APPLIANCES = load_appliances(Path(__file__).parents[2] / "scenarios")
WORDS = library().words
OVEN = APPLIANCES["conventional-oven"]


@pytest.mark.parametrize("appliance", APPLIANCES.values(), ids=APPLIANCES.keys())
def test_line_is_left_and_neutral_right(appliance: Appliance) -> None:
    """The line comes in at the left of every terminal but those of its own rail, neutral at the right, earth lowest."""
    at = terminals(parse(schematic(WORDS, appliance)))
    assert at[appliance.line][0] == min(x for x, _ in at.values())
    assert at[appliance.neutral][0] == max(x for x, _ in at.values())
    if appliance.earth:
        assert at[appliance.earth][1] == max(y for _, y in at.values())


def _hinted(**hints: tuple[tuple[float, float], int]) -> Appliance:
    parts = tuple(replace(p, at=hints[p.mark][0], turn=hints[p.mark][1]) if p.mark in hints else p for p in OVEN.parts)
    return replace(OVEN, parts=parts)


def test_place_hints_are_followed() -> None:
    """Parts with hints stand in the order of their columns, 60 units a row apart."""
    at = layout(WORDS, _hinted(F1=((2, 1), 0), B1=((3, 3), 0), H1=((1, 5), 0))).terminals
    assert at["H1.1"][0] < at["F1.1"][0] < at["B1.1"][0]
    assert at["B1.1"][1] - at["F1.1"][1] == 120
    assert at["H1.1"][1] - at["B1.1"][1] == 120


@pytest.mark.parametrize(("turn", "dx", "dy"), [(0, 1, 0), (90, 0, 1), (180, -1, 0), (270, 0, -1)])
def test_a_turn_leads_from_the_first_terminal_to_the_second(turn: int, dx: int, dy: int) -> None:
    """A hinted part with turn 0, 90, 180 or 270 runs right, down, left or up from its first terminal."""
    at = layout(WORDS, _hinted(F1=((2, 2), turn))).terminals
    x, y = at["F1.2"][0] - at["F1.1"][0], at["F1.2"][1] - at["F1.1"][1]
    assert (x > 0) - (x < 0) == dx
    assert (y > 0) - (y < 0) == dy


def test_a_hint_holds_a_selector_together() -> None:
    """A selector is drawn once for each pole where the circuit has it, and in one piece when its file places it."""
    pieces = [sum(u.unit.part.mark == "S1" for u in layout(WORDS, a).units) for a in (OVEN, _hinted(S1=((1, 2), 0)))]
    assert pieces == [2, 1]


def _random_appliance(seed: int) -> Appliance:
    """A made-up appliance: selectors, controls in series and loads in parallel, wired at random (invented)."""
    rng = random.Random(seed)
    terminals: list[str] = ["X1.L", "X1.N", "X1.E", "M.1"]
    parts = [
        Part("X1", PartKind.TERMINAL_BLOCK, "terminal block", ("X1.L", "X1.N", "X1.E"), ()),
        Part("M", PartKind.METALWORK, "metalwork", ("M.1",), ()),
    ]
    branches: list[Branch] = []
    wires: list[Wire] = []

    def wire(one: str, other: str, colour: str = "brown") -> None:
        wires.append(Wire(f"W{len(wires) + 1}", one, other, colour, 1.5e-6, 0.5))

    def part(mark: str, kind: PartKind, sort: BranchKind, pairs: list[tuple[str, str]], names: list[str]) -> None:
        own = list(dict.fromkeys(f"{mark}.{t}" for pair in pairs for t in pair))
        terminals.extend(own)
        parts.append(Part(mark, kind, f"part {mark}", tuple(own), tuple(names)))
        for (a, b), name in zip(pairs, names, strict=True):
            ends = terminals.index(f"{mark}.{a}"), terminals.index(f"{mark}.{b}")
            branches.append(Branch(name, sort, ends, 1.0, 1.0, mark, watts=1000.0))

    feeds = ["X1.L"]
    for i in range(rng.randint(1, 3)):
        ways = rng.randint(1, 5)
        mark = f"S{i + 1}"
        pairs = [("P", str(k + 1)) for k in range(ways)]
        part(mark, PartKind.SELECTOR, BranchKind.CONTACT, pairs, [f"{mark}.c{k}" for k in range(ways)])
        wire(rng.choice(feeds), f"{mark}.P")
        feeds += [f"{mark}.{k + 1}" for k in range(ways)]
        if rng.random() < 0.6:
            part(f"F{i + 1}", PartKind.CUT_OUT, BranchKind.CONTACT, [("1", "2")], [f"F{i + 1}"])
            wire(rng.choice(feeds[1:]), f"F{i + 1}.1")
            feeds.append(f"F{i + 1}.2")
    returns = ["X1.N"]
    for i in range(rng.randint(2, 7)):
        mark = f"E{i + 1}"
        twin = rng.random() < 0.3
        pairs = [("1", "2"), rng.choice([("3", "4"), ("3", "2"), ("1", "4")])] if twin else [("1", "2")]
        part(mark, PartKind.ELEMENT, BranchKind.ELEMENT, pairs, [f"{mark}.s{k}" for k in range(len(pairs))])
        for k in dict.fromkeys(p[0] for p in pairs):
            wire(rng.choice(feeds), f"{mark}.{k}", "black")
        for k in dict.fromkeys(p[1] for p in pairs):
            wire(f"{mark}.{k}", rng.choice(returns), "blue")
        returns.append(f"{mark}.2")
    wire("X1.E", "M.1", "green-yellow")
    return Appliance(
        id=f"random-{seed}",
        title="made-up appliance",
        source="invented",
        plate=Plate("Nobody", "X", 230, 1000, "class I"),
        supply=Supply("fixed", 230, 16, 0.03),
        terminals=tuple(terminals),
        parts=tuple(parts),
        wires=tuple(wires),
        positions=(Position("off", "off", frozenset()),),
        branches=tuple(branches),
        faults=(),
        line="X1.L",
        neutral="X1.N",
        earth="X1.E",
        region=next(iter(APPLIANCES.values())).region,
        assumptions=next(iter(APPLIANCES.values())).assumptions,
    )


@pytest.mark.parametrize("seed", range(30))
def test_a_text_file_alone_draws(seed: int) -> None:
    """Whatever the circuit, no wire is left without a way, wires share no stretch and pass no foreign terminal, and
    terminals keep 24 units apart (WCAG 2.2, 2.5.8)."""
    appliance = _random_appliance(seed)
    root = parse(schematic(WORDS, appliance, "off"))
    assert not [t for t in layout(WORDS, appliance).troubles if "no way" in t]
    at = terminals(root)
    assert at.keys() == set(appliance.terminals)
    assert all((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2 >= 24**2 for a, b in combinations(at.values(), 2))
    for bus in layout(WORDS, appliance).buses:
        assert all(p[0] == q[0] or p[1] == q[1] for line in (bus.bar, bus.stub) for p, q in segments(list(line)))
        assert any(
            on_segment(at[bus.terminal], *piece) for line in (bus.bar, bus.stub) for piece in segments(list(line))
        )
    runs = {g.attrib["data-wire"]: segments(wire_line(g)) for g in groups(root, "wire")}
    for one, other in combinations(runs, 2):
        assert not any(shared_length(p, q) for p in runs[one] for q in runs[other]), (one, other)
    for wire in appliance.wires:
        for name, point in at.items():
            if name not in (wire.start, wire.end):
                assert not any(on_segment(point, *piece) for piece in runs[wire.mark])
    found = texts(root)
    lying = [(a.words, b.words) for a, b in combinations(found, 2) if overlap(a.box, b.box)]
    assert len(lying) <= len(layout(WORDS, appliance).troubles)
    assert parse(harness(WORDS, appliance)) is not None

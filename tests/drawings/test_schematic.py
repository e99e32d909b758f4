"""Facts that hold of every schematic, whatever the appliance and position of its controls."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from collections import Counter
from itertools import combinations
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from svg_facts import (
    SVG,
    groups,
    lines,
    on_segment,
    overlap,
    parse,
    segments,
    shared_length,
    terminals,
    text_of,
    texts,
    view_box,
    wire_line,
)

from probebook.appliances import load_appliances
from probebook.appliances.model import Appliance, BranchKind, PartKind
from probebook.cases.library import library
from probebook.drawings import carrying, schematic
from probebook.drawings.colours import GROUND, INK, contrast
from probebook.drawings.layout import layout

SCENARIOS = Path(__file__).parents[2] / "scenarios"
APPLIANCES = load_appliances(SCENARIOS)
WORDS = library().words
CASES = [(a, p.name) for a in APPLIANCES.values() for p in a.positions]
every_appliance = pytest.mark.parametrize("appliance", APPLIANCES.values(), ids=APPLIANCES.keys())
every_position = pytest.mark.parametrize(("appliance", "position"), CASES, ids=[f"{a.id}-{p}" for a, p in CASES])
OVEN = APPLIANCES["conventional-oven"]


@every_position
def test_is_an_image_with_a_name_and_a_description(appliance: Appliance, position: str) -> None:
    """A schematic is one well-formed SVG image whose title and description its label refers to (WAI-ARIA, SVG 2)."""
    root = parse(schematic(WORDS, appliance, position))
    assert root.tag == f"{SVG}svg"
    assert root.get("role") == "img"
    named = {e.get("id"): e for e in root.iter() if e.get("id")}
    title, desc = (named[i] for i in root.attrib["aria-labelledby"].split())
    assert appliance.position(position).title in (title.text or "")
    assert (title.tag, desc.tag) == (f"{SVG}title", f"{SVG}desc")
    for load in (b for b in appliance.branches if b.kind in (BranchKind.ELEMENT, BranchKind.LAMP, BranchKind.MOTOR)):
        assert f"{load.part} {appliance.part(load.part).title}" in (desc.text or "")


@every_appliance
def test_every_thing_has_its_id_once(appliance: Appliance) -> None:
    """Each terminal, wire and part has its own id, and no id is used twice."""
    root = parse(schematic(WORDS, appliance))
    ids = Counter(e.attrib["id"] for e in root.iter() if "id" in e.attrib)
    expected = {f"t-{t.replace('.', '-')}" for t in appliance.terminals}
    expected |= {f"w-{w.mark}" for w in appliance.wires} | {f"p-{p.mark}" for p in appliance.parts}
    assert expected <= ids.keys()
    assert max(ids.values()) == 1


def test_the_drawing_brings_its_own_light_ground() -> None:
    """The first thing drawn is a filled rectangle over the whole view box, so that a dark page changes nothing."""
    root = parse(schematic(WORDS, OVEN))
    ground = root.find(f"{SVG}rect")
    assert ground is not None
    x, y, width, height = (float(ground.attrib[k]) for k in ("x", "y", "width", "height"))
    assert (x, y, x + width, y + height) == view_box(root)
    assert contrast(ground.attrib["fill"], INK) >= 7


@every_appliance
def test_every_coloured_conductor_has_a_dark_outline_and_its_code(appliance: Appliance) -> None:
    """Under its colour each wire has a wider stroke of at least 3:1 on the ground (WCAG 2.2, 1.4.11), and the letter
    code of its colour stands on it, so that colour is never the only sign (1.4.1)."""
    codes = {"brown": "BN", "blue": "BU", "green-yellow": "GNYE", "black": "BK", "grey": "GY"}
    for group in groups(parse(schematic(WORDS, appliance)), "wire"):
        paths = list(group.iter(f"{SVG}path"))
        assert contrast(paths[1].attrib["stroke"], GROUND) >= 3
        assert float(paths[1].attrib["stroke-width"]) > float(paths[2].attrib["stroke-width"]) + 2
        wire = appliance.wire(group.attrib["data-wire"])
        assert group.findtext(f"{SVG}text") == f"{wire.mark} {codes[wire.colour]}"


def test_a_prefix_keeps_two_drawings_on_a_page_apart() -> None:
    """Drawings with different prefixes share no id."""
    found = [
        {e.get("id") for e in parse(schematic(WORDS, OVEN, "oven", id_prefix=p)).iter()} - {None} for p in ("a-", "b-")
    ]
    assert found[0]
    assert not found[0] & found[1]


@every_appliance
def test_terminals_lie_far_enough_apart_to_touch(appliance: Appliance) -> None:
    """No two terminals lie closer than 24 units (WCAG 2.2, success criterion 2.5.8, target spacing)."""
    for (_, a), (_, b) in combinations(terminals(parse(schematic(WORDS, appliance))).items(), 2):
        assert (a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2 >= 24**2


@every_appliance
def test_text_is_large_enough_and_clear_of_other_text(appliance: Appliance) -> None:
    """Text is at least 12 units high, lies inside the view box and never on other text (widths: Helvetica AFM)."""
    for position in (None, appliance.positions[-1].name):
        root = parse(schematic(WORDS, appliance, position))
        left, top, right, bottom = view_box(root)
        found = texts(root)
        for text in found:
            assert text.size >= 12
            assert left <= text.box[0] < text.box[2] <= right, text.words
            assert top <= text.box[1] < text.box[3] <= bottom, text.words
        for one, other in combinations(found, 2):
            assert not overlap(one.box, other.box), (one.words, other.words)


@every_appliance
def test_no_wire_runs_through_text_or_a_terminal_that_is_not_its_own(appliance: Appliance) -> None:
    """A wire passes no text but its own mark and no terminal but its ends."""
    root = parse(schematic(WORDS, appliance))
    own = {id(t): g.attrib["data-wire"] for g in groups(root, "wire") for t in g.iter(f"{SVG}text")}
    placed = [(own.get(id(t), ""), text_of(t)) for t in root.iter(f"{SVG}text")]
    points = terminals(root)
    for group in groups(root, "wire"):
        ends = {group.attrib["data-from"], group.attrib["data-to"]}
        for (x0, y0), (x1, y1) in segments(wire_line(group)):
            body = (min(x0, x1) - 2.5, min(y0, y1) - 2.5, max(x0, x1) + 2.5, max(y0, y1) + 2.5)
            for wire, text in placed:
                if wire != group.attrib["data-wire"]:
                    assert not overlap(body, text.box), (group.attrib["data-wire"], text.words)
            for name, at in points.items():
                assert name in ends or not on_segment(at, (x0, y0), (x1, y1)), (group.attrib["data-wire"], name)


@every_appliance
def test_wires_run_square_and_never_on_one_another(appliance: Appliance) -> None:
    """Wires run level or upright, join the terminals they join in the harness, and share no stretch."""
    root = parse(schematic(WORDS, appliance))
    points = terminals(root)
    buses = {
        g.attrib["data-terminal"]: [s for line, _ in lines(g) for s in segments(line)] for g in groups(root, "bus")
    }
    runs = {g.attrib["data-wire"]: wire_line(g) for g in groups(root, "wire")}
    assert runs.keys() == {w.mark for w in appliance.wires}
    for wire in appliance.wires:
        run = runs[wire.mark]
        assert all(a[0] == b[0] or a[1] == b[1] for a, b in segments(run))
        for name, end in ((wire.start, run[0]), (wire.end, run[-1])):
            at_bus = any(on_segment(end, *piece) for piece in buses.get(name, []))
            assert end == points[name] or at_bus, (wire.mark, name)
    for (one, a), (other, b) in combinations(runs.items(), 2):
        assert not any(shared_length(p, q) for p in segments(a) for q in segments(b)), (one, other)


@every_appliance
def test_a_bus_touches_no_wire_of_another_terminal_lengthwise(appliance: Appliance) -> None:
    """A bus runs level or upright, belongs to one terminal, reaches it, and shares no stretch with a wire."""
    root = parse(schematic(WORDS, appliance))
    points = terminals(root)
    runs = [s for g in groups(root, "wire") for s in segments(wire_line(g))]
    for group in groups(root, "bus"):
        pieces = [s for line, _ in lines(group) for s in segments(line)]
        assert all(p[0] == q[0] or p[1] == q[1] for p, q in pieces)
        assert any(on_segment(points[group.attrib["data-terminal"]], *piece) for piece in pieces)
        assert not any(shared_length(piece, run) for piece in pieces for run in runs)


@every_appliance
def test_dots_stand_only_where_conductors_join(appliance: Appliance) -> None:
    """A dot of the harness stands on one bus where at least three conductors meet, never on a mere crossing."""
    root = parse(schematic(WORDS, appliance))
    buses = {
        g.attrib["data-terminal"]: [s for line, _ in lines(g) for s in segments(line)] for g in groups(root, "bus")
    }
    for dot in layout(WORDS, appliance).dots:
        holding = [name for name, pieces in buses.items() if any(on_segment(dot, *p) for p in pieces)]
        assert len(holding) == 1
        arms = sum((dot not in piece) + 1 for piece in buses[holding[0]] if on_segment(dot, *piece))
        for wire in appliance.wires:
            run = layout(WORDS, appliance).wires[wire.mark]
            arms += (run[0] == dot and wire.start == holding[0]) + (run[-1] == dot and wire.end == holding[0])
        assert arms >= 3, (holding[0], dot)


def _blades(group: ET.Element) -> bool:
    """Whether every line of a contact's own symbol is level."""
    return all(a[1] == b[1] for line, width in lines(group) if width != 1.5 for a, b in segments(line))


@every_position
def test_a_contact_is_drawn_closed_just_when_the_position_closes_it(appliance: Appliance, position: str) -> None:
    """The blade of a selector's or switch's contact lies on its contact in the positions that close it, else is off."""
    root = parse(schematic(WORDS, appliance, position))
    closes = appliance.position(position).closes
    drawn = {g.attrib["data-branch"]: g for g in groups(root, "branch")}
    standing = {
        name
        for bus in layout(WORDS, appliance).units
        for r in bus.unit.rows
        if bus.unit.turn in (90, 270)
        for name in [r.branch.name]
    }
    for part in appliance.parts:
        if part.kind in (PartKind.SELECTOR, PartKind.SWITCH):
            for name in part.branches:
                assert drawn[name].attrib["data-closed"] == ("true" if name in closes else "false")
                if name not in standing:
                    assert _blades(drawn[name]) == (name in closes), name


@every_appliance
def test_nothing_moves_between_positions_but_the_contacts(appliance: Appliance) -> None:
    """Terminals and wires lie in the same places in every position, so that positions can be compared."""
    found = []
    for position in appliance.positions:
        root = parse(schematic(WORDS, appliance, position.name))
        found.append((terminals(root), [wire_line(g) for g in groups(root, "wire")]))
    assert all(one == found[0] for one in found)


@every_position
def test_what_carries_current_is_drawn_heavier(appliance: Appliance, position: str) -> None:
    """A branch in the set passed in has wider strokes than the same branch left out; no other branch changes."""
    live = carrying(appliance, position)
    plain, marked = (parse(schematic(WORDS, appliance, position, highlight_live=s)) for s in ((), live))
    for kind, key in (("branch", "data-branch"), ("wire", "data-wire")):
        before = {g.attrib[key]: max(w for _, w in lines(g)) for g in groups(plain, kind)}
        after = {g.attrib[key]: max(w for _, w in lines(g)) for g in groups(marked, kind)}
        for name in before:
            assert (after[name] > before[name]) == (name in live), name


@every_appliance
def test_a_lifted_wire_no_longer_reaches_one_of_its_ends(appliance: Appliance) -> None:
    """A lifted wire is drawn back from one end and keeps the other; every other wire stays as it was."""
    before = {g.attrib["data-wire"]: wire_line(g) for g in groups(parse(schematic(WORDS, appliance)), "wire")}
    for wire in appliance.wires[::3]:
        root = parse(schematic(WORDS, appliance, lifted={wire.mark}))
        after = {g.attrib["data-wire"]: wire_line(g) for g in groups(root, "wire")}
        changed = [m for m in before if before[m] != after[m]]
        assert changed == [wire.mark]
        kept = [before[wire.mark][i] == after[wire.mark][i] for i in (0, -1)]
        assert sorted(kept) == [False, True]
        group = next(g for g in groups(root, "wire") if g.attrib["data-wire"] == wire.mark)
        tip = group.find(f"{SVG}circle")
        label = group.find(f"{SVG}text")
        assert tip is not None
        assert label is not None
        x, y, r = (float(tip.attrib[k]) for k in ("cx", "cy", "r"))
        assert not overlap((x - r, y - r, x + r, y + r), text_of(label).box), wire.mark
        assert wire.mark in (root.findtext(f"{SVG}desc") or "")


def test_an_unknown_position_is_refused() -> None:
    """A position the appliance does not have is a KeyError, as in its own look-up."""
    with pytest.raises(KeyError):
        schematic(WORDS, OVEN, "warp")


@every_appliance
def test_the_layout_leaves_no_wire_without_a_way_or_a_mark(appliance: Appliance) -> None:
    """Every wire of every appliance in the library finds a way and room for its mark."""
    assert layout(WORDS, appliance).troubles == ()


def test_same_bytes_whatever_the_hash_seed() -> None:
    """Two processes with different hash seeds write the same bytes."""
    code = (
        "import sys, pathlib\n"
        "from probebook.appliances import load_appliances\n"
        "from probebook.drawings import schematic, harness\n"
        "from probebook.words import Words\n"
        "WORDS = Words(pathlib.Path(sys.argv[1]))\n"
        "for a in load_appliances(pathlib.Path(sys.argv[1])).values():\n"
        "    sys.stdout.write(schematic(WORDS, a, a.positions[-1].name) + harness(WORDS, a))\n"
    )
    digests = set()
    for seed in ("0", "4242"):
        env = os.environ | {"PYTHONHASHSEED": seed, "PYTHONIOENCODING": "utf-8"}
        run = subprocess.run([sys.executable, "-c", code, str(SCENARIOS)], env=env, capture_output=True, check=True)
        digests.add(hashlib.sha256(run.stdout).hexdigest())
    assert len(digests) == 1

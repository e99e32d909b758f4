"""The harness as built, the wire table, the rating plate and the meter's face."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import combinations
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from svg_facts import SVG, groups, overlap, parse, texts, view_box

from probebook.appliances import load_appliances
from probebook.appliances.model import Appliance
from probebook.cases.library import library
from probebook.drawings import harness, meter_face, plate, wire_table
from probebook.drawings.colours import conductor_colour
from probebook.meters.model import Function

APPLIANCES = load_appliances(Path(__file__).parents[2] / "scenarios")
WORDS = library().words
every_appliance = pytest.mark.parametrize("appliance", APPLIANCES.values(), ids=APPLIANCES.keys())
OVEN = APPLIANCES["conventional-oven"]


def _tags(root: ET.Element) -> dict[str, tuple[float, float]]:
    found = {}
    for group in groups(root, "terminal"):
        circle = group.find(f"{SVG}circle")
        assert circle is not None
        found[group.attrib["data-terminal"]] = float(circle.attrib["cx"]), float(circle.attrib["cy"])
    return found


@every_appliance
def test_every_thing_of_the_harness_has_its_id_once(appliance: Appliance) -> None:
    """Each terminal, wire and part of the harness has its own id, and the image has a title and a description."""
    root = parse(harness(WORDS, appliance))
    ids = Counter(e.attrib["id"] for e in root.iter() if "id" in e.attrib)
    expected = {f"t-{t.replace('.', '-')}" for t in appliance.terminals}
    expected |= {f"w-{w.mark}" for w in appliance.wires} | {f"p-{p.mark}" for p in appliance.parts}
    assert expected <= ids.keys()
    assert max(ids.values()) == 1
    assert root.get("role") == "img"
    desc = root.findtext(f"{SVG}desc") or ""
    assert all(f"from {w.start} to {w.end}" in desc for w in appliance.wires)


@every_appliance
def test_a_wire_begins_and_ends_at_its_tags_and_says_so_at_both(appliance: Appliance) -> None:
    """A wire's curve starts at one of its tags and ends at the other; mark, letter code and length stand at both."""
    root = parse(harness(WORDS, appliance))
    tags = _tags(root)
    for group in groups(root, "wire"):
        wire = appliance.wire(group.attrib["data-wire"])
        path = group.find(f"{SVG}path")
        assert path is not None
        numbers = [float(v) for v in path.attrib["d"].replace("M", "").replace("L", "").replace("C", "").split()]
        assert tuple(numbers[:2]) == tags[wire.start]
        assert tuple(numbers[-2:]) == tags[wire.end]
        words = [t.text for t in group.iter(f"{SVG}text")]
        assert words == [f"{wire.mark} {conductor_colour(wire.colour).code} {wire.length:g} m"] * 2


@every_appliance
def test_tags_and_text_of_the_harness_keep_apart(appliance: Appliance) -> None:
    """Tags lie at least 24 units apart (WCAG 2.2, 2.5.8); no text lies on another or outside the view box."""
    root = parse(harness(WORDS, appliance))
    for (_, a), (_, b) in combinations(_tags(root).items(), 2):
        assert (a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2 >= 24**2
    left, top, right, bottom = view_box(root)
    found = texts(root)
    for text in found:
        assert text.size >= 12
        assert left <= text.box[0] < text.box[2] <= right, text.words
        assert top <= text.box[1] < text.box[3] <= bottom, text.words
    for one, other in combinations(found, 2):
        assert not overlap(one.box, other.box), (one.words, other.words)


@every_appliance
def test_the_wire_table_lists_the_harness(appliance: Appliance) -> None:
    """The table has one row a wire, with area in mm² and length in m as the appliance's file states them in SI."""
    rows = [[c.strip() for c in line.strip("|").split("|")] for line in wire_table(WORDS, appliance).splitlines()]
    assert rows[0] == ["Wire", "From", "To", "Colour", "Area", "Length"]
    assert len(rows) == len(appliance.wires) + 2
    for row, wire in zip(rows[2:], appliance.wires, strict=True):
        assert row[:3] == [wire.mark, wire.start, wire.end]
        assert conductor_colour(wire.colour).code in row[3]
        assert float(row[4].removesuffix(" mm²")) == pytest.approx(wire.area * 1e6)
        assert float(row[5].removesuffix(" m")) == pytest.approx(wire.length)


@every_appliance
def test_the_plate_shows_what_a_rating_plate_must(appliance: Appliance) -> None:
    """The plate bears make, type, volts with the nature of supply, watts (IEC 60335-1 clause 7.1, from memory)."""
    root = parse(plate(WORDS, appliance))
    words = [t.words for t in texts(root)]
    rating = appliance.plate
    assert {rating.maker, rating.designation, f"{rating.volts:g} V ~", f"{rating.watts:g} W"} <= set(words)
    for one, other in combinations(texts(root), 2):
        assert not overlap(one.box, other.box), (one.words, other.words)


def test_only_class_two_bears_the_double_square() -> None:
    """A square in a square marks class II (IEC 60335-1 clause 7.1, from memory); class I bears the earth sign."""
    first, second = (
        plate(WORDS, replace(OVEN, plate=replace(OVEN.plate, protection=c))) for c in ("class I", "class II")
    )
    squares = [len(list(parse(p).iter(f"{SVG}rect"))) for p in (first, second)]
    assert squares[1] == squares[0] + 2
    assert "<circle" in first


@pytest.mark.parametrize("function", list(Function), ids=[f.name for f in Function])
def test_the_dial_points_at_the_function_set(function: Function) -> None:
    """For every function a meter has, the dial shows a pointer, in a place of its own, and its print in bold."""
    faces = {f: meter_face(WORDS, "OL", f) for f in Function}
    assert len(set(faces.values())) == len(Function)
    root = parse(faces[function])
    bold = [t for t in root.iter(f"{SVG}text") if t.get("font-weight") == "bold"]
    assert len(bold) == 2


@pytest.mark.parametrize("display", ["OL", "0.3 Ω", "35.27 kΩ", "> 500 MΩ", "230.4 V"])
def test_the_meter_shows_its_display_and_its_leads(display: str) -> None:
    """The display's text is drawn as it is, inside the glass, and the words name both lead points."""
    root = parse(meter_face(WORDS, display, Function.OHMS, ("E2.1", "E2.2")))
    shown = next(t for t in texts(root) if t.words == display)
    assert shown.box[0] >= 54
    assert shown.box[2] <= 306
    desc = root.findtext(f"{SVG}desc") or ""
    assert display in desc
    assert "red lead on E2.1, black lead on E2.2" in desc
    assert "leads free" in (parse(meter_face(WORDS, display, Function.OHMS)).findtext(f"{SVG}desc") or "")

"""The path of the current on a schematic: it hangs together from line to neutral, runs the right way, stands out."""

from __future__ import annotations

import html
import json
import re
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import networkx as nx
import pytest
from svg_facts import SVG, groups, lines, parse, points, terminals, text_of, view_box

from probebook.appliances import State, load_appliances
from probebook.appliances.model import Appliance
from probebook.cases.library import library
from probebook.drawings import carrying, flow_of, readings_of, schematic
from probebook.drawings.colours import GROUND, INK, contrast
from probebook.drawings.paths import closed_contacts
from probebook.questions.frame import Ask
from probebook.questions.model import Kind
from probebook.questions.registry import build_question
from probebook.questions.trace.figures import figures_of

TRADE = library()
WORDS = TRADE.words
APPLIANCES = load_appliances(Path(__file__).parents[2] / "scenarios")
CASES = [(a, p.name) for a in APPLIANCES.values() for p in a.positions]
every_position = pytest.mark.parametrize(("appliance", "position"), CASES, ids=[f"{a.id}-{p}" for a, p in CASES])
every_appliance = pytest.mark.parametrize("appliance", APPLIANCES.values(), ids=APPLIANCES)


def flow(appliance: Appliance, position: str) -> dict[str, int]:
    """What flows, by the threshold of trace questions."""
    return flow_of(appliance, State(position), figures_of(appliance).carrying)


def told(svg: str) -> dict[str, Any]:
    """What a drawing tells a page."""
    found = re.search(r"<metadata>(.*)</metadata>", svg)
    assert found is not None
    data: dict[str, Any] = json.loads(html.unescape(found[1]))
    return data


@every_position
def test_what_flows_by_the_core_is_what_lies_on_a_way(appliance: Appliance, position: str) -> None:
    """The core's solution and plain elimination on the drawing's own network name the same branches."""
    assert set(flow(appliance, position)) == carrying(appliance, position)


@every_position
def test_current_runs_from_line_to_neutral(appliance: Appliance, position: str) -> None:
    """Taken in its sense, every branch that carries current lies on a way from line to neutral, and none runs back."""
    graph = nx.MultiDiGraph()
    for name, sense in flow(appliance, position).items():
        ends = [appliance.terminals[e] for e in appliance.branches[appliance.branch(name)].ends]
        graph.add_edge(*(ends if sense > 0 else ends[::-1]), name=name)
    if not graph:
        return
    assert nx.is_directed_acyclic_graph(graph)
    after = nx.descendants(graph, appliance.line) | {appliance.line}
    before = nx.ancestors(graph, appliance.neutral) | {appliance.neutral}
    assert set(graph) <= after & before


def _live_shapes(root: ET.Element, live: set[str]) -> Iterator[list[tuple[float, float]]]:
    for group in root.iter(f"{SVG}g"):
        name = group.get("data-flow")
        if name is None or group.get("opacity") is not None:
            continue
        assert name in live or "~" in name or "^" in name
        found = [points(path) for path in group.findall(f"{SVG}path") if path.get("class") != "gap"]
        if group.get("class") == "branch":
            found = [[point for run in found for point in run]]
        yield from found


@every_position
def test_the_heavy_path_hangs_together(appliance: Appliance, position: str) -> None:
    """What is drawn heavy, buses and conductors inside frames among it, joins line to neutral without a gap.

    Every end of it is a terminal or meets other heavy pieces, so that it leads nowhere else.
    """
    found = flow(appliance, position)
    if not found:
        return
    root = parse(schematic(WORDS, appliance, position, highlight_live=found))
    graph = nx.Graph()
    for run in _live_shapes(root, set(found)):
        for one, other in pairwise(run):
            graph.add_edge(one, other)
        if len(run) > 2:
            nx.add_path(graph, [run[0], run[-1]])
    at = terminals(root)
    line, neutral = at[appliance.line], at[appliance.neutral]
    assert nx.has_path(graph, line, neutral)


@every_position
def test_what_is_off_the_path_is_pale_and_thin(appliance: Appliance, position: str) -> None:
    """A wire on the path is drawn at least twice as thick as one that is not, which keeps under a third of its ink."""
    found = flow(appliance, position)
    root = parse(schematic(WORDS, appliance, position, highlight_live=found))
    if not found:
        assert root.findall(f".//{SVG}g[@opacity]") == []
        return
    thin, thick = [], []
    for wire in groups(root, "wire"):
        run = wire.find(f"{SVG}g[@class='run']")
        assert run is not None
        wide = max(width for _, width in lines(run)[1:])
        (thick if wire.attrib["data-wire"] in found else thin).append(wide)
        assert (run.get("opacity") is None) == (wire.attrib["data-wire"] in found)
    assert min(thick) >= 2 * max(thin)


def test_the_path_stands_out_in_grey() -> None:
    """Heavy ink against pale ink has 3:1 at least, whatever the colour of a wire (WCAG 2.2, 1.4.11)."""
    mixed = [round(0.3 * int(INK[i : i + 2], 16) + 0.7 * int(GROUND[i : i + 2], 16)) for i in (1, 3, 5)]
    assert contrast(INK, "#" + "".join(f"{one:02x}" for one in mixed)) >= 3


@every_position
def test_arrows_point_the_way_the_current_runs(appliance: Appliance, position: str) -> None:
    """On a wire that is one straight run each arrow points from its start to its end, or back, as the current does."""
    found = flow(appliance, position)
    root = parse(schematic(WORDS, appliance, position, highlight_live=found))
    seen = 0
    for wire in groups(root, "wire"):
        mark = wire.attrib["data-wire"]
        shapes = [points(p) for g in wire.iter(f"{SVG}g") if g.get("data-of") == mark for p in g.iter(f"{SVG}path")]
        assert not shapes or mark in found
        seen += len(shapes)
        run = lines(wire)[1][0]
        if len(run) != 2:
            continue
        way = (run[1][0] - run[0][0], run[1][1] - run[0][1])
        for (x0, y0), tip, (x1, y1) in shapes:
            pointing = (tip[0] - (x0 + x1) / 2) * way[0] + (tip[1] - (y0 + y1) / 2) * way[1]
            assert pointing * found[mark] > 0, mark
    assert seen > 0 or not found


@every_appliance
def test_no_arrow_lies_on_a_mark(appliance: Appliance) -> None:
    """Arrows stand clear of the mark of their wire."""
    for position in appliance.positions:
        root = parse(schematic(WORDS, appliance, position.name, highlight_live=flow(appliance, position.name)))
        for wire in groups(root, "wire"):
            mark = wire.find(f"{SVG}text")
            assert mark is not None
            left, top, right, bottom = text_of(mark).box
            for group in groups(wire, "arrow to") + groups(wire, "arrow fro"):
                for x, y in (point for path in group for point in points(path)):
                    assert not (left < x < right and top < y < bottom), wire.attrib["data-wire"]


@every_appliance
def test_a_page_is_told_the_same_path_as_is_drawn(appliance: Appliance) -> None:
    """What lies beside a drawing names, for each position, just what the drawing of that position draws heavy."""
    least = figures_of(appliance).carrying
    names = [p.name for p in appliance.positions]
    data = told(schematic(WORDS, appliance, readings=readings_of(appliance, names, least)))
    for name, reading in zip(names, data["readings"], strict=True):
        root = parse(schematic(WORDS, appliance, name, highlight_live=flow(appliance, name)))
        heavy = {
            g.attrib["data-flow"] for g in root.iter(f"{SVG}g") if "data-flow" in g.attrib and "opacity" not in g.attrib
        }
        if reading["flow"]:
            assert set(reading["flow"]) == heavy
        closed = {g.attrib["data-branch"] for g in root.iter(f"{SVG}g") if g.get("data-closed") == "true"}
        assert set(reading["closed"]) == closed
        for load in reading["loads"]:
            assert set(load["on"]) <= set(reading["flow"])


@every_appliance
def test_a_drawing_to_be_read_looks_as_it_did(appliance: Appliance) -> None:
    """With paths to choose from, what is seen of a contact is still one way only: the other is hidden."""
    position = appliance.positions[-1].name
    readings = readings_of(appliance, [position], figures_of(appliance).carrying)
    svg = schematic(WORDS, appliance, position, readings=readings)
    closed = closed_contacts(appliance, position)  # dead, with relays at rest, until a path is chosen
    for contact in groups(parse(svg), "moving"):
        assert [way.get("display") for way in contact].count("none") == 1
        seen = next(way for way in contact if way.get("display") is None)
        assert (seen.attrib["class"] == "shut") == (contact.attrib["data-contact"] in closed)


@pytest.mark.parametrize("level", [1, 2])
def test_a_question_does_not_give_its_path_away(level: int) -> None:
    """The drawing of a trace question holds no path, and its description says how contacts stand and not what works."""
    ask = Ask("q01", Kind.TRACE, "path", level, "conventional-oven", options={"form": "heats"})
    (_, svg), *_ = build_question(ask, TRADE).pictures
    root = parse(svg)
    assert told(svg)["readings"] == []
    assert root.findall(f".//{SVG}g[@opacity]") == []
    desc = root.findtext(f"{SVG}desc") or ""
    assert "from line by" in desc
    assert "works" not in desc
    assert "Out of circuit" not in desc


@every_appliance
def test_wide_drawings_fold_where_only_wires_pass(appliance: Appliance) -> None:
    """A drawing too wide to be read at 820 pixels has a fold; what it crosses is marked, and its halves can be read.

    Readable is text of 9 CSS pixels (common practice, no published source), on a page with 20 pixels of margin.
    """
    svg = schematic(WORDS, appliance)
    root, fold = parse(svg), told(svg)["fold"]
    left, _, right, _ = view_box(root)
    if right - left <= 780 * 12 / 9:
        return
    assert fold is not None
    at = fold["at"]
    for group in groups(root, "branch"):
        across = [x for run, _ in lines(group) for x, _ in run]
        assert not min(across) < at < max(across), group.attrib["data-branch"]
    crossing = set()
    for wire in groups(root, "wire"):
        for one, other in pairwise(lines(wire)[1][0]):
            if min(one[0], other[0]) < at < max(one[0], other[0]):
                crossing.add((wire.attrib["data-wire"], one[1]))
                assert one[1] == other[1]
    assert {(mark, y) for mark, y in fold["marks"]} == crossing
    for text in root.iter(f"{SVG}text"):
        if float(text.attrib["y"]) < fold["rule"]:
            box = text_of(text).box
            assert not box[0] < at < box[2], text.text
    widest = max(at - left, right - at) + 6 + 2 * 46
    assert 12 * 780 / widest >= 9

"""Pictures of heat-up records: what they show, that they say it in words, and that they repeat."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from probebook.assumptions import load_assumptions
from probebook.cases.library import library
from probebook.errors import ScenarioError
from probebook.heating.controls import CutOut, Load, Thermostat
from probebook.heating.plots import record_svg
from probebook.heating.record import HeatRecord, time_to
from probebook.heating.saying import summary
from probebook.heating.simulate import run
from probebook.heating.spaces import conventional_oven, fan_oven

FIGURES = load_assumptions(Path(__file__).resolve().parents[2] / "scenarios")

WORDS = library().words
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def sound() -> HeatRecord:
    """An hour of a sound oven with food in it."""
    return run(
        conventional_oven(FIGURES), {"top": 1000.0, "base": 1300.0}, Thermostat(200.0), seconds=3600.0, load=Load()
    )


@pytest.fixture(scope="module")
def tripping() -> HeatRecord:
    """An hour of a fan oven whose fan is seized."""
    cut_out = CutOut("back cut-out", "chamber", 300.0, 220.0, time_constant=40.0)
    return run(fan_oven(FIGURES), {"ring": 2000.0}, Thermostat(200.0), [cut_out], seconds=3600.0)


def texts(svg: str) -> list[str]:
    """Return the words that are drawn."""
    return ["".join(node.itertext()).strip() for node in ET.fromstring(svg).iter(f"{SVG}text")]


def test_the_picture_names_its_lines_axes_and_set_point(sound: HeatRecord) -> None:
    """Every line is labelled in words, both axes carry their unit, and the set point is written out."""
    words = texts(record_svg(WORDS, sound, title="An hour at 200"))
    for wanted in ("An hour at 200", "air", "walls", "food", "set to 200 °C", "temperature (°C)", "time (minutes)"):
        assert wanted in words
    assert "power on" in words


def test_lines_differ_by_dash_and_not_by_colour_alone(sound: HeatRecord) -> None:
    """The drawn curves of air, wall and food have three different dash patterns."""
    import re

    dashes = set()
    for path in ET.fromstring(record_svg(WORDS, sound)).iter(f"{SVG}path"):
        style = path.get("style", "")
        if any(colour in style for colour in ("#0072b2", "#d55e00", "#009e73")) and "fill: none" in style:
            found = re.search(r"stroke-dasharray: ([^;]*)", style)
            dashes.add(found.group(1) if found else "solid")
    assert len(dashes) == 3


def test_it_has_a_title_and_a_description(sound: HeatRecord) -> None:
    """A screen reader gets the role, the title and the summary."""
    root = ET.fromstring(record_svg(WORDS, sound, title="Pale < golden & brown"))
    assert root.get("role") == "img"
    assert root[0].tag == f"{SVG}title"
    assert root[0].text == "Pale < golden & brown"
    assert root[1].tag == f"{SVG}desc"
    assert root[1].text == summary(WORDS, sound)


def test_same_record_gives_the_same_bytes_whatever_the_reader_has_set(sound: HeatRecord) -> None:
    """Neither a second drawing nor a reader's own matplotlib settings change the SVG, which holds no date."""
    import matplotlib as mpl

    first = record_svg(WORDS, sound)
    with mpl.rc_context({"font.size": 30.0, "axes.grid": True, "lines.linewidth": 9.0, "svg.fonttype": "path"}):
        assert record_svg(WORDS, sound) == first
        assert mpl.rcParams["font.size"] == 30.0
    assert "<dc:date>" not in first


def test_a_question_may_keep_the_contacts_to_itself(tripping: HeatRecord) -> None:
    """Without contacts neither picture nor description names the cut-out; with them both do."""
    told, kept = record_svg(WORDS, tripping), record_svg(WORDS, tripping, contacts=False, nodes=("air",))
    assert "back cut-out opens" in texts(told)
    assert "back cut-out" in summary(WORDS, tripping)
    assert "cut-out" not in kept
    assert "wall" not in texts(kept)


def test_the_summary_says_what_the_record_holds(sound: HeatRecord) -> None:
    """The minutes in the text are those at which the air first reaches the set point."""
    reached = time_to(sound, 200.0)
    assert reached is not None
    assert f"after {round(reached / 60)} min." in summary(WORDS, sound)
    assert "kWh" in summary(WORDS, sound)


def test_an_oven_that_gets_no_power_says_so() -> None:
    """A record without power is drawn, and both strip and text say that there was none."""
    record = run(conventional_oven(FIGURES), {"base": 1300.0}, Thermostat(180.0, stuck="open"), seconds=600.0)
    assert "at no time" in texts(record_svg(WORDS, record))
    assert "No power flows" in summary(WORDS, record)


def test_a_node_that_is_not_there_is_named(sound: HeatRecord) -> None:
    """Asking for an unknown line tells which there are."""
    with pytest.raises(ScenarioError, match="no node 'lid'"):
        record_svg(WORDS, sound, nodes=("lid",))


@pytest.mark.parametrize(
    ("module", "absent"),
    [
        ("probebook.heating.alloys", ("pydantic", "pint", "matplotlib")),
        ("probebook.heating.wire", ("numpy", "pydantic", "pint", "matplotlib")),
        ("probebook.heating.plots", ("pydantic", "pint", "matplotlib", "scipy")),
    ],
)
def test_imports_stay_light(module: str, absent: tuple[str, ...]) -> None:
    """Importing a module loads none of the heavy libraries that it uses late or not at all."""
    code = f"import sys, {module}; print([name for name in {absent!r} if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"

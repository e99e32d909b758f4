from __future__ import annotations

import functools
import hashlib
import itertools
import re
import subprocess
import sys
from collections import Counter
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path

import pytest

from probebook.cases.library import Library
from probebook.meters import Function
from probebook.workbook.preview import Healthy, healthy_readings, preview
from progress_lines import without_progress

SCENARIOS = Path(__file__).parents[2] / "scenarios"
LIBRARY = Library(SCENARIOS)
VOID = {"meta", "br", "img", "link", "input", "hr"}


class Reader(HTMLParser):
    """Reads a page strictly: every tag is closed in order; collects what the tests look at."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: list[tuple[str, dict[str, str]]] = []
        self.faults: list[str] = []
        self.text: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note a tag that opens."""
        self.tags.append((tag, {key: value or "" for key, value in attrs}))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note a tag that is closed at once."""
        self.tags.append((tag, {key: value or "" for key, value in attrs}))

    def handle_endtag(self, tag: str) -> None:
        """Note a tag that closes, and whether it was the last that opened."""
        if not self.open or self.open.pop() != tag:
            self.faults.append(f"</{tag}> at {self.getpos()}")

    def handle_data(self, data: str) -> None:
        """Note the text."""
        self.text.append(data)


@functools.cache
def page_of(appliance: str) -> str:
    """The page of one of the trade's appliances."""
    return preview(LIBRARY.appliance(appliance), LIBRARY)


def read_page(text: str) -> Reader:
    """The page, read strictly."""
    reader = Reader()
    reader.feed(text)
    return reader


@pytest.mark.parametrize("appliance", LIBRARY.appliance_ids)
def test_the_page_is_sound_html_with_one_of_each_id(appliance: str) -> None:
    """Tags nest, ids are unique over all drawings of the page, and links and labels lead to ids that exist."""
    reader = read_page(page_of(appliance))
    assert (reader.faults, reader.open) == ([], [])
    ids = Counter(attrs["id"] for _, attrs in reader.tags if "id" in attrs)
    assert [name for name, count in ids.items() if count > 1] == []
    for _, attrs in reader.tags:
        for name in attrs.get("aria-labelledby", "").split():
            assert name in ids
        if attrs.get("href", "").startswith("#"):
            assert attrs["href"][1:] in ids


@pytest.mark.parametrize("appliance", LIBRARY.appliance_ids)
def test_the_page_asks_for_nothing(appliance: str) -> None:
    """One file is all: no script, no link, no picture or font from elsewhere."""
    text = page_of(appliance)
    tags = read_page(text).tags
    assert not {tag for tag, _ in tags} & {"script", "link", "iframe", "object", "img", "base"}
    assert not re.search(r"url\(|@import|src=", text)
    assert set(re.findall(r"https?://[^\"' >]+", text)) <= {"http://www.w3.org/2000/svg"}
    assert all(attrs["href"].startswith("#") for tag, attrs in tags if tag == "a")


@pytest.mark.parametrize("appliance", LIBRARY.appliance_ids)
def test_everything_of_the_file_is_on_the_page(appliance: str) -> None:
    """Every part, wire, position and fault is named, and each position has its drawing."""
    item = LIBRARY.appliance(appliance)
    text = page_of(appliance)
    words = " ".join(read_page(text).text)
    for name in (
        *(part.title for part in item.parts),
        *(position.title for position in item.positions),
        *(fault.title for fault in item.faults),
    ):
        assert name in words
    for wire in item.wires:
        assert f'<th scope="row">{wire.mark}</th>' in text
    assert text.count("wiring schematic") >= len(item.positions)


def test_tables_and_drawings_can_be_read_aloud() -> None:
    """Each table has a caption and scoped headings; each drawing a title; no level of heading is left out."""
    text = page_of("conventional-oven")
    tags = read_page(text).tags
    tables = [tag for tag, _ in tags if tag == "table"]
    assert len(tables) == sum(tag == "caption" for tag, _ in tags) >= 7
    assert all(attrs.get("scope") in ("row", "col") for tag, attrs in tags if tag == "th")
    drawings = [attrs for tag, attrs in tags if tag == "svg"]
    assert len(drawings) == 7
    assert all(attrs["role"] == "img" and attrs["aria-labelledby"] for attrs in drawings)
    levels = [int(tag[1]) for tag, _ in tags if re.fullmatch(r"h[1-6]", tag)]
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in itertools.pairwise(levels))
    assert 'lang="en-GB"' in text


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.2 defines it."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    r, g, b = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def test_text_stands_out_in_light_dark_and_print() -> None:
    """Ink, softer ink and the colour of links reach 4.5 : 1 on page and panel in all three looks (WCAG 2.2, 1.4.3)."""
    looks = [
        {key: value if len(value) == 7 else "#" + "".join(2 * c for c in value[1:]) for key, value in found}
        for block in re.findall(r":root \{(.*?)\}", page_of("kettle"), re.DOTALL)
        for found in [re.findall(r"--(\w+): (#[0-9a-f]{3,6})", block)]
    ]
    assert len(looks) == 3
    for look in looks:
        for front in ("ink", "soft", "copper"):
            for back in ("paper", "panel"):
                low, high = sorted((luminance(look[front]), luminance(look[back])))
                assert (high + 0.05) / (low + 0.05) >= 4.5, (front, back, look)


def test_the_same_file_gives_the_same_bytes(fresh_python: Callable[..., str]) -> None:
    """Neither the hash seed nor locale or time zone changes a byte."""
    code = (
        "import hashlib\nfrom pathlib import Path\nfrom probebook.cases.library import Library\n"
        "from probebook.workbook.preview import preview\n"
        f"library = Library(Path({str(SCENARIOS)!r}))\n"
        "text = preview(library.appliance('multifunction-oven'), library)\n"
        "print(hashlib.sha256(text.encode()).hexdigest())"
    )
    here = hashlib.sha256(page_of("multifunction-oven").encode()).hexdigest()
    assert fresh_python(code, PYTHONHASHSEED="3", TZ="Pacific/Auckland", LC_ALL="C.UTF-8") == here


# ---------------------------------------------------------------- healthy readings


def readings(appliance: str, function: Function) -> list[Healthy]:
    """The healthy readings of one function."""
    return [r for r in healthy_readings(LIBRARY.appliance(appliance), LIBRARY) if r.function is function]


def test_a_load_alone_reads_its_own_cold_ohms() -> None:
    """Every load of every appliance, its wires off: its own cold resistance (neons: OL), whatever lies beside it."""
    for appliance_id in LIBRARY.appliance_ids:
        appliance = LIBRARY.appliance(appliance_id)
        found = [r for r in readings(appliance_id, Function.OHMS) if r.about][::2]
        assert found
        for reading in found:
            branch = appliance.branches[appliance.branch(reading.about)]
            if branch.strikes_at:
                assert reading.display == "OL"
            elif sum(b.part == branch.part and b.kind is branch.kind for b in appliance.branches) == 1:
                assert reading.ohms == pytest.approx(branch.cold_ohms, rel=1e-6)


def test_the_base_element_reads_less_cold_than_by_its_rating() -> None:
    """230²/1500 = 35.27 Ω at work; nickel-chromium 80/20 is some per cent lower cold (makers' alloy tables)."""
    shown = next(r for r in readings("conventional-oven", Function.OHMS) if r.about == "E2.heater")
    assert 0.92 * 230**2 / 1500 < shown.ohms < 230**2 / 1500
    assert shown.display == f"{shown.ohms:.1f} Ω"


def test_seven_heat_positions_read_series_and_parallel_sums() -> None:
    """Line to neutral on the solid plate: R = V²/P of each section, cold, in series and in parallel by hand."""
    appliance = LIBRARY.appliance("solid-plate")
    a, b, c = (appliance.branches[appliance.branch(f"E1.{name}")].cold_ohms for name in "abc")
    by_hand = {
        "1": a + b + c,
        "2": b + c,
        "3": c,
        "4": a,
        "5": a * b / (a + b),
        "6": 1 / (1 / a + 1 / b + 1 / c),
    }
    whole = {r.position: r.ohms for r in readings("solid-plate", Function.OHMS) if not r.about}
    assert by_hand.keys() <= whole.keys()
    for position, ohms in by_hand.items():
        assert whole[position] == pytest.approx(ohms, rel=0.01)


def test_insulation_of_the_whole_is_that_of_its_parts_in_parallel() -> None:
    """Three paths of 400 MΩ side by side read 133 MΩ; line to earth with the switch off shows over-range."""
    found = readings("conventional-oven", Function.INSULATION)
    alone = [r.display for r in found if r.about]
    assert alone == ["400 MΩ"] * 3
    whole = {(r.probes[0], r.position): r.display for r in found if not r.about}
    assert whole["X1.N", "off"] == "133 MΩ"
    assert whole["X1.L", "off"] == ">999 MΩ"


def test_earth_continuity_is_the_bonds_by_iec_60228() -> None:
    """0.3 m and then 0.4 m of 1.5 mm² at 13.3 Ω/km (IEC 60228, class 5): 4 mΩ, and 9 mΩ by way of the first."""
    found = readings("conventional-oven", Function.CONTINUITY)
    assert [r.ohms for r in found] == pytest.approx([0.3 * 13.3e-3, 0.7 * 13.3e-3], rel=0.01)
    assert all(r.ohms < 0.1 for r in found)


# ---------------------------------------------------------------- the command


def run(*arguments: str) -> subprocess.CompletedProcess[str]:
    """Run ``probebook preview``."""
    line = [sys.executable, "-m", "probebook", "preview", *arguments, "--scenarios", str(SCENARIOS)]
    return subprocess.run(line, capture_output=True, text=True, encoding="utf-8", check=False, timeout=400)


def test_the_command_writes_the_page(tmp_path: Path) -> None:
    """By id or by file the same page is written where it was asked for, and said so."""
    by_id, by_file = tmp_path / "a.html", tmp_path / "b.html"
    done = run("kettle", "--out", str(by_id))
    assert done.returncode == 0, done.stderr
    assert str(by_id) in done.stdout
    assert run(str(SCENARIOS / "appliances" / "kettle.toml"), "--out", str(by_file)).returncode == 0
    assert by_id.read_bytes() == by_file.read_bytes()
    assert by_id.read_text("utf-8").startswith("<!DOCTYPE html>")


def test_what_checking_finds_stands_on_the_page(tmp_path: Path) -> None:
    """A plate that disagrees with its elements is shown as it is told by ``check``."""
    folder = tmp_path / "appliances"
    folder.mkdir()
    text = (SCENARIOS / "appliances" / "kettle.toml").read_text("utf-8")
    assert 'power = "2.8 kW"' in text
    (folder / "kettle.toml").write_text(text.replace('power = "2.8 kW"', 'power = "1.0 kW"', 1), "utf-8")
    for name in ("alloys.toml", "assumptions.toml"):
        (tmp_path / name).write_bytes((SCENARIOS / name).read_bytes())
    out = tmp_path / "k.html"
    done = run(str(folder / "kettle.toml"), "--out", str(out))
    assert done.returncode == 0, done.stderr
    assert "<strong>" in out.read_text("utf-8").partition('id="check"')[2]


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (("toaster",), "there is no appliance 'toaster'; choose one of"),
        (("no-such.toml",), "there is no such file"),
        (("kettle", "--out", "no/such/folder/k.html"), "the file cannot be written"),
    ],
)
def test_what_cannot_be_done_is_said_in_one_sentence(arguments: tuple[str, ...], sentence: str) -> None:
    """Exit code 2 and one line on standard error."""
    done = run(*arguments)
    assert done.returncode == 2
    assert sentence in done.stderr
    assert without_progress(done.stderr).count("\n") == 1

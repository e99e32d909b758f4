"""What check says of one wrong thing at a time in a folder of one's own: file, line, key, and a near name."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from probebook.api.files import check_file
from probebook.cases.library import Library
from probebook.scenario_layers import MARKER
from probebook.workbook.starts import new_files

SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"
PLATE, BOOK = "appliances/warmer.toml", "workbooks/book.toml"
SLIPS, KITCHEN = "text/en/slips.toml", "text/en/kitchen.toml"

HEAT = """
[heat]
model = "vessel"
litres = 1.5
to_room = 1.5
shell = 450.0
element = 160.0
element_to_water = 75.0
heater = "warmth"
"""
FAULT = """
[[fault]]
id = "mine"
kind = "{kind}"
title = "mine"
on = "{on}"
likelihood = 1
basis = "invented for this test"
looks = "a brown end"
mend = "mend it"
{more}
"""

#: What is changed in which file, and the finding: place, and what is said. ``+`` appends.
Row = tuple[str, str, str, str, str]


def heat(old: str, new: str) -> tuple[str, str, str]:
    """A change of the [heat] table, put before the parts."""
    assert old in HEAT
    return PLATE, "# --- parts", HEAT.replace(old, new) + "\n# --- parts"


def fault(kind: str, on: str, more: str) -> tuple[str, str, str]:
    """One more fault, at the end."""
    return PLATE, "+", FAULT.format(kind=kind, on=on, more=more)


ROWS: dict[str, Row] = {
    "residual of 30 A": (PLATE, '"30 mA"', '"30 A"', "supply.residual", 'write for example residual = "30 mA"'),
    "tolerance of 500 %": (PLATE, '"5 %"', '"500 %"', "part[7] (E1).tolerance", 'write for example tolerance = "5 %"'),
    "a tag twice": (
        PLATE,
        '["L", "N", "E"]',
        '["L", "L", "N", "E"]',
        "part[1] (X1): part",
        "the tag 'L' is used twice",
    ),
    "litres in words": (*heat("litres = 1.5", 'litres = "two"'), "heat.litres", "write a number"),
    "no litres": (*heat("litres = 1.5", ""), "heat.litres", "write for example litres = 1.5"),
    "minus one litre": (*heat("litres = 1.5", "litres = -1.0"), "heat.litres", "write a number of more than 0"),
    "1e300 litres": (*heat("litres = 1.5", "litres = 1e300"), "heat.litres", "write a number of at most 10000"),
    "a volcano": (*heat('"vessel"', '"volcano"'), "heat.model", "'vessel'"),
    "no model": (*heat('model = "vessel"', ""), "heat.model", 'write for example model = "vessel"'),
    "no heater": (*heat('heater = "warmth"', ""), "heat.heater", 'write for example heater = "warmth"'),
    "a heater that heats nothing": (*heat('"warmth"', '"warmt"'), "heat.heater", "did you mean 'warmth'"),
    "a model nothing heats": (*heat('"vessel"', '"fan-oven"'), "heat.model", "is heated at ring"),
    "a duct without its air": (*heat('"vessel"', '"duct"'), "heat.flow", "write for example flow = 0.05"),
    "an unknown thermostat": (*heat("litres", 'thermostat = "B9"\nlitres'), "heat.thermostat", "choose one of B1"),
    "an unknown steam switch": (
        *heat("litres", 'steam_switch = "S9"\nsteam_switch_opens = 97.0\nlitres'),
        "heat.steam_switch",
        "choose one of S1",
    ),
    "a steam switch that never opens": (
        *heat("litres", 'steam_switch = "S1"\nlitres'),
        "heat.steam_switch_opens",
        "steam_switch_opens = 97.0",
    ),
    "a part off the sheet": (PLATE, 'mark = "CH"', 'mark = "CH"\nat = [1e308, 0]', "part[3].at[1]", "at most 1000"),
    "a wire moved to where it is": (
        *fault("misplaced-wire", "W3", 'end = "to"\nto = "B1.1"'),
        "fault[9] (mine): to",
        "as it should be",
    ),
    "a wire moved nowhere": (
        *fault("misplaced-wire", "W3", 'end = "to"\nto = "B9.1"'),
        "fault[9] (mine)",
        "did you mean 'B1.1'",
    ),
    "a joint of nothing": (*fault("high-resistance", "W3", 'ohms = "0 ohm"'), "fault[9] (mine)", 'ohms = "2 ohm"'),
    "a joint of next to nothing": (
        *fault("high-resistance", "W3", 'ohms = "1e-300 ohm"'),
        "fault[9] (mine)",
        'ohms = "2 ohm"',
    ),
    "a fault on nothing": (PLATE, 'on = "E1.heater"', 'on = "E1.heatr"', "fault[1] (element-open)", "mean 'E1.heater'"),
    "a thin wire": (
        PLATE,
        'to = "B1.1"\ncolour = "brown"\narea = "0.75 mm2"',
        'to = "B1.1"\ncolour = "brown"\narea = "0.1 mm2"',
        "wire[3] (W3).area",
        "carries 3.5 A in position 'warm', which is much for 0.1 mm²",
    ),
    "a cover without minutes": (PLATE, 'cover = "plug"', 'cover = "plg"', "part[1] (X1): cover", '"plg" = "4 min"'),
    "an unknown alloy": (PLATE, "nicr-80-20-slow", "nicr-8020-slow", "alloy", "did you mean 'nicr-80-20-slow-cooled'"),
    "a hidden sign": (PLATE, 'title = "neon"', r'title = "\u001b[2J"', "part[8].title", "the hidden sign U+001B"),
    "an unknown appliance": (BOOK, '"warmer"', '"warmr"', "appliance", "did you mean 'warmer'"),
    "an unknown form": (BOOK, 'form = "watts"', 'form = "wats"', "block[4].options.form", "did you mean 'watts'"),
    "an unknown option": (BOOK, '{ form = "watts"', '{ from = "watts"', "block[4].options", "did you mean 'form'"),
    "an unknown part": (
        BOOK,
        'form = "watts"',
        'form = "watts", part = "E9.heater"',
        "block[4].options.part",
        "did you mean 'E1.heater'",
    ),
    "a part that is a number": (
        BOOK,
        'form = "watts"',
        'form = "watts", part = 5',
        "block[4].options.part",
        "write text in quotation marks",
    ),
    "an unknown position": (
        BOOK,
        'form = "break"',
        'form = "heats", position = "warn"',
        "block[13].options.position",
        "did you mean 'warm'",
    ),
    "an unknown wire": (
        BOOK,
        'form = "break"',
        'form = "break", wire = "W99"',
        "block[13].options.wire",
        "there is no wire 'W99' here",
    ),
    "a truth that cannot be": (
        BOOK,
        'case = "one"',
        'truth = ["element-opn"]\ncase = "one"',
        "block[15].truth",
        "did you mean 'element-open'",
    ),
    "a drawing in no position": (
        BOOK,
        'show = "schematic"',
        'show = "schematic"\nposition = "warn"',
        "block[8].position",
        "did you mean 'warm'",
    ),
    "an unknown meter": (
        BOOK,
        'form = "across"',
        'form = "across", meter = "pocket"',
        "block[9].options.meter",
        "'pocket-multimeter'",
    ),
    "an unknown verdict": (
        BOOK,
        'form = "insulation"',
        'form = "insulation", verdict = "inside"',
        "block[12].options.verdict",
        "'outside'",
    ),
    "an unknown aim": (BOOK, 'seed = "first"', 'seed = "x"\naims = ["powr"]', "aims", "did you mean 'power'"),
    "an unknown hole": (BOOK, "Twelve questions", "{{ nope }}", "summary", "there is no fact 'nope'"),
    "a slip on no form": (SLIPS, 'form = "power/watts"', 'form = "power/wats"', "slip[1].on", "mean 'power/watts'"),
    "a slip on no path": (SLIPS, 'path = "doubled"', 'path = "dubled"', "slip[1].on", "did you mean 'doubled'"),
    "an unused slip": (
        SLIPS,
        'on = [{ form = "power/watts", path = "doubled" }]',
        "",
        "slip[1]",
        "no question ever meets the slip 'twice'",
    ),
    "a slip of no competence": (SLIPS, '"C16"', '"C99"', "slip[1].competences", "there is no competence 'C99'"),
    "a usual position there is not": (KITCHEN, 'usual = "warm"', 'usual = "wam"', "appliance[1].usual", "mean 'warm'"),
    "words for no position": (KITCHEN, 'warm = "when', 'wam = "when', "appliance[1].leads", "did you mean 'warm'"),
    "words for no appliance": (KITCHEN, 'id = "warmer"', 'id = "wrmer"', "appliance[1].id", "did you mean 'warmer'"),
}


@pytest.fixture(scope="module")
def own(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder of one's own with the starts of an appliance, a slip and a workbook in it."""
    folder = tmp_path_factory.mktemp("check") / "scenarios"
    folder.mkdir()
    (folder / MARKER).write_text(f'base = "{SCENARIOS}"\n', "utf-8")
    for kind, name in (("appliance", "warmer"), ("slip", "twice"), ("workbook", "book")):
        for path, text in new_files(kind, name, Library(folder)).items():
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, "utf-8")
    return folder


@pytest.fixture
def copied(own: Path, tmp_path: Path) -> Path:
    """A copy of it that may be spoilt."""
    return Path(shutil.copytree(own, tmp_path / "scenarios"))


def changed(path: Path, old: str, new: str) -> None:
    """Change a file in one place, below its comments."""
    text = path.read_text("utf-8")
    if old == "+":
        path.write_text(text + new, "utf-8")
        return
    start = text.index(old, text.index("[[slip]]") if path.name == "slips.toml" else 0)
    path.write_text(text[:start] + new + text[start + len(old) :], "utf-8")


@pytest.mark.parametrize("path", [PLATE, BOOK, SLIPS, KITCHEN])
def test_a_start_passes_as_it_is(own: Path, path: str) -> None:
    """Nothing at all is found in what ``probebook new`` writes, the whole of it compiled."""
    assert check_file(own / path, Library(own)) == []


def test_heat_that_can_be_reckoned_passes(copied: Path) -> None:
    """The heat that the rows below spoil is sound as it stands."""
    changed(copied / PLATE, *heat("litres", "litres")[1:])
    assert check_file(copied / PLATE, Library(copied)) == []


@pytest.mark.parametrize("name", ROWS)
def test_check_says(copied: Path, name: str) -> None:
    """One thing is wrong: a finding names file, line and key, and says what is to be done."""
    file, old, new, place, said = ROWS[name]
    changed(copied / file, old, new)
    found = check_file(copied / file, Library(copied))
    there = [each for each in found if place in each.where]
    assert there, [str(each) for each in found]
    assert said in f"{there[0].message}; {there[0].remedy}"
    assert re.match(rf"{Path(file).name}, line \d+: ", there[0].where) or name == "a hidden sign"


def test_an_appliance_nobody_speaks_of_is_told(copied: Path) -> None:
    """Without a row in kitchen.toml no case can be made: check says so of the appliance and of the workbook."""
    (copied / KITCHEN).unlink()
    (warning,) = check_file(copied / PLATE, Library(copied))
    assert "kitchen.toml does not say how people speak of it" in warning.message
    (error,) = check_file(copied / BOOK, Library(copied))
    assert 'add an [[appliance]] with id = "warmer"' in error.remedy


def test_a_path_from_here_is_looked_at_as_closely(copied: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file named from the folder one is in is told the same as one named in full."""
    changed(copied / SLIPS, 'path = "doubled"', 'path = "dubled"')
    monkeypatch.chdir(copied.parent)
    told = [found.message for found in check_file(Path(copied.name) / SLIPS, Library(Path(copied.name)))]
    assert told == [found.message for found in check_file(copied / SLIPS, Library(copied))] != []

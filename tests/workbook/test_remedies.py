"""A remedy that is offered is taken at its word: what it says to write is then accepted in that place."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from probebook.api.files import check_file
from probebook.cases.library import Library
from probebook.diagnosis.files.reading import read_evidence
from probebook.errors import ProbebookError

SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"
LIBRARY = Library(SCENARIOS)

#: What is spoilt in the kettle: a pattern, what stands there instead, what of the remedy is taken, how it is written.
SPOILT: dict[str, tuple[str, str, str, str]] = {
    "no alloy": (r'alloy = "[^"]*"\n', "", r'add for example (alloy = "[^"]*")', "{}\n"),
    "an unknown alloy": (r'alloy = "[^"]*"', 'alloy = "nicr-8020"', r"did you mean '([^']*)'", 'alloy = "{}"'),
    "no maker": (r'maker = "[^"]*"\n', "", r'add a line that begins "(maker =)"', '{} "invented"\n'),
    "no plate": (
        r"\[plate\][^\[]*", "", r"add (\[plate\]),",
        '{}\nmaker = "m"\ndesignation = "d"\nvoltage = "230 V"\npower = "2.8 kW"\nprotection = "class I"\n',
    ),
    "no position": (
        r"\[\[position\]\][\s\S]*?(?=\n# ---)", "", r"add (\[\[position\]\]),",
        '{0}\nname = "off"\ntitle = "off"\ncloses = []\nworks = []\n\n'
        '{0}\nname = "boil"\ntitle = "boil"\ncloses = ["S1.a"]\nworks = ["H1", "E1.element"]\n',
    ),
    "no power of a section": (r', power = "2.8 kW"', "", r'add a line that begins "(power =)"', ', {} "2.8 kW"'),
    "no temperature of a cut-out": (r"opens_at = .*\n", "", r'add for example (opens_at = "[^"]*")', "{}\n"),
    "no ohms of a leak": (r'ohms = "12 kohm"\n', "", r'write for example (ohms = "[^"]*")', "{}\n"),
    "no ohms of a joint": (r'ohms = "2 ohm"\n', "", r'write for example (ohms = "[^"]*")', "{}\n"),
    "a joint of nothing": (r'ohms = "2 ohm"', 'ohms = "0 ohm"', r'for example (ohms = "[^"]*")', "{}"),
    "no rating of a fuse": (r'rating = "13 A"\n', "", r'add for example (rating = "[^"]*")', "{}\n"),
    "no contacts of a switch": (r"contacts = \[\n.*\n\]\n", "", r"add for example (contacts = \[.*\])", "{}\n"),
    "no way through a cut-out": (
        r'between = \["1", "2"\]\n(?=opens_at)', "", r"add for example (between = \[.*\])", "{}\n",
    ),
    "an unknown kind of part": (r'kind = "fuse"', 'kind = "fuze"', r"or '([^']*)'$", 'kind = "{}"'),
    "an id that differs": (r'id = "kettle"', 'id = "ketle"', r'write (id = "[^"]*")', "{}"),
    "a mark in small letters": (r'mark = "CH"', 'mark = "ch"', r'such as "([^"]*)"', 'mark = "X{}"'),
    "a colour there is not": (r'colour = "black"', 'colour = "pink"', r"write one of: ([^,]*),", 'colour = "{}"'),
    "a cover that takes no time": (r'"plug" = "1 min"\n', "", r'add ("plug" = "[^"]*") under', "{}\n"),
    "an unknown contact": (r'closes = \["S1.a"\]', 'closes = ["S1.b"]', r"mean '([^']*)'", 'closes = ["{}"]'),
    "an unknown load": (
        r'works = \["H1", "E1.element"\]', 'works = ["H1", "E1.elemnt"]', r"mean '([^']*)'", 'works = ["H1", "{}"]',
    ),
    "a quantity without its unit": (r'fuse = "13 A"', 'fuse = "13"', r"for example (.*)$", 'fuse = "{}"'),
    "a number for a quantity": (r'fuse = "13 A"', "fuse = 13", r"for example (.*)$", 'fuse = "{}"'),
    "volts for amperes": (r'breaker = "32 A"', 'breaker = "32 V"', r"for example (.*)$", 'breaker = "{}"'),
    "less than nothing": (r'length = "0.02 m"', 'length = "-0.02 m"', r"for example (.*)$", 'length = "{}"'),
    "residual of 30 A": (r'residual = "30 mA"', 'residual = "30 A"', r'(residual = "[^"]*")', "{}"),
    "tolerance of 500 %": (r'tolerance = "5 %"', 'tolerance = "500 %"', r'(tolerance = "[^"]*")', "{}"),
    "a thin wire": (r'area = "1.5 mm2"', 'area = "0.2 mm2"', r'write (area = "[^"]*")', "{}"),
    "no litres": (r"litres = 1.5\n", "", r"write for example (litres = [0-9.]+)", "{}\n"),
    "no heater": (r'heater = "element"\n', "", r'write for example (heater = "[^"]*")', "{}\n"),
    "an unknown heater": (r'heater = "element"', 'heater = "elemnt"', r"mean '([^']*)'", 'heater = "{}"'),
    "a bare steam switch": (r"steam_switch_opens = .*\n", "", r"(steam_switch_opens = [0-9.]+)", "{}\n"),
    "a fault on nothing": (r'on = "E1.element"', 'on = "E1.elemnt"', r"mean '([^']*)'", 'on = "{}"'),
    "a wire to nowhere": (r'to = "FU1.1"', 'to = "FU1.9"', r"mean '([^']*)'", 'to = "{}"'),
}  # fmt: skip


def findings(path: Path, text: str) -> list[tuple[str, str, str]]:
    """Key, message and remedy of the errors and warnings in a kettle."""
    path.parent.mkdir(exist_ok=True)
    path.write_text(text, "utf-8")
    found = [each for each in check_file(path, LIBRARY) if each.severity != "information"]
    return [(re.sub(r", line \d+", "", each.where), each.message, each.remedy) for each in found]


@pytest.mark.parametrize("name", SPOILT)
def test_a_remedy_is_accepted(tmp_path: Path, name: str) -> None:
    """What the remedy says to write is written there: nothing is found wrong with that key any more."""
    text = (SCENARIOS / "appliances" / "kettle.toml").read_text("utf-8")
    pattern, spoilt, takes, written = SPOILT[name]
    found = re.search(pattern, text)
    assert found, "the sample has changed"
    path = tmp_path / "appliances" / "kettle.toml"
    first, *_ = findings(path, text[: found.start()] + spoilt + text[found.end() :])
    word = re.search(takes, first[2])
    assert word, first
    mended = text[: found.start()] + written.format(word[1]) + text[found.end() :]
    after = findings(path, mended)
    assert first[0] not in [where for where, _, _ in after], (first, after)


@pytest.mark.parametrize("function", ["volts", "amps", "ohmz"])
def test_the_functions_offered_for_evidence_are_taken(tmp_path: Path, function: str) -> None:
    """A function that is none of a dead test is refused with those that are; each of them is then accepted."""
    oven, path = LIBRARY.appliance("conventional-oven"), tmp_path / "evidence.toml"
    row = '[[reading]]\nprobes = ["E2.1", "E2.2"]\ndisplay = "OL"\nfunction = "{}"\n'
    path.write_text(row.format(function), "utf-8")
    with pytest.raises(ProbebookError) as caught:
        read_evidence(path, oven)
    offered = re.findall(r"'(\w+)'", str(caught.value.remedy))
    assert offered == ["ohms", "continuity", "insulation"]
    for each in offered:
        path.write_text(row.format(each), "utf-8")
        assert read_evidence(path, oven)

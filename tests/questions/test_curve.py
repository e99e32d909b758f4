from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from english import WORDS
from probebook.appliances import Appliance
from probebook.cases.library import Library
from probebook.heating.installed import heating_of, record_of
from probebook.heating.record import plateau, time_to
from probebook.heating.vessels import WATER_HEAT
from probebook.questions.codec import decode_question, encode_question
from probebook.questions.curve.facts.assumed import CurveLimits
from probebook.questions.curve.facts.judging import candidates, judge
from probebook.questions.curve.facts.record import Setting, heat_up, on_spans, table_time
from probebook.questions.curve.facts.verdict import against, verdict_facts
from probebook.questions.frame import Ask
from probebook.questions.marking import mark
from probebook.questions.model import Kind, Question
from probebook.questions.registry import build_question
from probebook.workbook.pages.prompts import question_page

TRADE = Library(Path(__file__).resolve().parents[2] / "scenarios")
LIMITS = TRADE.assumptions.get(CurveLimits)
ASKS = [
    ("conventional-oven", 1, "plateau"),
    ("conventional-oven", 2, "time"),
    ("conventional-oven", 3, ""),
    ("fan-oven", 1, "period"),
    ("fan-oven", 2, "plateau"),
    ("multifunction-oven", 3, "time"),
    ("double-oven", 2, ""),
    ("storage-heater", 2, "plateau"),
]


def ask(appliance: str, level: int, form: str = "", seed: str = "t", **options: str) -> Question:
    """A curve question of the library."""
    chosen = {**({"form": form} if form else {}), **options}
    return build_question(Ask("q01", Kind.CURVE, seed, level, appliance, chosen), TRADE)


def oven() -> Appliance:
    """The conventional oven."""
    return TRADE.appliance("conventional-oven")


@pytest.mark.parametrize(("appliance", "level", "form"), ASKS)
def test_key_and_slips_earn_what_is_documented(appliance: str, level: int, form: str) -> None:
    """The key earns everything, each slip its own marks and advice, and at least three slips are there."""
    question = ask(appliance, level, form)
    assert mark(question, question.key(), WORDS).marks == question.marks
    assert len(question.slips) >= 3
    for slip in question.slips:
        found = mark(question, {**question.key(), slip.field: slip.response}, WORDS)
        part = next(part for part in found.fields if part.key == slip.field)
        assert (part.slip, part.marks, part.message) == (slip.slip, slip.marks, slip.advice)


def test_same_seed_same_question_and_json_gives_it_back() -> None:
    """One seed makes one question, picture included, and JSON loses nothing of it."""
    first, again = ask("fan-oven", 2), ask("fan-oven", 2)
    assert first == again
    assert decode_question(encode_question(first)) == replace(first, effort=None)
    assert ask("fan-oven", 2, seed="other") != first


def test_picture_tells_no_more_than_the_table() -> None:
    """The picture goes with the page, and its description sends a reader to the table instead of giving the answer."""
    question = ask("conventional-oven", 2, "plateau", fault="thermostat-low")
    page = question_page(question, WORDS)
    name, svg = question.pictures[0]
    assert f"attachment:{name}" in page.text
    assert page.attachments()[name]
    described = svg[svg.index("<desc>") : svg.index("</desc>")]
    assert not any(character.isdigit() for character in described)


def test_water_warms_as_the_exponential_says() -> None:
    """Time to 50 °C of 117 litres is that of C dT/dt = P - G (T - room), solved by hand; the element's lag is small.

    Water 4186 J/(kg K) from memory; P is V² over the hot resistance of the element.
    """
    appliance = TRADE.appliance("immersion-heater")
    facts = dict(appliance.heat)
    power = appliance.supply.volts**2 / next(b.hot_ohms for b in appliance.branches if b.place)
    loss = float(facts["to_room"])
    capacity = float(facts["litres"]) * WATER_HEAT + float(facts["shell"]) + float(facts["element"])
    by_hand = -capacity / loss * math.log(1 - loss * (50 - 20) / power)
    assert time_to(record_of(appliance, "on"), 50.0) == pytest.approx(by_hand, rel=0.01)


def test_power_follows_the_faulty_circuit() -> None:
    """An open base element leaves the top one's V²/R alone; 204 V for 230 V leaves (204/230)² of both."""
    usual = heating_of(oven(), "oven").watts
    top = next(b for b in oven().branches if b.name == "E1.outer")
    gone = heating_of(oven(), "oven", ["base-open"]).watts
    assert gone["base"] == pytest.approx(0.0, abs=1.0)
    assert gone["top"] == pytest.approx(230.0**2 / top.hot_ohms, rel=0.02)
    low = heating_of(oven(), "oven", ["low-supply"]).watts
    for name in ("top", "base"):
        assert low[name] / usual[name] == pytest.approx((204 / 230) ** 2, rel=1e-6)


def test_a_thermostat_35_kelvin_low_holds_about_35_kelvin_less() -> None:
    """A calibration error moves what the oven holds by that much (the file says -35 K)."""
    lost = plateau(record_of(oven(), "oven")) - plateau(record_of(oven(), "oven", ["thermostat-low"]))
    assert lost == pytest.approx(35.0, abs=3.0)


@pytest.mark.parametrize(
    ("appliance", "position", "fault", "says"),
    [
        ("conventional-oven", "oven", "base-open", "heater-open"),
        ("conventional-oven", "oven", "low-supply", "low-supply"),
        ("conventional-oven", "oven", "thermostat-low", "calibration"),
        ("conventional-oven", "oven", "thermostat-welded", "welded"),
        ("fan-oven", "fan-oven", "fan-seized", "cut-out"),
        ("fan-oven", "fan-oven", "", "sound"),
    ],
)
def test_the_record_says_what_the_fault_does(appliance: str, position: str, fault: str, says: str) -> None:
    """What a record says is what that fault does to an oven (common practice, no published source)."""
    setting = Setting(TRADE.appliance(appliance), position, None, 20.0)
    assert judge(heat_up(setting, [fault] if fault else []), LIMITS) == says


def test_a_cut_out_that_stands_in_for_a_welded_thermostat_speaks_against_its_setting() -> None:
    """It goes at one temperature each time, far above the setting: no word that the temperatures differ."""
    welded = heat_up(Setting(oven(), "oven", None, 20.0), ["thermostat-welded"])
    blown = heat_up(Setting(TRADE.appliance("fan-oven"), "fan-oven", None, 20.0), ["fan-seized"])
    assert against(welded, "calibration", LIMITS) == "against.calibration-cut-out"
    assert against(blown, "calibration", LIMITS) == "against.calibration-trips"
    facts = verdict_facts(WORDS, welded, LIMITS)
    said = str(WORDS.say(facts, "against.calibration-cut-out"))
    assert facts.at_first > facts.set_point + 50.0
    assert f"{facts.at_first:.0f} °C" in said


def test_what_does_not_show_is_not_asked() -> None:
    """A broken lamp leaves no mark on the record, so no verdict is asked of it."""
    setting = Setting(oven(), "oven", None, 20.0)
    assert judge(heat_up(setting, ["lamp-open"]), LIMITS) is None
    assert all(("lamp-open",) not in sets for sets in candidates(setting, LIMITS).values())


def test_the_table_alone_gives_the_time() -> None:
    """Joined by straight lines, the rounded readings of the table give the time within the band of the key."""
    question = ask("conventional-oven", 1, "time", fault="none")
    band = question.fields[0].band
    assert band is not None
    rows = [line.split("|")[1:3] for line in question.prompt.splitlines() if line.startswith("| ")][2:]
    minutes, air = np.array([[float(cell) for cell in row] for row in rows]).T
    target = float(question.fields[0].label.removeprefix("Time to ").removesuffix(" °C"))
    after = int(np.argmax(air >= target))
    part = (target - air[after - 1]) / (air[after] - air[after - 1])
    read = minutes[after - 1] + part * (minutes[after] - minutes[after - 1])
    assert band.holds(60.0 * read)


def test_heaters_are_on_while_energy_is_drawn() -> None:
    """The minutes told as heating add up to the energy drawn over the power (one heater contact, one power)."""
    shown = heat_up(Setting(oven(), "oven", None, 20.0), ())
    minutes = sum(b - a for a, b in on_spans(shown.record))
    drawn = float(shown.record.energy[-1]) / sum(shown.heating.watts.values()) / 60.0
    assert minutes == pytest.approx(drawn, rel=1e-3)
    assert table_time(shown.record, 100.0) == pytest.approx((time_to(shown.record, 100.0) or 0.0) / 60.0, abs=0.3)


def _table(question: Question) -> list[list[float]]:
    rows = [line.strip("| ").split(" | ") for line in question.prompt.splitlines() if re.match(r"\| [\d.]+ \|", line)]
    return [[float(cell) for cell in row] for row in rows]


def _found(pattern: str, text: str) -> list[float]:
    found = re.search(pattern, text)
    assert found is not None, (pattern, text)
    return [float(group) for group in found.groups()]


def test_the_time_is_read_between_two_rows_of_the_table() -> None:
    """Both readings of the working stand in the table of the prompt; a straight line between them gives its time."""
    for appliance in ("conventional-oven", "fan-oven"):
        question = ask(appliance, 1, "time", fault="none")
        m0, v0, m1, v1 = _found(r"At ([\d.]+) min it is (\d+) °C, at ([\d.]+) min (\d+) °C", question.working)
        rows = [row[:2] for row in _table(question)]
        assert [m0, v0] in rows
        assert [m1, v1] in rows
        target = _found(r"first comes to (\d+) °C", question.explanation)[0]
        drawn, exact = _found(r"about ([\d.]+) min by the table, ([\d.]+) min by the curve", question.working)
        assert drawn == pytest.approx(m0 + (target - v0) / (v1 - v0) * (m1 - m0), abs=0.01 if drawn < 10 else 0.051)
        assert exact == pytest.approx(drawn, abs=0.3)


def test_the_cycle_is_a_third_of_three() -> None:
    """The switchings on of the working stand in the prompt, and a third of the last three cycles is the answer."""
    question = ask("fan-oven", 1, "period", fault="none")
    latest, earliest, minutes = _found(r"\(([\d.]+) − ([\d.]+)\) ÷ 3 = ([\d.]+) min", question.working)
    told = question.prompt.partition("in these minutes: ")[2]
    assert f"{latest} to " in told
    assert f"{earliest} to " in told
    assert minutes == pytest.approx((latest - earliest) / 3, abs=0.05)
    on, off = _found(r"of which ([\d.]+) min on and ([\d.]+) min off", question.working)
    assert on + off == pytest.approx(minutes, abs=0.02)


@pytest.mark.parametrize("fault", ["base-open", "low-supply"])
def test_the_share_of_the_current_is_that_of_the_two_currents(fault: str) -> None:
    """The percentage in the reason is one current over the other, and the clamp's current is that of the prompt."""
    question = ask("conventional-oven", 2, "plateau", fault=fault)
    amps, usual = _found(r"takes ([\d.]+) A where a sound one takes ([\d.]+) A", question.explanation)
    assert [amps, usual] == _found(r"showed ([\d.]+) A; a sound one takes ([\d.]+) A", question.prompt)
    percent = _found(r"(\d+) % of the usual current", question.explanation)[0]
    assert percent == pytest.approx(100 * amps / usual, abs=0.8)
    if fault == "low-supply":
        assert _found(r"here to (\d+) %", question.explanation)[0] == pytest.approx((amps / usual) ** 2 * 100, abs=1.3)
    else:
        left = 230.0**2 / next(b.hot_ohms for b in oven().branches if b.name == "E1.outer")
        assert amps == pytest.approx(left / 230.0, abs=0.15)

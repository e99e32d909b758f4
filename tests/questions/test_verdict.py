"""Verdicts worked out by hand from the prompt, against limits typed here from the published standards."""

from __future__ import annotations

import re
from collections import Counter

import pytest
from bank_checks import asked, figures, sample

from probebook.cases.library import library
from probebook.questions.model import Kind, Question

TRADE = library()
NAMES = {"within", "outside", "cannot"}


def _verdict(low: float, high: float, least: float, most: float) -> str:
    if least <= low and high <= most:
        return "within"
    return "outside" if high < least or low > most else "cannot"


def _accuracy(question: Question) -> tuple[float, float]:
    """Per cent of reading and digits, as the prompt states them."""
    share, digits = re.findall(r"±\(([\d.]+) % of reading \+ ([\d.]+) digits\)", question.prompt)[0]
    return float(share) / 100, float(digits)


def _sure(low: float, high: float, least: float, most: float) -> bool:
    """Whether the verdict by hand does not hang on how the last figure was rounded."""
    found = _verdict(low, high, least, most)
    return found == _verdict(low * 0.999, high * 1.001, least, most)


def _all(form: str) -> list[tuple[str, Question]]:
    """Questions of every verdict; forms that are about no appliance are drawn by seed alone."""
    if form in ("conductor", "calibration"):
        tried = [("kettle", asked(TRADE, Kind.VERDICT, form, "kettle", 2 + n % 2, f"seed {n}")) for n in range(50)]
        found = [(appliance, question) for appliance, question in tried if question is not None]
    else:
        found = list(sample(TRADE, Kind.VERDICT, form, levels=(2, 3), seeds=3))
    assert {str(q.field("verdict").answer) for _, q in found} == NAMES
    return found


def test_power_by_table_1_of_iec_60335_1() -> None:
    """IEC 60335-1, 10.1, Table 1: above 200 W, +5 % or +20 W, whichever is more, and -10 %; 25 to 200 W, ±10 %."""
    checked = 0
    for _, question in _all("power"):
        rating, volts = (float(v) for v in re.findall(r"rated \*\*([\d.]+) W at (\d+) V\*\*", question.prompt)[0])
        reading = figures(question.prompt, r"reads \*\*([\d.]+) Ω\*\*")[0]
        factor = figures(question.prompt, r"\*\*([\d.]+) times\*\*")[0]
        leads = figures(question.prompt, r"probes together showed ([\d.]+) Ω") or [0.0]
        share, digits = _accuracy(question)
        width = share * reading + digits * 0.1
        cold = reading - leads[0]
        low, high = (volts**2 / (factor * ohms) for ohms in (cold + width, cold - width))
        least = 0.9 * rating
        most = 1.1 * rating if rating <= 200 else max(1.05 * rating, rating + 20)
        assert f"{least:.0f} W to {most:.0f} W" in question.prompt
        if _sure(low, high, least, most):
            assert question.field("verdict").answer == _verdict(low, high, least, most)
            checked += 1
    assert checked >= 40


def test_insulation_by_the_rule_named() -> None:
    """IET Code of Practice: 1 MΩ (class I); older wiring rules for heating elements: 0.01 MΩ (both second hand)."""
    rules = Counter[float]()
    for _, question in _all("insulation"):
        shown = figures(question.prompt, r"shows \*\*([\d.]+) MΩ\*\*")[0]
        asked_for = figures(question.prompt, r"at least ([\d.]+) MΩ\*\*")[0]
        assert asked_for == (1.0 if "Code of Practice" in question.prompt else 0.01)
        rules[asked_for] += 1
        share, digits = _accuracy(question)
        step = 0.01 if shown < 10 else 0.1 if shown < 100 else 1.0
        width = share * shown + digits * step
        expected = _verdict(max(0.0, shown - width), shown + width, asked_for, float("inf"))
        assert question.field("verdict").answer == expected
    assert set(rules) == {1.0, 0.01}


def test_earth_by_a_tenth_of_an_ohm_and_the_lead() -> None:
    """IEC 60335-1, 27.5: 0.1 Ω; IET Code: 0.1 Ω and the lead, by IEC 60228 class 5 (26.0, 19.5, 13.3 Ω/km).

    The lead is that of the appliance's own file.
    """
    per_metre = {0.75: 0.0260, 1.0: 0.0195, 1.5: 0.0133}
    for appliance, question in _all("earth"):
        limit = 0.1
        lead = re.findall(r"supply lead is ([\d.]+) m of ([\d.]+) mm²", question.prompt)
        if lead:
            length, area = (float(v) for v in lead[0])
            for core in (w for w in TRADE.appliance(appliance).wires if w.note == "flex"):
                assert (core.length, core.area) == pytest.approx((length, 1e-6 * area))
            limit += per_metre[area] * length
        assert figures(question.prompt, r"at most ([\d.]+) Ω\*\*")[0] == pytest.approx(limit, abs=6e-4)
        shown = figures(question.prompt, r"shows \*\*([\d.]+) Ω\*\*")[0]
        leads = figures(question.prompt, r"probes together it showed ([\d.]+) Ω") or [0.0]
        share, digits = _accuracy(question)
        width = share * shown + digits * 0.01
        path = shown - leads[0]
        expected = _verdict(max(0.0, path - width), path + width, 0.0, limit)
        assert question.field("verdict").answer == expected


def test_conductors_by_iec_60228() -> None:
    """IEC 60228, plain copper at 20 °C, Ω/km: class 2 24.5, 18.1, 12.1, 7.41; class 5 26.0, 19.5, 13.3, 7.98."""
    table = {
        (2, 0.75): 24.5, (2, 1.0): 18.1, (2, 1.5): 12.1, (2, 2.5): 7.41,
        (5, 0.75): 26.0, (5, 1.0): 19.5, (5, 1.5): 13.3, (5, 2.5): 7.98,
    }  # fmt: skip
    for _, question in _all("conductor"):
        found = re.findall(r"coil of ([\d.]+) m of ([\d.]+) mm² \w+ \(class (\d)\)", question.prompt)[0]
        length, area, sort = float(found[0]), float(found[1]), int(found[2])
        limit = table[sort, area] * length / 1000
        shown = figures(question.prompt, r"shows \*\*([\d.]+) Ω\*\*")[0]
        share, digits = _accuracy(question)
        times = 2.0 if "two cores are joined" in question.prompt else 1.0
        width = share * shown + digits * (0.01 if shown < 10 else 0.1)
        expected = _verdict((shown - width) / times, (shown + width) / times, 0.0, limit)
        assert question.field("verdict").answer == expected


def test_supply_by_the_limits_of_great_britain() -> None:
    """230 V +10 % -6 %: 216.2 V to 253.0 V (Electricity Safety, Quality and Continuity Regulations 2002)."""
    for _, question in _all("supply"):
        shown = figures(question.prompt, r"shows \*\*([\d.]+) V\*\*")[0]
        share, digits = _accuracy(question)
        width = share * shown + digits * 0.1
        assert "216.2 V to 253.0 V" in question.prompt
        assert question.field("verdict").answer == _verdict(shown - width, shown + width, 216.2, 253.0)
        assert "licensed electrician measures" in question.prompt


def test_a_meter_against_a_known_resistor() -> None:
    """A meter keeps to its statement when it misses the resistor by no more than its accuracy."""
    for _, question in _all("calibration"):
        nominal, tolerance = re.findall(r"resistor of \*\*([\d.]+) Ω ± ([\d.]+) %\*\*", question.prompt)[0]
        shown = figures(question.prompt, r"shows \*\*([\d.]+) Ω\*\*")[0]
        leads = figures(question.prompt, r"probes together it shows ([\d.]+) Ω") or [0.0]
        share, digits = _accuracy(question)
        allowed = share * shown + digits * 0.1
        value, known = shown - leads[0], float(nominal) * float(tolerance) / 100
        expected = _verdict(value - known, value + known, float(nominal) - allowed, float(nominal) + allowed)
        assert question.field("verdict").answer == expected


def test_a_plan_can_fix_the_verdict() -> None:
    """The option 'verdict' fixes the key; unasked each of the three comes, so that no level gives one away."""
    for wanted in sorted(NAMES):
        question = asked(TRADE, Kind.VERDICT, "power", "conventional-oven", 1, "fixed", verdict=wanted)
        assert question is not None
        assert question.field("verdict").answer == wanted
    unasked = (asked(TRADE, Kind.VERDICT, "supply", "kettle", 1, f"unasked {seed}") for seed in range(12))
    assert {str(question.field("verdict").answer) for question in unasked if question is not None} == set(NAMES)


def test_wrong_reasons_have_the_form_of_the_right_one() -> None:
    """Beside the right reason stand those of other verdicts: what is right here is met as wrong elsewhere.

    Haladyna, Downing and Rodriguez 2002, a review of rules for writing items: options alike in form and content.
    """
    right: Counter[str] = Counter()
    wrong: Counter[str] = Counter()
    for form in ("power", "insulation", "earth", "supply", "conductor"):
        tried = (asked(TRADE, Kind.VERDICT, form, "conventional-oven", 2 + n % 2, f"alike {n}") for n in range(60))
        for question in filter(None, tried):
            for option in question.field("why").options:
                told = re.sub(r"[\d.]+", "#", option.text)
                (right if option.id == question.field("why").answer else wrong)[told] += 1
    also = sum(count for told, count in right.items() if wrong[told])
    assert also > 0.9 * right.total()

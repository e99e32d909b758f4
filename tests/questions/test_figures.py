"""Every figure of an explanation and of a working, reckoned again from the facts that stand in the prompt.

The sums here know nothing of the builders: they take the lines apart as a reader does, and do each sum again.
"""

from __future__ import annotations

import re

import pytest
from bank_checks import asked, figures, sample

from probebook.cases.library import library
from probebook.questions.model import Kind, Question
from probebook.questions.power.build import FORMS as POWER_FORMS
from probebook.questions.verdict.build import FORMS as VERDICT_FORMS

TRADE = library()
NUMBER = r"\d[\d,]*(?:\.\d+)?"
TERM = rf"\(?{NUMBER}²?\)?²?(?: (?:Ω/km|Ω|V|W|A|km|m)\b)?"
#: A sum with its result, such as ``230² ÷ 46.0 = 1150`` or ``(0.9 + 27) × 1.13 = 31.5``; units may stand between.
SUM = re.compile(rf"((?:{TERM} [÷×+−] )+{TERM}) = ±?({NUMBER})( %| [km]A)?")
SCALES = {" %": 0.01, " mA": 1e-3, " kA": 1e3}


def _value(text: str) -> float:
    """A sum as it is printed, worked out; only figures, brackets and the four signs are left of it."""
    plain = re.sub(r" (?:Ω/km|Ω|V|W|A|km|m)\b", "", text).replace("²", "**2").replace("−", "-")
    plain = plain.replace("×", "*").replace("÷", "/").replace(",", "")
    assert re.fullmatch(r"[\d.()*/+\- ]+", plain), plain
    return float(eval(plain))


def _sums(question: Question) -> list[tuple[str, str, str]]:
    texts = (
        re.sub(r"([\d.]+) % of", lambda share: f"{float(share[1]) / 100:g} ×", text)
        for text in (question.explanation, question.working)
    )
    return [(found[1], found[2], found[3] or "") for text in texts for found in SUM.finditer(text)]


def _agrees(question: Question) -> int:
    """Check every sum printed; figures on either side are rounded, so that the last digit but one has to hold."""
    for left, right, unit in _sums(question):
        result = float(right.replace(",", "")) * SCALES.get(unit, 1.0)
        assert _value(left) == pytest.approx(result, rel=0.011, abs=0.006), (left, right, unit)
    return len(_sums(question))


@pytest.mark.parametrize("form", POWER_FORMS)
def test_sums_of_power_questions(form: str) -> None:
    """Each sum that a power question prints comes to what it says it does."""
    seen = [_agrees(question) for _, question in sample(TRADE, Kind.POWER, form, seeds=1)]
    assert seen
    assert form in ("lamp", "motor") or all(seen)


@pytest.mark.parametrize("form", VERDICT_FORMS)
def test_sums_of_verdicts(form: str) -> None:
    """Each sum that a verdict prints comes to what it says it does."""
    for appliance in ("conventional-oven", "kettle"):
        for verdict in ("within", "outside", "cannot"):
            question = asked(TRADE, Kind.VERDICT, form, appliance, 3, "sums", verdict=verdict)
            if question is not None:
                _agrees(question)


def test_hot_ohms_stand_in_the_sum_of_hot_watts() -> None:
    """The factor of the alloy is in the watts that explanation and working give: V² ÷ (factor × cold ohms)."""
    for _, question in sample(TRADE, Kind.POWER, "hot-cold"):
        cold = figures(question.prompt, r"reads \*\*([\d.]+) Ω\*\*")[0]
        factor = figures(question.prompt, r"\*\*([\d.]+) times\*\*")[0]
        volts = figures(question.prompt, r"supply is (\d+) V")[0]
        watts = volts**2 / (factor * cold)
        assert f"takes {watts:.0f} W" in question.explanation
        assert question.working.endswith(f"= {watts:.0f} W")
        too_much = round((factor - 1) * 100, 9)
        assert f"would be {volts**2 / cold:.0f} W, {too_much:.0f} % too much" in question.explanation


def test_verdict_on_power_states_hot_watts() -> None:
    """A verdict on an element is on its hot watts, with the meter's statement about them."""
    checked = 0
    for _, question in sample(TRADE, Kind.VERDICT, "power", levels=(2, 3)):
        reading = figures(question.prompt, r"reads \*\*([\d.]+) Ω\*\*")[0]
        leads = (figures(question.prompt, r"probes together showed ([\d.]+) Ω") or [0.0])[0]
        factor = figures(question.prompt, r"\*\*([\d.]+) times\*\*")[0]
        share, digits = (
            float(v) for v in re.findall(r"±\(([\d.]+) % of reading \+ (\d+) digits\)", question.prompt)[0]
        )
        volts = figures(question.prompt, r"W at (\d+) V\*\*")[0]
        width = share / 100 * reading + digits * 0.1
        cold = reading - leads
        least, most = (volts**2 / (factor * ohms) for ohms in (cold + width, cold - width))
        assert f"takes {volts**2 / (factor * cold):.0f} W" in question.explanation
        assert f"{least:.0f} W to {most:.0f} W" in question.working
        checked += 1
    assert checked >= 10


def test_totals_are_of_the_circuits_that_are_listed() -> None:
    """The watts of a total are the sum of the ratings listed as heating, each of which stands in the table."""
    for _, question in sample(TRADE, Kind.POWER, "total", levels=(1,)):
        heating = re.search(r"these heat: (.+?)\. They", question.explanation)
        assert heating is not None
        watts = [float(v) for v in re.findall(r"\(([\d.]+) W\)", heating[1])]
        assert f"add: {sum(watts):.0f} W" in question.explanation
        table = [float(v) for v in re.findall(r"\| ([\d.]+) W \|", question.prompt)]
        assert all(w in table for w in watts)
        band = question.fields[0].band
        assert band is not None
        assert band.holds(sum(watts))


def test_leakage_and_faults_by_the_devices_of_the_prompt() -> None:
    """What a device does follows from the current and the ratings in the prompt (half and whole; five times)."""
    for _, question in sample(TRADE, Kind.POWER, "leakage", levels=(1, 3)):
        kilohms = figures(question.prompt, r"shows \*\*([\d.]+) kΩ\*\*")[0]
        rated = figures(question.prompt, r"\*\*([\d.]+) mA\*\*")[0]
        milliamperes = figures(question.prompt, r"the (\d+) V supply")[0] / kilohms
        expected = "acts" if milliamperes > rated else "may" if milliamperes > rated / 2 else "holds"
        assert question.field("device").answer == expected
    for _, question in sample(TRADE, Kind.POWER, "earth-fault", levels=(1, 3)):
        loop, joint = figures(question.prompt, r"\*\*([\d.]+) Ω\*\*")
        breaker = figures(question.prompt, r"\*\*([\d.]+) A\*\*")[0]
        volts = figures(question.prompt, r"The (\d+) V supply")[0]
        amps = volts / (loop + joint)
        assert question.field("breaker").answer == ("once" if amps > 5 * breaker else "never")
        if len(question.fields) == 3:
            band = question.field("volts").band
            assert band is not None
            assert band.holds(amps * joint)

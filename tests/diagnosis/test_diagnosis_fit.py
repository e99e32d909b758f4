"""Evidence that fits nothing is said to fit nothing, in words that a learner can act on; what fits is not."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest
from diagnosis_samples import SCENARIOS, appliance, dense_ohms, meters, taken

from probebook.api import reports
from probebook.diagnosis import Explanation, Measured, Observation, explain, posterior, read_evidence
from probebook.diagnosis.fit import contradictions, fit_of
from probebook.diagnosis.proof import exclusion
from probebook.diagnosis.saying.contrasts import exclusion_words
from probebook.diagnosis.trial import Trial, reading
from probebook.errors import UsageError
from probebook.meters import Function
from probebook.words import Words

WORDS = Words(SCENARIOS)
BASE_OFF = reading("off", "E2.1", "E2.2", lifted={"W10"})
WHOLE = reading("oven", "X1.L", "X1.N")


def shown(ohms: float, trial: Trial = BASE_OFF) -> Measured:
    """A reading entered by hand."""
    return Measured(trial, ohms, display="OL" if math.isinf(ohms) else f"{ohms:.1f} Ω")


def told(*evidence: Observation) -> Explanation:
    """What is said of evidence about the oven."""
    return explain(appliance(), evidence, meters(), words=WORDS)


def said(*evidence: Observation) -> str:
    """All that is said of evidence that fits nothing listed."""
    found = told(*evidence)
    return " ".join((*found.off_list, *found.misfit))


@pytest.mark.parametrize(
    ("ohms", "what", "best"),
    [
        (5.0, "off the list", "turns E2.heater"),
        (15.0, "off the list", "element E2.heater"),
        (26.0, "off the list", "element E2.heater"),
        (33.6, "listed", ""),
        (36.0, "listed", ""),
        (40.0, "listed", "base-drift"),
        (43.0, "listed", "base-drift"),
        (48.0, "listed", ""),
        (55.0, "listed", "base-wrong"),
        (58.0, "listed", "base-wrong"),
        (63.0, "off the list", "element E2.heater"),
        (70.0, "off the list", "element E2.heater"),
        (90.0, "off the list", "element E2.heater"),
        (150.0, "nothing", ""),
        (1000.0, "nothing", ""),
        (math.inf, "listed", "base-open"),
    ],
)
def test_an_isolated_element_through_all_values(ohms: float, what: str, best: str) -> None:
    """The 1500 W base element with a wire off: 33.6 Ω is sound (230²/1500, a little less when cold).

    1.28 times that is what the file calls drifted, and 900 W the wrong one (230²/900 = 58.8 Ω, a little less when
    cold); no listed fault has less than 31 or more than 60 Ω and is not open. Others are another element.
    """
    found = told(shown(ohms))
    assert found.fits is (what != "nothing")
    assert bool(found.off_list) is (what == "off the list")
    if what != "listed":
        assert not found.exclusions
    if what == "nothing":
        assert not found.determined
        assert not found.rows
        assert found.misfit[0].startswith("The evidence fits nothing")
    if what == "off the list":
        assert found.off_list[0].startswith("No fault that the file lists")
    if best:
        assert (found.rows[0].faults or (found.rows[0].failure,)) == (best,)


def test_another_element_is_named_by_its_watts() -> None:
    """63 Ω is about 800 W at 230 V (230²/63 = 840, some 4 % less when hot), where 1500 W is rated."""
    words = said(shown(63.0))
    assert "this is not the element that the plate calls for, or it has failed" in words
    assert "about 800 W at 230 V" in words
    assert "rated 1500 W" in words


def test_what_no_element_has_is_not_called_one() -> None:
    """1000 Ω would be 50 W: that is a poor joint, not an element anybody fits; nor is it a path beside it."""
    words = said(shown(1000.0))
    assert "not the element" not in words
    assert "look for a poor joint or a break" in words
    assert "look for a path beside it" not in words


def test_too_low_a_reading_sends_to_look_for_a_path_beside_it() -> None:
    """A path beside a part lowers what is read across it, and never raises it (Rayleigh)."""
    words = said(shown(9.0))
    assert "look for a path beside it" in words
    assert "poor joint" not in words


def test_the_reading_that_does_not_fit_is_named_and_the_rest_weighed_without_it() -> None:
    """Of three readings that of the base element is the odd one: the others are as a sound oven has them."""
    which = appliance()
    good = taken(which, WHOLE, ()), taken(which, reading("off", "E1.1", "E1.2"), ())
    found = told(good[0], shown(63.0), good[1])
    assert "What fits least: ohms E2.1 to E2.2, controls at off, W10 off shows 63.0 Ω" in found.misfit[1]
    assert "31.5–35.9 Ω" in found.misfit[1]
    assert found.aside == "Without that reading this would be left:"
    assert found.rows[0].faults == ()
    assert not found.rows[0].failure


def test_advice_is_to_repeat_and_to_check_the_meter() -> None:
    """Whatever does not fit is read again first, and the meter is checked on something known."""
    for ohms in (9.0, 63.0, 1000.0):
        words = said(shown(ohms))
        assert "Repeat it before anything else" in words
        assert "intermittent contact" in words
        assert "known resistance" in words
    assert "not thought of here" not in said(shown(63.0))


def test_to_read_a_part_by_itself_is_no_advice_once_that_is_done() -> None:
    """It is where the way through the whole oven is read; it is not where the element is, with a wire off."""
    wanted = "read that part or wire by itself, and order none before"
    assert wanted in said(shown(9.0, WHOLE))
    assert wanted not in said(shown(9.0))
    assert wanted not in said(shown(63.0))


def test_a_reading_that_is_sound_alone_may_be_the_odd_one() -> None:
    """An oven whose base element reads sound by itself but which takes in all what no set of its parts makes."""
    which = appliance()
    sound = taken(which, BASE_OFF, ())
    found = told(sound, shown(13.0, WHOLE))
    assert dense_ohms(which, WHOLE, ()) > 18.0
    assert not found.determined
    assert not any(row.faults for row in found.rows)
    assert "shows 13.0 Ω" in found.off_list[1]


@pytest.mark.parametrize("second", [math.inf, 33.8])
def test_readings_that_contradict_each_other_are_named(second: float) -> None:
    """The same two points in the same state cannot be 45.8 Ω and OL, nor 45.8 Ω and 33.8 Ω, whichever way round."""
    turned = reading("off", "E2.2", "E2.1", lifted={"W10"})
    found = told(shown(45.8), shown(second, turned))
    assert found.misfit[0].startswith("Two readings contradict each other")
    assert "45.8 Ω" in found.misfit[0]
    assert ("OL" if math.isinf(second) else "33.8 Ω") in found.misfit[0]
    assert "comes and goes" in found.misfit[1]
    assert not found.determined
    assert not found.rows


def test_readings_of_other_states_or_within_the_meter_do_not_contradict() -> None:
    """With a wire off, at another position, after drying, or a digit apart, readings may differ."""
    pairs = [
        (shown(45.8), shown(33.8, reading("off", "E2.1", "E2.2"))),
        (shown(45.8), shown(33.8, reading("oven", "E2.1", "E2.2", lifted={"W10"}))),
        (shown(45.8), shown(45.9)),
        (
            Measured(reading("off", "X1.L", "X1.E", Function.INSULATION), 2e5),
            Measured(reading("off", "X1.L", "X1.E", Function.INSULATION, dried=True), math.inf),
        ),
    ]
    for pair in pairs:
        assert contradictions(pair, meters()) == ()


def test_what_no_single_failure_explains_either_is_not_on_the_list() -> None:
    """Both elements sound by themselves, and far less than theirs from line to neutral: no one part does that."""
    which = appliance()
    parts = [taken(which, BASE_OFF, ()), taken(which, reading("off", "E1.1", "E1.2", lifted={"W8"}), ())]
    whole = [taken(which, reading("grill", "X1.L", "X1.N"), ()), shown(6.0, WHOLE)]
    found = told(*parts, *whole, shown(2.0, reading("half-grill", "X1.L", "X1.N")))
    assert not found.fits
    assert not found.off_list
    assert "not thought of here" in found.misfit[-1]


E1_ALONE = reading("off", "E1.1", "M.1", Function.INSULATION, lifted={"W5", "W8", "W9"})
E2_ALONE = reading("off", "E2.1", "M.1", Function.INSULATION, lifted={"W7", "W10"})


def insulation(megohms: float, trial: Trial) -> Measured:
    """An insulation reading entered by hand."""
    return Measured(trial, megohms * 1e6, display=f"{megohms:.2f} MΩ")


def test_a_leak_that_is_on_no_list_is_named() -> None:
    """The top element leaks, read by itself; the file lists no leak of it. No fault comes first by what was thought."""
    found = told(insulation(0.05, E1_ALONE))
    words = " ".join(found.off_list)
    assert found.fits
    assert found.rows[0].failure.startswith("leak E1")
    assert "top element E1 leaking to metalwork" in words
    assert "nothing goes back into use" in words
    assert "read that part or wire by itself" not in words
    assert "poor joint" not in words


def test_the_odd_insulation_reading_is_the_one_named() -> None:
    """A leak of the base element is listed and fits; one of the top element is not, and is what fits least."""
    evidence = insulation(0.05, E2_ALONE), insulation(60.0, E1_ALONE), shown(33.6)
    assert fit_of(posterior(appliance(), evidence, meters())).fits
    odd = shown(33.6), insulation(60.0, E2_ALONE), insulation(0.05, E1_ALONE)
    fit = fit_of(posterior(appliance(), odd, meters()))
    assert not fit.fits
    assert fit.worst == 2


@pytest.mark.parametrize("megohms", [20.0, 80.0, 400.0])
def test_sound_insulation_fits(megohms: float) -> None:
    """What a sound element may read by itself is explained, whichever it is."""
    assert told(insulation(megohms, E1_ALONE), insulation(megohms, E2_ALONE)).fits


def test_insulation_that_contradicts_itself_is_named() -> None:
    """0.2 MΩ and over range in one state cannot both be so."""
    trial = reading("off", "X1.L", "X1.E", Function.INSULATION)
    pair = Measured(trial, 2e5, display="0.200 MΩ"), Measured(trial, math.inf, display=">1000 MΩ")
    assert contradictions(pair, meters()) == ((0, 1),)
    fit = fit_of(posterior(appliance(), pair, meters()))
    assert not fit.fits
    assert fit.aside == (0, 1)


def test_no_reading_fits() -> None:
    """Without a reading there is nothing that could not fit."""
    assert fit_of(posterior(appliance(), (), meters())).fits


@pytest.mark.parametrize(
    "item",
    [
        shown(20.0, WHOLE),
        shown(33.6),
        shown(61.2, reading("off", "E1.1", "E1.2", lifted={"W8"})),
        Measured(reading("oven", "X1.L", "X1.E", Function.INSULATION), 80e6, display="80.0 MΩ"),
    ],
)
def test_nothing_speaks_against_is_said_only_of_what_is_left(item: Measured) -> None:
    """Those of which it is said are as likely, against the likeliest, as they were before; none is called against."""
    found = told(item)
    after = posterior(appliance(), (item,), meters())
    best = after.likeliest
    silent = [a for a in found.exclusions if a.silent]
    assert silent
    for against in silent:
        row = after.row(against.exclusion.rival)
        before = after.hypotheses[row].prior / after.hypotheses[best].prior
        assert after.probabilities[row] / after.probabilities[best] > before / 2.5
        assert against.title in found.unopposed
    lines = reports.explanation_lines(found, "oven", WORDS)
    assert not any("Nothing here speaks against" in line and "Against:" in line for line in lines)
    assert sum("Nothing here speaks against" in line for line in lines) == 1


def test_what_all_of_the_evidence_excludes_is_said_to_be_excluded_by_it() -> None:
    """Where no observation speaks against a rival by itself but all of them together do, that is what is said."""
    found = posterior(appliance(), (shown(33.6), shown(20.0, WHOLE)), meters())
    row, rival = found.row(()), found.row(["thermostat-welded"])
    plain = exclusion(found, row, rival, range(2))
    assert plain.observation == -1
    assert plain.together == pytest.approx(math.exp(found.log_evidence[row] - found.log_evidence[rival]))
    assert exclusion_words(found, plain, WORDS)[1].startswith("Nothing here speaks against thermostat")
    contrast, sentence = exclusion_words(found, replace(plain, together=5000.0), WORDS)
    assert not contrast
    assert "by itself, but all of it together does" in sentence
    assert "about 5,000 times better" in sentence


def test_a_probe_on_itself_is_refused(tmp_path: Path) -> None:
    """Both probes on one terminal read the leads alone."""
    path = tmp_path / "evidence.toml"
    path.write_text('[[reading]]\nprobes = ["E2.1", "E2.1"]\ndisplay = "0.2 Ω"\n', encoding="utf-8")
    with pytest.raises(UsageError, match=r"both probes are on E2\.1.*name two terminals"):
        read_evidence(path, appliance())


def test_the_verdict_is_plain_data_too() -> None:
    """A script is told the same."""
    data = told(shown(63.0)).to_json()
    assert data["fits"] is True
    assert data["hypotheses"][0]["failure"] == "element E2.heater"
    assert any("not the element that the plate calls for" in sentence for sentence in data["off_list"])
    data = told(shown(150.0)).to_json()
    assert data["fits"] is False
    assert data["determined"] is False
    assert any("fits nothing" in sentence for sentence in data["misfit"])
    assert told(shown(33.6)).to_json()["fits"] is True

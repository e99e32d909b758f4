"""Proofs and explanations: that they prove, that nothing in them can be left out, and that the numbers are right."""

from __future__ import annotations

import json
import math
import re
from pathlib import Path

import pytest
from diagnosis_samples import APPLIANCES, SCENARIOS, appliance, dense_ohms, meters, taken
from hypothesis import given
from hypothesis import strategies as st

from probebook.diagnosis import (
    Complaint,
    Measured,
    Observation,
    Seen,
    Symptom,
    Tripped,
    determined,
    expected,
    explain,
    noticed,
    posterior,
    prove,
    read_evidence,
    solve,
    specimen,
)
from probebook.diagnosis.files.reading import value_shown
from probebook.diagnosis.saying.contrasts import exclusion_words
from probebook.diagnosis.trial import reading
from probebook.errors import ProbebookError
from probebook.meters import Function
from probebook.words import Words

WORDS = Words(SCENARIOS)
BASE_OFF = reading("off", "E2.1", "E2.2", lifted={"W10"})


def oven_evidence(*truth: str) -> tuple[Observation, ...]:
    """What a person who measured more than needed would hold about the oven."""
    which = appliance()
    readings = (
        reading("off", "E1.1", "E1.2"),
        reading("off", "E1.3", "E1.4"),
        BASE_OFF,
        reading("off", "X1.E", "M.1"),
        reading("oven", "X1.L", "X1.N"),
    )
    told = Complaint((Symptom("oven", "temperature", "never reaches it"),))
    return (told, *(taken(which, t, truth) for t in readings))


def test_a_proof_names_the_numbers_a_learner_can_check() -> None:
    """The proof of an open base element says what a sound one would read, with the wire off, and what is shown."""
    which = appliance()
    found = posterior(which, oven_evidence("base-open"), meters())
    proof = prove(found, ["base-open"])
    assert proof.established
    _, sentence = exclusion_words(found, next(e for e in proof.exclusions if not e.rival), WORDS)
    low, high = map(float, re.findall(r"read (\d+\.\d)–(\d+\.\d) Ω", sentence)[0])
    leads = meters()[0].lead_ohms
    sound = dense_ohms(which, BASE_OFF, ()) + leads
    assert low < sound < high
    # Making tolerance ±5 % is in the band, and not much more.
    assert high / low == pytest.approx(1.05**2 * 1.01**2, rel=0.05)
    assert "the meter shows OL" in sentence


def test_a_reading_with_other_paths_beside_the_part_is_not_called_the_part() -> None:
    """A lamp read with its wires on at full grill is read with the top element beside it: nobody calls that the lamp.

    By itself a sound lamp has several times those ohms (a grounded Laplacian, apart from the package).
    """
    which, wires_on = appliance(), reading("grill", "H1.1", "H1.2")
    alone = dense_ohms(which, reading("off", "H1.1", "H1.2", lifted=("W12",)), ())
    assert alone > 3 * dense_ohms(which, wires_on, ())
    found = posterior(which, (taken(which, wires_on, ("feeds-crossed",)),), meters())
    against = next(e for e in prove(found, ["feeds-crossed"]).exclusions if not e.rival)
    _, sentence = exclusion_words(found, against, WORDS)
    assert sentence.startswith("A sound appliance would read")
    assert "with the controls at full grill" in sentence
    assert "lamp" not in sentence


@pytest.mark.parametrize("name", APPLIANCES)
def test_nothing_in_a_proof_can_be_left_out(name: str) -> None:
    """The proof of a solved case establishes the key, and without any one of its observations it would not."""
    which = appliance(name)
    for fault in which.faults[::5]:
        told = Complaint(noticed(which, [fault.id])[:1])
        run = solve(specimen(which, [fault.id], 4), meters(), evidence=(told,))
        proof = prove(run.final, [fault.id])
        assert proof.established
        assert proof.probability >= 0.95
        assert proof.runner_up <= 0.02
        for left_out in proof.observations:
            rest = [run.evidence[i] for i in proof.observations if i != left_out]
            again = posterior(which, rest, meters())
            at_top = again.ranked()[0][0].faults == proof.truth
            # A hair's breadth either way is a matter of draws.
            assert not (at_top and again.ranked()[0][1] > 0.955 and again.ranked()[1][1] < 0.018)


def test_a_proof_of_what_is_not_so_is_not_established() -> None:
    """What the evidence does not establish is said not to be, with all of the evidence on the table."""
    found = posterior(appliance(), oven_evidence("base-open"), meters())
    proof = prove(found, ["outer-open"])
    assert not proof.established
    assert proof.observations == tuple(range(len(found.evidence)))
    assert proof.probability < 0.01


def test_factors_are_ratios_of_likelihoods() -> None:
    """The factor against a rival is p(observation | key) over p(observation | rival), here worked out by hand.

    An open circuit shows OL under the key; under the rival only when the reading says nothing, 1 in 10,000 readings, of
    which a tenth are over range.
    """
    found = posterior(appliance(), (taken(appliance(), BASE_OFF, ["base-open"]),), meters())
    proof = prove(found, ["base-open"])
    nothing = next(e for e in proof.exclusions if not e.rival)
    assert nothing.factor == pytest.approx((1 - 1e-4) / 1e-5, rel=0.01)


@given(st.floats(-1, 1), st.floats(-1, 1), st.floats(-1, 1))
def test_readings_lie_in_their_expected_band(make: float, gain: float, wobble: float) -> None:
    """A sound element anywhere within its making tolerance, on a meter within its accuracy, reads within the band."""
    which = appliance()
    band = expected(which, BASE_OFF, (), meters())
    reading_now = taken(which, BASE_OFF, (), gain=gain, wobble=wobble)
    shifted = reading_now.value * (1 + 0.05 * make)
    leads = meters()[0].lead_ohms
    # Half the tolerance of two standard deviations lies outside the rectangle's corners only.
    assert band.low + leads <= shifted * 1.011
    assert shifted <= (band.high + leads) * 1.011


def test_explanation_lists_what_follows() -> None:
    """The explanation gives rows, findings, suspects, candidates and next trials, and goes into JSON unchanged."""
    evidence = oven_evidence("base-open")
    done = explain(appliance(), evidence, meters(), words=WORDS)
    assert done.determined
    assert done.rows[0].faults == ("base-open",)
    assert done.candidates == (("base-open",),)
    assert done.following == ()
    early = explain(appliance(), evidence[:2], meters(), words=WORDS)
    assert not early.determined
    assert early.following
    assert {"base-open", "contact-c-burnt"} <= {name for c in early.candidates for name in c}
    assert ("outer-open",) not in early.candidates  # the reading across it clears it
    for explanation in (done, early):
        assert json.loads(json.dumps(explanation.to_json())) == explanation.to_json()


def test_the_best_next_trial_separates_what_is_left() -> None:
    """With base element, its wires and its contact under suspicion, the best next trials all involve the base circuit.

    Common practice, no published source.
    """
    early = explain(appliance(), oven_evidence("base-open")[:3], meters(), words=WORDS)
    suspect = {"E2.1", "E2.2", "S1.3", "S1.P2", "X1.L"}
    for _, worth in early.following[:2]:
        assert worth.trial.probes[0] in suspect or worth.trial.probes[1] in suspect


GOOD = """
appliance = "conventional-oven"
[[complaint]]
position = "oven"
shows = { base = "off", temperature = "never reaches it" }
[[tripped]]
position = "oven"
how = "holds"
[[seen]]
at = "E2"
what = "sheath blistered and pale at one spot near the back"
[[reading]]
probes = ["E2.1", "E2.2"]
lift = ["W10"]
display = "OL"
[[reading]]
position = "grill"
probes = ["X1.L", "X1.N"]
display = "24.1 Ω"
nulled = true
"""


def test_an_evidence_file_is_read(tmp_path: Path) -> None:
    """A file of evidence, in TOML or the same in JSON, gives the observations it states."""
    toml, plain = tmp_path / "evidence.toml", tmp_path / "evidence.json"
    toml.write_text(GOOD, encoding="utf-8")
    import tomllib

    plain.write_text(json.dumps(tomllib.loads(GOOD)), encoding="utf-8")
    found = read_evidence(toml, appliance())
    assert found == read_evidence(plain, appliance())
    assert found == (
        Complaint((Symptom("oven", "base", "off"), Symptom("oven", "temperature", "never reaches it"))),
        Tripped("oven", "holds"),
        Seen("E2", "sheath blistered and pale at one spot near the back"),
        Measured(BASE_OFF, math.inf, False, "OL"),
        Measured(reading("grill", "X1.L", "X1.N"), 24.1, True, "24.1 Ω"),
    )
    assert determined(posterior(appliance(), found, meters()))


@pytest.mark.parametrize(
    ("display", "ohms", "said"),
    [
        ("45.8 Ω", 45.8, "45.8 Ω"),
        ("45.80 ohm", 45.8, "45.80 Ω"),
        ("45.8", 45.8, "45.80 Ω"),
        ("1k2", 1200.0, "1.200 kΩ"),
        ("1.2 kΩ", 1200.0, "1.2 kΩ"),
        ("0L", math.inf, "OL"),
    ],
)
def test_a_display_may_be_written_as_people_write_it(display: str, ohms: float, said: str) -> None:
    """What a learner may type for a reading may stand in a file of readings too, and is said with its unit."""
    assert value_shown(display, Function.OHMS) == (ohms, said)


def test_an_insulation_reading_says_its_unit() -> None:
    """Testers show megohms: 400 alone could be either, and is refused; "400 meg" is read."""
    assert value_shown("400 meg", Function.INSULATION) == (4e8, "400.0 MΩ")
    assert value_shown(">999 MΩ", Function.INSULATION) == (math.inf, ">999 MΩ")
    with pytest.raises(ProbebookError, match="has no unit"):
        value_shown("400", Function.INSULATION)


@pytest.mark.parametrize(
    ("wrong", "right", "where", "says"),
    [
        ('"E2.1", "E2.2"', '"E2.1", "E2.9"', "reading[1].probes", "no terminal 'E2.9'"),
        ('["W10"]', '["W77"]', "reading[1].lift", "no wire 'W77'"),
        ('"OL"', '"47 W"', "reading[1].display", "is in watts, but ohms are asked for"),
        ('"OL"', '"open-ish"', "reading[1].display", "cannot be read as a number and a unit"),
        ('"OL"', '"47 ± 2"', "reading[1].display", "gives a value and a spread"),
        ('position = "grill"', 'position = "girl"', "reading[2].position", "did you mean 'grill'"),
        ('at = "E2"', 'at = "E7"', "seen[1].at", "no part or wire 'E7'"),
        ('"sheath blistered', '"sheath lovely', "seen[1].what", "thing to see"),
        ("base =", "bass =", "complaint[1].shows.bass", "did you mean 'base'"),
        ('base = "off"', 'base = "purple"', "complaint[1].shows.base", "way for base to be"),
        ("nulled = true", "nulled = 3", "reading[2].nulled", "true or false"),
        ("lift =", "lifted =", "reading[1].lifted", "lift"),
        ('"conventional-oven"', '"kettle"', "appliance", "not 'conventional-oven'"),
        ("[[seen]]", "[[seen", "evidence.toml", "not valid TOML"),
    ],
)
def test_a_wrong_evidence_file_is_told_in_one_sentence(
    tmp_path: Path, wrong: str, right: str, where: str, says: str
) -> None:
    """A mistake in an evidence file is told in one sentence with the file, the key and a remedy."""
    assert wrong in GOOD
    path = tmp_path / "evidence.toml"
    path.write_text(GOOD.replace(wrong, right, 1), encoding="utf-8")
    with pytest.raises(ProbebookError) as told:
        read_evidence(path, appliance())
    sentence = str(told.value)
    assert where in sentence
    assert says in sentence
    assert "evidence.toml" in sentence
    assert "\n" not in sentence
    assert told.value.remedy


@pytest.mark.parametrize(
    "text", ["", "[1]", '{"reading": 3}', "{", "\ud800".encode("utf-8", "surrogatepass").decode("latin-1")]
)
def test_wrong_json_is_told_in_one_sentence(tmp_path: Path, text: str) -> None:
    """Text that is no JSON, or no table, or a table of the wrong things, is refused in one sentence."""
    path = tmp_path / "evidence.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(ProbebookError, match=r"evidence\.json"):
        read_evidence(path, appliance())
    with pytest.raises(ProbebookError, match="no such file"):
        read_evidence(SCENARIOS / "nothing.json", appliance())

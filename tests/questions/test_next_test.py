from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy.stats import entropy

from english import WORDS
from probebook.cases.generate import case_meters, make_case
from probebook.cases.library import Library
from probebook.cases.model import Case
from probebook.diagnosis import Trial, TrialKind, expected, minutes, objection, posterior, trials
from probebook.diagnosis.evidence import trial_of
from probebook.diagnosis.inference import Posterior
from probebook.diagnosis.proving import Proved, proved
from probebook.diagnosis.value import contenders, outcome_table, reading_table
from probebook.errors import ScenarioError
from probebook.questions.codec import decode_question, encode_question
from probebook.questions.frame import Ask
from probebook.questions.marking import mark
from probebook.questions.model import Kind, Question, Standing
from probebook.questions.next_test.build import standing
from probebook.questions.next_test.trials import trial_words
from probebook.questions.registry import build_question

TRADE = Library(Path(__file__).resolve().parents[2] / "scenarios")
CASES = [
    ("conventional-oven", "a", 2),
    ("conventional-oven", "b", 3),
    ("fan-oven", "a", 2),
    ("kettle", "a", 2),
    ("immersion-heater", "b", 3),
]


def ask(case: Case, known: int = 1) -> Question:
    """A next-test question on a case of which so much is known."""
    return build_question(Ask("q01", Kind.NEXT_TEST, "t", case.level, case.appliance, {"after": known}, case), TRADE)


def bits(found: Posterior, trial: Trial) -> float:
    """Entropy of the outcome less its mean under each hypothesis, by scipy, on the table of outcomes."""
    rows, weights = contenders(found)
    if trial.kind is TrialKind.METER:
        table = reading_table(found, [trial], rows)[:, 0, :]
    else:
        table = outcome_table(found, trial, rows)
    return float(entropy(weights @ table, base=2) - weights @ entropy(table, base=2, axis=1))


@pytest.mark.parametrize(("appliance", "seed", "level"), CASES)
def test_the_best_option_is_the_best_of_all_safe_tests(appliance: str, seed: str, level: int) -> None:
    """By scipy's entropy and the minutes of each, no safe test on the whole list gives more bits a minute than the key.

    What the others on offer earn is their share of that, in half marks, and none comes within a fifth of it.
    """
    case = make_case(TRADE, appliance, seed, level)
    question = ask(case)
    machine = TRADE.appliance(appliance)
    evidence = case.evidence[:1]
    found = posterior(machine, evidence, case_meters(case, TRADE), draws=1)
    setup = standing(machine, evidence)
    ready = proved(machine, evidence)[0] is Proved.GOOD
    done = {trial_of(o) for o in evidence}
    rates = {
        trial: bits(found, trial) / minutes(machine, trial, setup)
        for trial in trials(machine)
        if trial not in done and not objection(machine, trial, setup, proved=ready)
    }
    best = max(rates.values())
    words = {trial_words(TRADE.words, machine, trial): rate for trial, rate in rates.items()}
    field = question.fields[0]
    offered = {o.id: words[o.text] for o in field.options if o.text in words}
    assert offered["best"] == pytest.approx(best, rel=1e-6)
    for option, marks in field.partial:
        share = offered[option] / best
        assert share < 0.8
        assert marks == pytest.approx(min(2.5, round(6 * share) / 2))


@pytest.mark.parametrize(("appliance", "seed", "level"), CASES)
def test_key_and_slips_earn_what_is_documented(appliance: str, seed: str, level: int) -> None:
    """The key earns everything, each slip its own marks and advice; a dangerous choice fails the question."""
    question = ask(make_case(TRADE, appliance, seed, level))
    assert mark(question, question.key(), WORDS).standing is Standing.RIGHT
    assert len(question.slips) >= 3
    assert any(slip.critical for slip in question.slips)
    for slip in question.slips:
        found = mark(question, {"test": slip.response}, WORDS)
        assert (found.fields[0].slip, found.fields[0].marks, found.fields[0].message) == (
            slip.slip,
            slip.marks,
            slip.advice,
        )
        assert found.critical is slip.critical
    assert decode_question(encode_question(question)) == question


def test_what_rules_nothing_out_shows_the_same_for_every_suspect() -> None:
    """The option that tells nothing would give one display whichever of the likely suspects it is."""
    case = make_case(TRADE, "conventional-oven", "b", 3)
    question = ask(case)
    machine = TRADE.appliance(case.appliance)
    meters = case_meters(case, TRADE)
    found = posterior(machine, case.evidence[:1], meters, draws=1)
    text = next(o.text for o in question.fields[0].options if o.id == "rules-out-nothing")
    trial = next(
        t for t in trials(machine) if t.kind is TrialKind.METER and trial_words(TRADE.words, machine, t) == text
    )
    suspects = [h.faults for h, p in found.ranked()[:6] if p >= 0.02]
    assert len({expected(machine, trial, faults, meters).ends for faults in suspects}) == 1
    assert bits(found, trial) < 0.05


def test_a_masked_reading_can_be_asked_for() -> None:
    """With ``slip = "parallel-path"`` a part read with its wires on is on offer, and lifting one tells clearly more."""
    asked = Ask("q01", Kind.NEXT_TEST, "masked", 3, "eye-level-grill", {"slip": "parallel-path"})
    question = build_question(asked, TRADE)
    text = next(o.text for o in question.fields[0].options if o.id == "parallel-path")
    assert text.endswith("all wires on")
    assert "one wire off" in next(s.advice for s in question.slips if s.slip == "parallel-path")


def test_a_settled_job_has_no_next_test() -> None:
    """After the last observation of a case nothing is left to ask, and that is said in one sentence."""
    case = make_case(TRADE, "conventional-oven", "a", 2)
    with pytest.raises(ScenarioError, match="no fair next-test question"):
        ask(case, len(case.evidence))


def test_isolating_is_never_counted() -> None:
    """The job stands isolated and proved dead, whatever was done, so that no test is cheaper for skipping it."""
    case = make_case(TRADE, "fan-oven", "a", 2)
    machine = TRADE.appliance(case.appliance)
    for count in range(1, len(case.evidence)):
        assert standing(machine, case.evidence[:count]).isolated
    spent = [minutes(machine, t, standing(machine, case.evidence[:1])) for t in trials(machine)]
    assert np.min(spent) < 6.0


def test_the_working_ranks_by_figures_of_the_core() -> None:
    """Bits, minutes and bits a minute in the table are those of the core for each test, and the shares follow."""
    case = make_case(TRADE, "conventional-oven", "b", 3)
    question = ask(case)
    machine = TRADE.appliance(case.appliance)
    found = posterior(machine, case.evidence[:1], case_meters(case, TRADE), draws=1)
    setup = standing(machine, case.evidence[:1])
    listed = {trial_words(TRADE.words, machine, t): t for t in trials(machine)}
    rows = [line.strip("| ").split(" | ") for line in question.working.splitlines() if line.startswith("| ")][2:]
    assert len(rows) >= 3
    best = float(rows[0][3])
    for text, told, minute, rate, share in rows:
        trial = listed[text]
        assert float(told) == pytest.approx(bits(found, trial), abs=0.006)
        assert float(minute) == pytest.approx(minutes(machine, trial, setup), abs=0.06)
        assert float(rate) == pytest.approx(float(told) / float(minute), rel=0.06, abs=0.002)
        assert float(share.rstrip(" %")) == pytest.approx(100 * float(rate) / best, abs=1.2)
    doubt = float(entropy(found.probabilities, base=2))
    assert f"The doubt left is {doubt:.1f} bits" in question.explanation


def test_the_reading_that_rules_the_usual_part_out_is_named() -> None:
    """Where the usual fault is ruled out by a reading, that is the one that speaks most against it."""
    import re

    named = 0
    for appliance, seed, level in CASES:
        case = make_case(TRADE, appliance, seed, level)
        for known in range(2, len(case.evidence)):
            try:
                question = ask(case, known)
            except ScenarioError:
                continue
            told = re.search(
                r"‘([^’]+)’ is ruled out by reading (\d+)", " ".join(o.why for o in question.fields[0].options)
            )
            if told is None:
                continue
            machine = TRADE.appliance(appliance)
            found = posterior(machine, case.evidence[:known], case_meters(case, TRADE), draws=1)
            fault = next(f.id for f in machine.faults if f.title == told[1])
            against = (
                found.by_observation[int(np.argmax(found.probabilities))] - found.by_observation[found.row((fault,))]
            )
            assert int(np.argmax(against)) == int(told[2])
            named += 1
    assert named >= 1

"""Record questions: facts of the case, values with their places, a safe state, the right people told."""

from __future__ import annotations

import random
import re

import pytest
from case_samples import TRADE, asked, keys_and_slips_are_marked

from probebook.cases.seeds import stream
from probebook.diagnosis import Measured
from probebook.meters import Function
from probebook.questions.frame import Ask, Unfit
from probebook.questions.model import Kind
from probebook.questions.record.job import draw_job
from probebook.questions.registry import builder_of

LEVELS = [1, 2, 3, 4]


@pytest.mark.parametrize("level", LEVELS)
def test_keys_and_slips_are_marked(level: int) -> None:
    """The key earns full marks and every slip its own mark and advice, on a case of every appliance."""
    found = asked(Kind.RECORD, level)
    assert len(found) == len(TRADE.appliance_ids)
    for _, question in found:
        keys_and_slips_are_marked(question)


@pytest.mark.parametrize("level", LEVELS)
def test_the_entries_to_record_are_readings_of_the_case(level: int) -> None:
    """What belongs under readings are displays of the case or of the checks after it, with their values."""
    for case, question in asked(Kind.RECORD, level):
        field = question.field("readings")
        shown = [o.display for o in case.evidence if isinstance(o, Measured)]
        for option in field.options:
            if option.id in field.answer and option.id.startswith("r") and "functional run" not in option.text:
                assert any(option.text.endswith(display) for display in shown)


def test_a_record_of_a_mended_appliance_holds_safety_readings() -> None:
    """Where the appliance went back into service, earth and insulation readings are among what has to be recorded."""
    back = [
        question
        for level in LEVELS
        for _, question in asked(Kind.RECORD, level)
        if question.field("state").answer == "back"
    ]
    assert back
    for question in back:
        field = question.field("readings")
        texts = [o.text for o in field.options if o.id in field.answer]
        assert any("insulation" in text for text in texts)
        assert any(s.slip == "not-recorded" for s in question.slips)


@pytest.mark.parametrize("level", LEVELS)
def test_every_figure_of_a_record_is_a_reading_of_the_job(level: int) -> None:
    """Displays in explanation and working are those of the case or taken last; a mended job passes both rules."""
    for case, question in asked(Kind.RECORD, level):
        job = draw_job(case, TRADE, stream("samples", case.id))
        taken = [o for o in (*case.evidence, *job.after) if isinstance(o, Measured)]
        shown = {o.display for o in taken}
        for text in (question.explanation, question.working):
            assert set(re.findall(r": (>?[\d.]+ [kM]?Ω|OL)(?=[;).])", text)) <= shown
        region = job.appliance.region
        for item in job.after:
            assert item.display in question.prompt
            if item.trial.function is Function.INSULATION:
                assert item.value >= region.rule("insulation.return-to-service").low
            else:
                assert item.value <= region.rule("earth.return-to-service").high
        assert question.working.count("\n") == question.explanation.count("- **") - 1 == len(question.fields) - 1


def test_the_record_does_not_give_the_fault_away_before_it_is_answered() -> None:
    """The prompt of a record names neither the fault nor what mends it: it may stand below a fault question."""
    for level in LEVELS:
        for case, question in asked(Kind.RECORD, level):
            for fault in case.truth:
                known = TRADE.appliance(case.appliance).fault(fault)
                assert known.title not in question.prompt
                assert known.mend not in question.prompt


def test_bridging_a_part_fails_the_record() -> None:
    """Leaving an appliance in service with a part bridged is a critical mistake."""
    for _, question in asked(Kind.RECORD, 2):
        bridged = [s for s in question.slips if s.slip == "bypass"]
        assert len(bridged) == 1
        assert bridged[0].critical


def test_without_a_case_there_is_no_record() -> None:
    """A record that is asked for without a case is put back."""
    with pytest.raises(Unfit, match="of a case"):
        builder_of(Kind.RECORD)(Ask("q01", Kind.RECORD, "x"), TRADE, random.Random(1))

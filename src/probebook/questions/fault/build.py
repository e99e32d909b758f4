"""Fault questions: which fault explains all that is known, and what rules out its best rival."""

from __future__ import annotations

import math
import random

from probebook.cases.generate import case_meters
from probebook.cases.library import Library
from probebook.cases.model import Case
from probebook.cases.wording import observation_line
from probebook.diagnosis import Complaint, Measured, Observation, posterior
from probebook.numerics.rounding import rounded_number
from probebook.questions.assembling import Form, Parts, assemble
from probebook.questions.fault.deciding import decides
from probebook.questions.fault.facts import (
    EnoughFacts,
    FaultFacts,
    LineFacts,
    MendFacts,
    OthersFacts,
    PlainFacts,
    RivalFacts,
)
from probebook.questions.fault.reasons import Speaker
from probebook.questions.fault.slips import Rivals, option_id, rivals_of, unlike
from probebook.questions.frame import Ask, Unfit, choice_field, option_slips, shuffled
from probebook.questions.model import Effort, Option, Question
from probebook.words import Phrase

__all__ = ["build_fault"]

FORM = Form("conclude", ("C24", "C25", "C26"))
TWO_FAULTS = Form("conclude", ("C24", "C25", "C26", "C28"))
#: Explanations named before the rest are counted.
NAMED = 5


def build_fault(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Build a fault question on a case.

    Raises
    ------
    Unfit
        There is no case, or it has too few rivals that a slip leads to.
    """
    case = ask.case
    if case is None:
        raise Unfit("a fault question is about a case")
    appliance = library.appliance(case.appliance)
    speaker = Speaker(library.words, appliance, posterior(appliance, case.evidence, case_meters(case, library)))
    truth = speaker.found.hypotheses[speaker.found.row(case.truth)].faults
    rivals = rivals_of(case, speaker)
    options = _options(speaker, truth, rivals)
    facts = _facts(case, speaker, truth, rivals)
    label = library.words.say(facts, "label")
    fault = choice_field("fault", label, shuffled(options, rng), option_id(truth))
    fields, slips = [fault], [*option_slips(library, fault, rivals.slips)]
    if case.level >= speaker.gates.decides_from:
        more = [f for f in map(frozenset, case.rivals) if f != truth and not unlike(f, truth)]
        second = decides(case, speaker, rivals.against, library, rng) or decides(case, speaker, more, library, rng)
        if second is not None:
            fields.append(second[0])
            slips += second[1]
    effort = Effort(paths=len(case.evidence), steps=max(1, len(facts.lines)))
    form = TWO_FAULTS if len(truth) > 1 else FORM
    return assemble(ask, library, form, facts, Parts(tuple(fields), tuple(slips), effort, level=case.level))


def _option_text(speaker: Speaker, faults: frozenset[str]) -> Phrase:
    """These faults as an option puts them."""
    return speaker.title(faults) if faults else speaker.words.say(PlainFacts(), "nothing")


def _options(speaker: Speaker, truth: frozenset[str], rivals: Rivals) -> list[Option]:
    alone = speaker.words.say(PlainFacts(), "alone")
    options = [Option(option_id(truth), _option_text(speaker, truth), alone)]
    for faults, why in rivals.against.items():
        options.append(Option(option_id(faults), _option_text(speaker, faults), speaker.sentence(why)))
    return options


def _facts(case: Case, speaker: Speaker, truth: frozenset[str], rivals: Rivals) -> FaultFacts:
    words, appliance = speaker.words, speaker.appliance
    reasons = [
        RivalFacts(_option_text(speaker, faults), speaker.figure(why), speaker.sentence(why))
        for faults, why in rivals.against.items()
    ]
    return FaultFacts(
        appliance=words.noun(appliance.title),
        right=_option_text(speaker, truth),
        enough=_enough(case, speaker),
        rivals=tuple(words.say(reason, "line") for reason in reasons),
        mends=tuple(words.say(MendFacts(appliance.fault(f).mend), "line") for f in sorted(case.truth)),
        lines=_lines(case, speaker),
    )


def _enough(case: Case, speaker: Speaker) -> Phrase:
    readings = tuple(i for i in case.proof.observations if i > 0)
    return speaker.words.say(EnoughFacts(readings), "heard" if 0 in case.proof.observations else "readings")


def _lines(case: Case, speaker: Speaker) -> tuple[Phrase, ...]:
    """The observations that establish the answer, with what each rules out of what was left."""
    found, words = speaker.found, speaker.words
    row = found.row(case.truth)
    left = [
        h.faults
        for h in sorted(found.hypotheses, key=lambda h: (-rounded_number(h.prior), h.name))
        if len(h.faults) <= 1
    ]
    lines: list[Phrase] = []
    for i in case.proof.observations:
        column = found.by_observation[:, i]
        gone = [f for f in left if column[row] - column[found.row(f)] > math.log(speaker.gates.rules_out)]
        good = found.is_good_insulation(case.evidence[i])
        if good:
            gone = [f for f in gone if found.leaks(found.row(f))]
        left = [f for f in left if f not in gone]
        names = [speaker.title(f) for f in gone]
        if len(names) > NAMED:
            names = [*names[: NAMED - 1], words.say(OthersFacts(len(names) - NAMED + 1), "more")]
        facts = LineFacts(i, observation_line(speaker.appliance, case.evidence[i], words), tuple(names))
        lines.append(words.say(facts, _line_key(case.evidence[i], good=good, named=bool(names))))
    return tuple(lines)


def _line_key(observation: Observation, *, good: bool, named: bool) -> str:
    """Which sentence says what an observation rules out."""
    if isinstance(observation, Measured) and observation.trial.dried:
        return "dried" if good else "still-low"
    key = "heard" if isinstance(observation, Complaint) else "good" if good else "reading"
    return key if named else f"{key}-nothing"

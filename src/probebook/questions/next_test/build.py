"""Next-test questions: which of these is the best next test, as the job stands now.

A test is worth the information expected of it a minute (:mod:`probebook.diagnosis.value`); the best option is the best
of *all* safe tests there are, not only of those offered. Others earn their share of its worth. Isolating and proving
dead have been done and are never part of the minutes.
"""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from probebook.appliances import Appliance
from probebook.cases.generate import case_meters, make_case
from probebook.cases.library import Library
from probebook.cases.model import Case
from probebook.diagnosis import ARRIVED, Setup, after, determined, posterior
from probebook.diagnosis.evidence import Evidence, trial_of
from probebook.diagnosis.places import metalwork
from probebook.diagnosis.proving import Proved, proved
from probebook.diagnosis.trial import Trial, TrialKind
from probebook.diagnosis.value import Worth, values
from probebook.drawings import schematic
from probebook.meters import Function
from probebook.numerics.rounding import rounded_number
from probebook.questions.assembling import Form, Parts, assemble, marked
from probebook.questions.frame import Ask, Unfit, WrongOption, choice_field, option_slips, shuffled
from probebook.questions.model import Effort, Field, Option, Question, Slip
from probebook.questions.next_test.facts import QuestionFacts
from probebook.questions.next_test.slips import Misstep, missteps
from probebook.questions.next_test.telling import Choice, Job, known_words, ranking, splits_words, suspects_words, why
from probebook.questions.next_test.trials import trial_words

__all__ = ["build_next_test", "standing"]

FORM = Form("next-test", ("C10", "C15", "C24", "C25"))
#: Lines of the working beside those of the tests on offer: suspects, head of the table, and how the best parts them.
OTHER_LINES = 4


@dataclass(frozen=True, slots=True, eq=False)
class _Offer:
    """The best test, others of middling worth, and the ways of going wrong."""

    best: Worth
    middling: Sequence[Worth]
    wrong: Sequence[Misstep]


def build_next_test(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Build a next-test question.

    Options of the plan: ``after`` (number of observations that are known, the complaint being the first) and ``slip``
    (a way of going wrong that has to be on offer, such as ``parallel-path``). With a case the question is about its
    first observations, else a case is made from the seed and told in the question.

    Raises
    ------
    Unfit
        The job is settled already, nothing tells enough, or too few ways of going wrong arise.
    """
    case = ask.case or make_case(library, ask.appliance, f"{ask.seed}/{ask.id}/{rng.getrandbits(32)}", ask.level)
    appliance = library.appliance(case.appliance)
    evidence = _known(ask, case, rng)
    found = posterior(appliance, evidence, case_meters(case, library), draws=1)
    if determined(found):
        raise Unfit("the job is settled already")
    job = Job(library.words, case, appliance, found, standing(appliance, evidence))
    return _question(ask, library, job, _offer(ask, job, rng), rng)


def standing(appliance: Appliance, evidence: Evidence) -> Setup:
    """How the job stands after these observations: isolated and proved dead, covers and wires as they were left."""
    setup = ARRIVED
    for observation in evidence:
        trial = trial_of(observation)
        if trial is not None:
            setup = after(appliance, trial, setup)
    return replace(setup, isolated=True)


def _known(ask: Ask, case: Case, rng: random.Random) -> Evidence:
    most = len(case.evidence) - 1
    wanted = ask.options.get("after")
    count = int(wanted) if isinstance(wanted, (int, float)) else rng.randint(1, max(1, most))
    if not 1 <= count <= most:
        raise Unfit(f"the case has no {count} observations with one to follow")
    return case.evidence[:count]


# ---------------------------------------------------------------- what is offered


def _offer(ask: Ask, job: Job, rng: random.Random) -> _Offer:
    """The best of all safe tests, others of middling worth, and ways of going wrong, each clearly worse."""
    listed = values(job.found, setup=job.setup)
    if not listed or listed[0].bits < job.gates.least_bits:
        raise Unfit("no test tells enough now")
    best = listed[0].trial
    if best.kind is TrialKind.LOOK and any(b.part == best.at and b.watts for b in job.appliance.branches):
        raise Unfit("a look settles nothing of what is inside a load")
    if _for_earth(job.appliance, best):
        raise Unfit("an earth path is read on every job, whatever is suspected")
    wanted = ask.text("slip")
    is_proved = proved(job.appliance, job.found.evidence, job.found.meters)[0] is Proved.GOOD
    wrong = missteps(job, listed, rng, is_proved=is_proved)
    if wanted and all(m.slip != wanted for m in wrong):
        raise Unfit(f"the slip '{wanted}' does not arise here")
    middling = _middling(job, listed, rng, 1 if any(m.slip == "parallel-path" for m in wrong) else 2)
    if not middling:
        raise Unfit("no test of middling worth is to be had")
    wrong.sort(key=lambda m: m.slip != wanted)
    return _Offer(listed[0], middling, _kept(job, _Offer(listed[0], middling, wrong), rng))


def _for_safety(appliance: Appliance, trial: Trial) -> bool:
    """Whether a trial is a reading of insulation or of an earth path."""
    insulation = trial.kind is TrialKind.METER and trial.function is Function.INSULATION
    return insulation or _for_earth(appliance, trial)


def _for_earth(appliance: Appliance, trial: Trial) -> bool:
    """Whether a trial is a reading of an earth path."""
    return trial.kind is TrialKind.METER and set(trial.probes) <= {appliance.earth, *metalwork(appliance)}


def _middling(job: Job, listed: Sequence[Worth], rng: random.Random, most: int) -> list[Worth]:
    """Tests of middling worth, of different places.

    Earth and insulation are read on every job: neither is ever a wrong choice.
    """
    low, high = (rounded_number(share * listed[0].rate) for share in job.gates.middling)
    fitting = [w for w in listed[1:] if low <= w.rate <= high and w.trial.probes != listed[0].trial.probes]
    fitting = [w for w in fitting if not _for_safety(job.appliance, w.trial)]
    rng.shuffle(fitting)
    found: dict[tuple[object, ...], Worth] = {}
    for worth in fitting:
        if len(found) < most:
            found.setdefault((worth.trial.kind, worth.trial.probes, worth.trial.at), worth)
    return sorted(found.values(), key=lambda w: (-w.rate, w.trial.key))


def _kept(job: Job, offer: _Offer, rng: random.Random) -> list[Misstep]:
    """Ways of going wrong to offer: one that is dangerous, then others, each clearly worse than the best."""
    most = job.gates.offered - 1 - len(offer.middling)
    limit = job.gates.clearly * offer.best.rate
    fair = [m for m in offer.wrong if m.worth is None or m.worth.rate < limit]
    dangerous = [m for m in fair if m.critical][:1]
    rest = [m for m in fair if not m.critical]
    first, rest = rest[:1], rest[1:]
    rng.shuffle(rest)
    rest.sort(key=lambda m: m.slip != "parallel-path")
    kept = [*dangerous, *first, *rest][:most]
    if len(kept) < job.gates.slips:
        raise Unfit(f"only {len(kept)} slips apply here, {job.gates.slips} are wanted")
    return kept


# ---------------------------------------------------------------- the question


def _question(ask: Ask, library: Library, job: Job, offer: _Offer, rng: random.Random) -> Question:
    best = offer.best
    choices = _choices(job, offer)
    splits = splits_words(job, best)
    facts = QuestionFacts(
        paragraphs=known_words(job, told_above=ask.case is not None),
        doubt=math.fsum(-job.found.probabilities * np.log2(job.found.probabilities)),
        best=choices[0].text,
        bits=best.bits,
        minutes=best.minutes,
        splits=splits,
        suspects=suspects_words(job, shares=True),
        ranking=ranking(job, choices),
    )
    field = _field(ask, job, offer, choices, library.words.say(facts, "label"), rng)
    parts = Parts(
        fields=(field,),
        slips=_slips(library, field, offer),
        effort=Effort(paths=len(job.suspects), steps=len(choices) + OTHER_LINES),
        pictures=_drawn(ask, job),
        level=job.case.level,
    )
    return replace(assemble(ask, library, FORM, facts, parts), case=job.case.id)


def _drawn(ask: Ask, job: Job) -> tuple[tuple[str, str], ...]:
    if ask.case:
        return ()
    return ((f"{ask.id}-schematic.svg", schematic(job.words, job.appliance, id_prefix=f"{ask.id}-")),)


def _choices(job: Job, offer: _Offer) -> list[Choice]:
    """The tests on offer, the best first."""
    rate = offer.best.rate
    rows = [("best", offer.best)]
    rows += [(f"other-{i}", worth) for i, worth in enumerate(offer.middling, start=1)]
    rows += [(m.slip, m.worth) for m in offer.wrong if m.worth is not None]
    shares = [1.0 if name == "best" else worth.rate / rate for name, worth in rows]
    texts = [trial_words(job.words, job.appliance, worth.trial) for _, worth in rows]
    return [Choice(name, text, w, share) for (name, w), text, share in zip(rows, texts, shares, strict=True)]


def _field(ask: Ask, job: Job, offer: _Offer, choices: Sequence[Choice], label: str, rng: random.Random) -> Field:
    options = [Option(c.id, c.text, why(job, c)) for c in choices]
    options += [Option(m.slip, m.text, m.here) for m in offer.wrong if m.text is not None]
    field = choice_field("test", label, shuffled(options, rng), "best")
    field = marked(job.appliance.assumptions, ask.kind, job.case.level, (field,))[0]
    shares = [(c.id, _marks(c.share, field.marks)) for c in choices if c.id.startswith("other")]
    partial = [(option, marks) for option, marks in shares if marks > 0]
    return replace(field, partial=tuple(partial))


def _slips(library: Library, field: Field, offer: _Offer) -> tuple[Slip, ...]:
    wrong = [
        WrongOption(
            m.slip,
            m.slip,
            m.here,
            marks=0.0 if m.critical or m.worth is None else _marks(m.worth.rate / offer.best.rate, field.marks),
            critical=m.critical,
        )
        for m in offer.wrong
    ]
    return option_slips(library, field, wrong)


def _marks(share: float, most: float) -> float:
    """Marks for a share of the best test's worth, in halves, and never the whole."""
    return min(most - 0.5, round(rounded_number(2.0 * most * max(share, 0.0))) / 2.0)

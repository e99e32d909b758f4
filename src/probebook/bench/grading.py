"""Grading a job on the virtual bench: safety, support, economy, conclusion.

The acts are replayed on the same bench; a conclusion is judged by what the learner's own readings establish. A mistake
that can kill takes the whole job to nought, whatever else was right, and so does leaving a faulty appliance switched
on. What working safely takes (isolating, proving dead, looking at the lamps, reading earth and insulation) is never
counted against anybody; the marks for safety are earned by the proof of dead.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from probebook.appliances import Appliance, BranchKind, FaultKind
from probebook.bench.facts import Ended, LeftOn, NotTogether, Share, Spent, Thin, UnderOne, Unlikely, Unproved
from probebook.bench.log import Log
from probebook.bench.simulator import Bench
from probebook.bench.state import BenchState
from probebook.diagnosis import Complaint, Measured, Observation, Trial, posterior
from probebook.diagnosis.candidates import settled
from probebook.diagnosis.fit import fit_of
from probebook.diagnosis.inference import LEAST, Posterior
from probebook.diagnosis.off_list import off_list
from probebook.diagnosis.places import place_of, wires_at
from probebook.diagnosis.saying.contrasts import contrast
from probebook.diagnosis.saying.failures import besides_words
from probebook.diagnosis.saying.misfits import misfit_words
from probebook.errors import UsageError
from probebook.meters import Function
from probebook.numerics.choosing import largest
from probebook.numerics.rounding import rounded
from probebook.words import Phrase

__all__ = ["Grade", "grade"]

#: What may be wrong without anything being wrong with the appliance: it need not be left switched off.
OUTSIDE = (FaultKind.USER_SETTING, FaultKind.LOW_SUPPLY)


@dataclass(frozen=True, slots=True)
class Grade:
    """What a job on the bench earns.

    Attributes
    ----------
    safety, support, economy, conclusion
        Marks of the parts.
    slip
        The slip recognised, empty for none; ``critical`` says whether it takes everything to nought.
    probability
        Of the concluded faults, from the learner's own readings and the complaint.
    notes
        Sentences with this job's own figures.
    """

    safety: float = 0.0
    support: float = 0.0
    economy: float = 0.0
    conclusion: float = 0.0
    slip: str = ""
    critical: bool = False
    probability: float = 0.0
    notes: tuple[str, ...] = ()

    @property
    def marks(self) -> float:
        """Marks of the whole job."""
        return 0.0 if self.critical else round(self.safety + self.support + self.economy + self.conclusion, 2)


def grade(bench: Bench, log: Log) -> Grade:
    """Grade a job that has ended by a conclusion or by a failure; an unfinished one earns nothing."""
    state = log.state
    if state.failure:
        step = log.steps[-1]
        here = bench.say(Ended(len(log.steps), Phrase(step.words), Phrase(step.shown.what)), "ended")
        return Grade(slip=state.failure, critical=True, notes=(here,))
    if state.conclusion is None:
        return Grade()
    return _concluded(bench, state, state.conclusion)


def _concluded(bench: Bench, state: BenchState, conclusion: frozenset[str]) -> Grade:
    found = posterior(bench.appliance, state.evidence, bench.meters)
    graded = _judged(bench, state, conclusion, found)
    # Evidence that nothing explains is said to be that, whatever was concluded from it; and so are failures that a
    # conclusion which is right, and established among the listed faults, has not excluded.
    misfit = misfit_words(found, fit_of(found), bench.words)
    supported = not misfit and graded.support == bench.grading.support
    besides = besides_words(found, off_list(found), bench.words) if supported else ""
    return replace(graded, notes=(*graded.notes, *misfit, *((besides,) if besides else ())))


def _judged(bench: Bench, state: BenchState, conclusion: frozenset[str], found: Posterior) -> Grade:
    rules = bench.grading
    is_right = settled(bench.appliance, conclusion) == settled(bench.appliance, bench.spec.truth)
    probability, is_listed = _probability(found, conclusion)
    if not state.isolated and any(bench.appliance.fault(f).kind not in OUTSIDE for f in conclusion):
        return Grade(slip="left-energised", critical=True, notes=(bench.say(LeftOn(), "left-on"),))
    safety, unproved = (rules.safety, ()) if state.proved_dead else (0.0, (bench.say(Unproved(), "unproved"),))
    if not is_right:
        slip = _wrong_slip(bench, state, found, conclusion)
        note = (
            _against(bench, found, conclusion, probability) if is_listed else bench.say(NotTogether(), "not-together")
        )
        return Grade(safety=safety, slip=slip, probability=probability, notes=(note, *unproved))
    if probability < found.model.assumed.settling.determined:
        earned = zip(rules.supported_from, rules.supported_marks, strict=True)
        likeliest = probability >= float(found.probabilities.max()) and probability >= rules.supported_from[-1]
        return Grade(
            safety=safety,
            support=next((marks for least, marks in earned if probability >= least), 0.0),
            conclusion=rules.likeliest if likeliest else rules.guess,
            slip="one-reading-enough",
            probability=probability,
            notes=(_thin(bench, found, conclusion, probability), *unproved),
        )
    economy = _economy(bench, state)
    slip = "rules-out-nothing" if economy == 0 else ""
    spent = Spent(state.work_trials, state.work_minutes, bench.spec.par_trials, bench.spec.par_minutes)
    note = bench.say(spent, "spent")
    return Grade(safety, rules.support, economy, rules.conclusion, slip, False, probability, (note, *unproved))


def _probability(found: Posterior, faults: Iterable[str]) -> tuple[float, bool]:
    try:
        return found.probability_of(faults), True
    except UsageError:
        return 0.0, False


def _economy(bench: Bench, state: BenchState) -> float:
    """The mark for economy: readings and working minutes beside those of the par."""
    rules, spec = bench.grading, bench.spec
    for times, marks in ((rules.thrifty, rules.economy), (rules.fair, rules.economy / 2)):
        if (
            state.work_trials <= times * spec.par_trials + rules.spare_trials
            and state.work_minutes <= times * spec.par_minutes + rules.spare_minutes
        ):
            return marks
    return 0.0


# ---------------------------------------------------------------- what went wrong


def _thin(bench: Bench, found: Posterior, conclusion: Iterable[str], probability: float) -> Phrase:
    row = found.row(conclusion)
    rivals = int(np.sum(np.delete(found.probabilities, row) > found.model.assumed.settling.runner_up))
    return bench.say(Thin(_percent(bench, probability)), "thin-one" if rivals == 1 else "thin")


def _against(bench: Bench, found: Posterior, conclusion: Iterable[str], probability: float) -> Phrase:
    """What of the learner's own observations speaks most against a wrong conclusion; the fault is not named."""
    row = found.row(conclusion)
    if probability >= float(found.probabilities.max()):
        return _thin(bench, found, conclusion, probability)
    likely = _percent(bench, probability)
    ratios = rounded(found.by_observation.max(axis=0) - found.by_observation[row], least=LEAST)
    if len(ratios) and float(ratios.max()) > bench.grading.telling:
        place = largest(ratios)
        said = contrast(bench.appliance, found.evidence[place], found, found.hypotheses[row], bench.words)
        return bench.say(Unlikely(likely, said), "unlikely")
    return bench.say(Thin(likely), "other-fits")


def _percent(bench: Bench, probability: float) -> Phrase:
    if probability < 0.01:
        return bench.say(UnderOne(), "under-one")
    return bench.say(Share(min(probability, 0.99)), "percent")


def _wrong_slip(bench: Bench, state: BenchState, found: Posterior, conclusion: frozenset[str]) -> str:
    if _by_silence(bench, state.evidence, conclusion):
        return "beeper-silence"
    if _by_parallel(bench, state.evidence, {*conclusion, *bench.spec.truth}):
        return "parallel-path"
    heard = [o for o in state.evidence if isinstance(o, Complaint)]
    before = posterior(bench.appliance, heard, bench.meters, draws=1)
    named = settled(bench.appliance, conclusion)
    if before.ranked()[0][0].faults == named:
        return "usual-suspect"
    probability, _ = _probability(found, conclusion)
    truth, _ = _probability(found, bench.spec.truth)
    return "one-reading-enough" if probability >= truth else ""


def _loads(appliance: Appliance, faults: Iterable[str]) -> list[str]:
    """Names of the element sections at which these faults are."""
    places = {place_of(appliance, appliance.fault(f)) for f in faults}
    targets = {appliance.fault(f).target for f in faults}
    wires = {end.partition(".")[0] for w in appliance.wires if w.mark in places for end in (w.start, w.end)}
    return [
        b.name
        for b in appliance.branches
        if b.kind is BranchKind.ELEMENT and (b.name in targets or b.part in places or b.part in wires)
    ]


def _across(appliance: Appliance, load: str, evidence: Sequence[Observation], function: Function) -> list[Measured]:
    branch = appliance.branches[appliance.branch(load)]
    ends = {appliance.terminals[e] for e in branch.ends}
    taken = (o for o in evidence if isinstance(o, Measured))
    return [o for o in taken if o.trial.function is function and set(o.trial.probes) == ends]


def _by_silence(bench: Bench, evidence: Sequence[Observation], conclusion: Iterable[str]) -> bool:
    """Whether an element is called open that was only listened to, and would not beep when sound."""
    appliance = bench.appliance
    opened = {appliance.fault(f).target for f in conclusion if appliance.fault(f).kind is FaultKind.OPEN}
    for load in (b.name for b in appliance.branches if b.kind is BranchKind.ELEMENT and b.name in opened):
        listened = _across(appliance, load, evidence, Function.CONTINUITY)
        read = _across(appliance, load, evidence, Function.OHMS)
        if listened and not read and not any(bench.beeps(o) for o in listened):
            return True
    return False


def _by_parallel(bench: Bench, evidence: Sequence[Observation], faults: Iterable[str]) -> bool:
    """Whether an element was read with its wires on only, while something else joined the same two points."""
    appliance = bench.appliance
    for load in _loads(appliance, faults):
        taken = _across(appliance, load, evidence, Function.OHMS)
        branch = appliance.branches[appliance.branch(load)]
        own = {m for e in branch.ends for m in wires_at(appliance, appliance.terminals[e])}
        if not taken or any(o.trial.lifted & own for o in taken):
            continue
        for item in taken:
            freed = [bench.shown_by(_free(item, wire), nulled=item.nulled).value for wire in sorted(own)]
            if any(
                abs(item.value - value) > bench.grading.misleads * item.value
                for value in freed
                if np.isfinite(item.value)
            ):
                return True
    return False


def _free(item: Measured, wire: str) -> Trial:
    return replace(item.trial, lifted=item.trial.lifted | {wire})

"""Marking a job on the virtual bench: safety, support, economy, conclusion.

The acts are replayed on the same bench; a conclusion is judged by what the learner's own readings establish. A mistake
that can kill takes the whole job to nought, whatever else was right. Minutes for isolating and proving dead are never
counted against anybody.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from probebook.appliances import Appliance, BranchKind, FaultKind
from probebook.diagnosis import Complaint, Measured, Observation, Trial, posterior
from probebook.diagnosis.hypotheses import settled
from probebook.diagnosis.posterior import DETERMINED, RUNNER_UP, Posterior
from probebook.diagnosis.proof import contrast
from probebook.diagnosis.trials import place_of, wires_at
from probebook.errors import UsageError
from probebook.meters import Function
from probebook.questions.bench_core import Bench, BenchSpec, BenchState, open_bench
from probebook.questions.bench_log import Log, readable, replay
from probebook.questions.model import Field, FieldMark, Question, Standing

if TYPE_CHECKING:
    from probebook.cases.library import Library
    from probebook.questions.marking import BenchMarker

__all__ = ["CONCLUSION", "ECONOMY", "SAFETY", "SUPPORT", "Grade", "bench_marker", "grade"]

#: Marks of the four parts of a job.
SAFETY, SUPPORT, ECONOMY, CONCLUSION = 2.0, 2.0, 1.0, 3.0
#: Probability of a right conclusion from one's own readings, and the support it earns; below the last it earns none.
SUPPORTED = ((DETERMINED, 2.0), (0.80, 1.5), (0.65, 1.0), (0.50, 0.5))
#: A right conclusion that the readings do not establish earns this much as the likeliest, and as a mere guess.
LIKELIEST, GUESS = 1.5, 0.5
#: Times the par that still earns the whole mark for economy, and half of it.
THRIFTY, FAIR = 1.5, 2.5
#: Readings and minutes allowed on top of that.
SPARE_TRIALS, SPARE_MINUTES = 2, 10.0
#: What is in parallel changes a reading by more than this share where it misleads.
MISLEADS = 0.10


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

    @property
    def parts(self) -> str:
        """The four parts in a sentence."""
        return (
            f"Safety {self.safety:g} of {SAFETY:g}, support {self.support:g} of {SUPPORT:g}, "
            f"economy {self.economy:g} of {ECONOMY:g}, conclusion {self.conclusion:g} of {CONCLUSION:g}."
        )


def bench_marker(question: Question, library: Library) -> BenchMarker:
    """What marks the bench field of a question (``bench`` of :func:`probebook.questions.marking.mark`).

    The bench is set up at the first answer. UsageError then, when the question does not say from what.
    """
    opened: list[Bench] = []

    def marker(field: Field, given: object) -> FieldMark:
        if given is None or given in ("", []):
            return FieldMark(field.key, Standing.BLANK, 0.0, "Nothing has been done on the bench yet.")
        acts = readable(given)
        if acts is None:
            return FieldMark(field.key, Standing.UNREADABLE, 0.0, "This is no list of acts; work on the bench again.")
        if not opened:
            opened.append(open_bench(BenchSpec.from_json(question.bench), library))
        log = replay(opened[0], acts)
        if not log.state.over:
            return FieldMark(field.key, Standing.BLANK, 0.0, "Go on until you can conclude: nothing is marked before.")
        return _field_mark(question, field, grade(opened[0], log))

    return marker


def _field_mark(question: Question, field: Field, found: Grade) -> FieldMark:
    advice = next((s.advice for s in question.slips if s.slip == found.slip and s.field == field.key), "")
    notes = " ".join(found.notes)
    if found.critical:
        return FieldMark(field.key, Standing.SLIP, 0.0, f"{notes} {advice}".strip(), found.slip)
    words = " ".join(part for part in (found.parts, notes, advice) if part)
    if found.marks >= field.marks:
        return FieldMark(field.key, Standing.RIGHT, field.marks, f"Right. {words}")
    if advice:
        return FieldMark(field.key, Standing.SLIP, found.marks, words, found.slip)
    return FieldMark(field.key, Standing.PARTLY if found.conclusion else Standing.WRONG, found.marks, words)


def grade(bench: Bench, log: Log) -> Grade:
    """Grade a job that has ended by a conclusion or by a failure; an unfinished one earns nothing."""
    state = log.state
    if state.failure:
        step = log.steps[-1]
        here = f"Step {len(log.steps)}, ‘{step.words}’: {step.shown.text.removeprefix('STOP. ')}"
        return Grade(slip=state.failure, critical=True, notes=(here,))
    if state.conclusion is None:
        return Grade()
    return _concluded(bench, state, state.conclusion)


def _concluded(bench: Bench, state: BenchState, conclusion: frozenset[str]) -> Grade:
    appliance = bench.appliance
    found = posterior(appliance, state.evidence, bench.meters)
    is_right = settled(appliance, conclusion) == settled(appliance, bench.spec.truth)
    probability, is_listed = _probability(found, conclusion)
    left_on = not state.isolated and bool(settled(appliance, conclusion))
    safety = SAFETY / 2 if left_on else SAFETY
    notes: list[str] = []
    if not is_right:
        slip = _wrong_slip(bench, state, found, conclusion)
        notes.append(_against(bench, found, conclusion, probability) if is_listed else "These do not go together.")
        return Grade(safety=safety, slip=slip, probability=probability, notes=tuple(notes))
    established = probability >= DETERMINED
    support = SUPPORT if established else next((m for p, m in SUPPORTED[1:] if probability >= p), 0.0)
    if not established:
        likeliest = probability >= float(found.probabilities.max()) and probability >= SUPPORTED[-1][0]
        notes.append(_thin(found, conclusion, probability))
        return Grade(
            safety=safety,
            support=support,
            conclusion=LIKELIEST if likeliest else GUESS,
            slip="one-reading-enough",
            probability=probability,
            notes=tuple(notes),
        )
    economy, words = _economy(bench.spec, state)
    notes.append(words)
    slip = "left-energised" if left_on else "rules-out-nothing" if economy == 0 else ""
    return Grade(safety, SUPPORT, economy, CONCLUSION, slip, False, probability, tuple(notes))


def _probability(found: Posterior, faults: Iterable[str]) -> tuple[float, bool]:
    try:
        return found.probability_of(faults), True
    except UsageError:
        return 0.0, False


def _economy(spec: BenchSpec, state: BenchState) -> tuple[float, str]:
    """The mark for economy, and the sentence about it: readings and working minutes beside those of the par."""
    spent = f"{state.trials} {'test' if state.trials == 1 else 'tests'} in {state.work_minutes:.0f} working minutes"
    par = f"par is {spec.par_trials} in {spec.par_minutes:.0f}"
    words = f"You took {spent}; {par} (isolating and proving dead are not counted)."
    for times, marks in ((THRIFTY, ECONOMY), (FAIR, ECONOMY / 2)):
        if (
            state.trials <= times * spec.par_trials + SPARE_TRIALS
            and state.work_minutes <= times * spec.par_minutes + SPARE_MINUTES
        ):
            return marks, words
    return 0.0, words


# ---------------------------------------------------------------- what went wrong


def _thin(found: Posterior, conclusion: Iterable[str], probability: float) -> str:
    row = found.row(conclusion)
    rivals = int(np.sum(np.delete(found.probabilities, row) > RUNNER_UP))
    more = "Others still fit" if rivals != 1 else "One other fault still fits"
    return f"From what you know so far it is no more than {_percent(probability)} likely. {more}."


def _against(bench: Bench, found: Posterior, conclusion: Iterable[str], probability: float) -> str:
    """What of the learner's own observations speaks most against a wrong conclusion; the fault is not named."""
    row = found.row(conclusion)
    if probability >= float(found.probabilities.max()):
        return _thin(found, conclusion, probability)
    ratios = found.by_observation.max(axis=0) - found.by_observation[row]
    said = f"From what you know so far that is {_percent(probability)} likely."
    if len(ratios) and float(ratios.max()) > 2.0:
        place = int(np.argmax(ratios))
        rival = found.hypotheses[row]
        return f"{said} {contrast(bench.appliance, found.evidence[place], found, rival)}"
    return f"{said} Something else fits as well or better."


def _percent(probability: float) -> str:
    return "less than 1 %" if probability < 0.01 else f"{min(100 * probability, 99):.0f} %"


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
            if any(abs(item.value - value) > MISLEADS * item.value for value in freed if np.isfinite(item.value)):
                return True
    return False


def _free(item: Measured, wire: str) -> Trial:
    return replace(item.trial, lifted=item.trial.lifted | {wire})

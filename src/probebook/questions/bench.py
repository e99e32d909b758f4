"""Bench questions: investigate an appliance on the virtual bench, then conclude.

The question carries what its bench is set up from, and its key is a list of acts: a model investigation and its
conclusion. Marking replays the learner's acts on the same bench (:mod:`probebook.questions.bench_marking`).
"""

from __future__ import annotations

import math
import random
from dataclasses import replace

from probebook.appliances import Appliance
from probebook.cases.generate import make_case
from probebook.cases.library import Library
from probebook.cases.model import Case
from probebook.diagnosis import Complaint, Trial, posterior, title_of
from probebook.diagnosis.effort import ISOLATE
from probebook.diagnosis.evidence import trial_of
from probebook.diagnosis.hypotheses import settled
from probebook.diagnosis.proof import contrast
from probebook.diagnosis.trials import rest
from probebook.drawings.schematic import schematic
from probebook.questions.bench_core import TESTER, Bench, BenchSpec, open_bench
from probebook.questions.bench_log import Log, replay
from probebook.questions.bench_marking import CONCLUSION, ECONOMY, SAFETY, SUPPORT, Grade, grade
from probebook.questions.bench_solution import mistakes, solution
from probebook.questions.difficulty import difficulty, features_of, load_weights
from probebook.questions.frame import Ask, Unfit, advice
from probebook.questions.job_card import job_words, plate_words
from probebook.questions.model import Field, FieldKind, Question, Slip

__all__ = ["build_bench"]

#: Rivals that the explanation answers.
ANSWERED = 6
#: An observation answers a rival when the key explains it so many times better.
ANSWERS = 10.0
#: What a slip was on the bench, where the slip's own words say something narrower.
HERE = {
    "no-reference": "Not every pair was tested for dead.",
    "rules-out-nothing": "Many of your tests could tell nothing new.",
}


def build_bench(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Build a bench question.

    Options of the plan: none. With a case its appliance is put on the bench, else one is made from the seed.

    Raises
    ------
    Unfit
        No safe investigation on the bench earns full marks, or fewer than three slips can be shown there.
    """
    case = ask.case or make_case(library, ask.appliance, f"{ask.seed}/{ask.id}/{rng.getrandbits(32)}", ask.level)
    appliance = library.appliance(case.appliance)
    bench, key, trials = _solved(case, library)
    found = mistakes(bench, trials, settled(appliance, case.truth))
    slips = tuple(
        Slip(
            m.slip,
            "job",
            list(m.acts),
            advice(library, m.slip, HERE.get(m.slip, "")),
            m.grade.marks,
            critical=m.grade.critical,
        )
        for m in found
    )
    if len(slips) < 3:
        raise Unfit(f"only {len(slips)} slips can be shown on this bench")
    field = Field("job", FieldKind.BENCH, "The job on the bench", SAFETY + SUPPORT + ECONOMY + CONCLUSION, key)
    log = replay(bench, key)
    return _rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="conclude",
            level=case.level,
            title="On the bench",
            prompt=_prompt(case, appliance, library),
            fields=(field,),
            slips=slips,
            explanation=_explanation(case, bench, log),
            working=_working(log),
            competences=("C06", "C07", "C08", "C10", "C12", "C13", "C15", "C25", "C26", "C36", "C42"),
            case=case.id,
            pictures=((f"{ask.id}-schematic.svg", schematic(appliance, id_prefix=f"{ask.id}-")),),
            bench=bench.spec.to_json(),
        ),
        library,
        tests=log.state.trials,
        branches=len(appliance.wires),
    )


def _solved(case: Case, library: Library) -> tuple[Bench, list[str], list[Trial]]:
    """The bench of a case, acts that earn full marks on it, and the trials in them."""
    bench = open_bench(_spec(case, 0, 0.0), library)
    everything = [t for o in case.evidence if (t := trial_of(o)) is not None]
    fewest = [t for i in case.proof.observations if (t := trial_of(case.evidence[i])) is not None]
    truth = settled(bench.appliance, case.truth)
    for trials in (fewest, everything):
        acts = solution(bench, trials, truth)
        spent = replay(bench, acts).state
        minutes = max(case.par_minutes - ISOLATE, spent.work_minutes)
        bench = open_bench(_spec(case, max(case.par_trials, spent.trials), minutes), library)
        if _full(grade(bench, replay(bench, acts))):
            return bench, acts, trials
    raise Unfit("the investigation of this case does not earn full marks on the bench")


def _full(found: Grade) -> bool:
    return found.marks == SAFETY + SUPPORT + ECONOMY + CONCLUSION


def _spec(case: Case, trials: int, minutes: float) -> BenchSpec:
    reported = next((o.symptoms for o in case.evidence if isinstance(o, Complaint)), ())
    return BenchSpec(case.appliance, case.meter, case.truth, case.id, reported, trials, minutes)


def _prompt(case: Case, appliance: Appliance, library: Library) -> str:
    meter, tester = library.meter(case.meter), library.meter(TESTER)
    return "\n\n".join(
        (
            f"This {appliance.title} is on the bench, whole and with its supply on; its controls have been turned to "
            f"**{appliance.position(rest(appliance)).title}**.",
            job_words(case.card),
            plate_words(appliance),
            f"You have a two-pole voltage tester with its proving unit, the {meter.title} for ohms, and the "
            f"{tester.title} for earth continuity and insulation.",
            "Find out what is wrong and conclude. Marks go to working safely (a mistake that could kill takes all of "
            "them), to a conclusion that your own readings establish, and to not reading more than is of use. Time "
            "spent on isolating and proving dead is never counted.",
        )
    )


def _explanation(case: Case, bench: Bench, log: Log) -> str:
    """What is wrong, and which observation of the solution speaks against each rival that offers itself."""
    appliance = bench.appliance
    truth = settled(appliance, case.truth)
    found = posterior(appliance, log.state.evidence, bench.meters)
    row = found.row(truth)
    groups: dict[int, list[frozenset[str]]] = {}
    plain = [r for r in case.rivals if len(r) <= max(1, len(truth))]
    for rival in plain[:ANSWERED]:
        other = found.row(rival)
        ratios = (found.by_observation[row] - found.by_observation[other]).tolist()
        best = max(range(len(ratios)), key=lambda i: (ratios[i], -i))
        if other != row and ratios[best] >= math.log(ANSWERS):
            groups.setdefault(best, []).append(found.hypotheses[other].faults)
    sentences: list[str] = []
    for place, rivals in groups.items():
        said = contrast(appliance, found.evidence[place], found, found.hypotheses[found.row(rivals[0])])
        named = [title_of(appliance, faults) if faults else "a sound appliance" for faults in rivals]
        sentences.append(f"{said} That speaks against: {'; '.join(named)}.")
    mends = [appliance.fault(f).mend for f in case.truth if appliance.fault(f).mend]
    first = f"What is wrong: {title_of(appliance, truth)}." if truth else "Nothing is wrong with the appliance itself."
    parts = [first, *sentences]
    if mends:
        parts.append(f"What is to be done: {'; '.join(mends)}.")
    return " ".join(parts)


def _rated(question: Question, library: Library, *, tests: int, branches: int) -> Question:
    """The question with its difficulty: what counts as a step is a test of the solution, not each act."""
    features = features_of(question, branches=branches)
    traps = len({s.slip for s in question.slips if not s.critical})
    counted = replace(features, steps=max(1, tests), traps=traps)
    return replace(question, difficulty=difficulty(counted, load_weights(library.folder)))


def _working(log: Log) -> str:
    """The model investigation as a numbered list of acts with what each showed."""
    lines = ["A safe investigation that establishes it:", ""]
    for number, step in enumerate(log.steps, start=1):
        shown = "" if step.act.startswith("conclude") else f" {step.shown.text}"
        lines.append(f"{number}. {step.words[0].upper()}{step.words[1:]}.{shown}")
    state = log.state
    tests = f"{state.trials} {'test' if state.trials == 1 else 'tests'}"
    lines += [
        "",
        f"That is {tests} in {state.work_minutes:.0f} working minutes, isolating and proving dead not counted.",
    ]
    return "\n".join(lines)

"""Bench questions: investigate an appliance on the virtual bench, then conclude.

The question carries what its bench is set up from, and its key is a list of acts: a model investigation and its
conclusion. Marking replays the learner's acts on the same bench (:mod:`probebook.questions.bench.marking`).
"""

from __future__ import annotations

import random
from dataclasses import replace

from probebook.bench.log import replay
from probebook.cases.generate import make_case
from probebook.cases.library import Library
from probebook.diagnosis.candidates import settled
from probebook.drawings import schematic
from probebook.questions.assembling import Form, Parts, assemble
from probebook.questions.bench.facts import JobLabel, SlipHere
from probebook.questions.bench.job import job_facts, solved_job
from probebook.questions.bench.slips import Mistake, mistakes
from probebook.questions.frame import Ask, Unfit, advice
from probebook.questions.model import Effort, Field, FieldKind, Question, Slip

__all__ = ["build_bench"]

FORM = Form("conclude", ("C06", "C07", "C08", "C10", "C12", "C13", "C15", "C25", "C26", "C36", "C42"))


def build_bench(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Build a bench question.

    Options of the plan: ``steady``, true where the bench is to run from a table. With a case its appliance is put on
    the bench, else one is made from the seed.

    Raises
    ------
    Unfit
        No safe investigation on the bench earns full marks, or fewer than three slips can be shown there.
    """
    case = ask.case or make_case(library, ask.appliance, f"{ask.seed}/{ask.id}/{rng.getrandbits(32)}", ask.level)
    job = solved_job(case, library, steady=ask.options.get("steady") is True)
    found = mistakes(job.bench, job.trials, settled(job.bench.appliance, case.truth))
    if len(found) < 3:
        raise Unfit(f"only {len(found)} slips can be shown on this bench")
    words = library.words
    log = replay(job.bench, job.acts)
    label = words.say(JobLabel(), "label")
    parts = Parts(
        fields=(Field("job", FieldKind.BENCH, label, job.bench.grading.whole, job.acts),),
        slips=tuple(_slip(mistake, library) for mistake in found),
        # What counts as a step is a test of the solution, not each act; nobody is tempted by what would kill.
        effort=Effort(
            paths=len(job.bench.appliance.wires),
            steps=max(1, log.state.trials),
            traps=len({mistake.slip for mistake in found if not mistake.grade.critical}),
        ),
        pictures=((f"{ask.id}-schematic.svg", schematic(words, job.bench.appliance, id_prefix=f"{ask.id}-")),),
        bench=job.bench.spec.to_json(),
        level=case.level,
    )
    question = assemble(ask, library, FORM, job_facts(case, library, job.bench, log), parts)
    return replace(question, case=case.id)


def _slip(mistake: Mistake, library: Library) -> Slip:
    here = library.words.say(SlipHere(), mistake.slip) if library.words.has(SlipHere, mistake.slip) else ""
    said = advice(library, mistake.slip, here)
    earned = mistake.grade
    return Slip(mistake.slip, "job", list(mistake.acts), said, earned.marks, critical=earned.critical)

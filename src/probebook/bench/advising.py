"""What would be learnt most from next, as a job stands: asked in practice, never counted against anybody."""

from __future__ import annotations

from probebook.bench.facts import Advice, NextMost
from probebook.bench.simulator import Bench
from probebook.bench.state import BenchState
from probebook.diagnosis import describe, determined, posterior
from probebook.diagnosis.effort import Setup
from probebook.diagnosis.fit import fit_of
from probebook.diagnosis.trial import TrialKind
from probebook.diagnosis.value import values
from probebook.words import Phrase

__all__ = ["advise"]


def advise(bench: Bench, state: BenchState) -> Phrase:
    """The reading, look or run that tells most for its minutes, of all that are safe now; empty when the job is over.

    It follows from the learner's own observations alone, and names no fault. Where they leave one explanation it says
    what is still to be done, and where nothing explains them, to take them again.
    """
    if state.over:
        return Phrase("")
    found = posterior(bench.appliance, state.evidence, bench.meters)
    if not fit_of(found).fits:
        return bench.say(Advice(), "misfit")
    if determined(found):
        return bench.say(Advice(), "settled")
    setup = Setup(state.dead, state.uncovered, state.lifted, state.position, state.dried)
    listed = values(found, setup=setup)
    if not listed:
        return bench.say(Advice(), "nothing")
    trial = listed[0].trial
    said = NextMost(describe(bench.appliance, trial, bench.words))
    wants_dead = trial.kind in (TrialKind.METER, TrialKind.LOOK) and not state.dead
    return bench.say(said, "next-dead" if wants_dead else "next")

"""The virtual bench: an appliance on which things are done and which shows what is then to be seen. Knows no Jupyter.

The interface is narrow: :func:`open_bench` sets it up, :meth:`Bench.start` gives the first state, :meth:`Bench.acts`
says what can be done in a state, and :meth:`Bench.act` takes a state and an act and gives the next state and what is
shown. States are plain frozen data; the same acts give the same states, displays and minutes on any machine. Nothing
that is shown names the fault. A front end draws a state from :func:`probebook.bench.log.view`.

A mistake that can kill ends the job: the state then names its slip (:attr:`BenchState.failure`) and takes no more acts.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from probebook.bench.acts import split
from probebook.bench.assumed import BenchMinutes, Grading
from probebook.bench.doing import DOERS
from probebook.bench.possible import possible
from probebook.bench.state import BenchSpec, BenchState, Shown
from probebook.bench.workplace import Workplace
from probebook.cases.instance import draw_instance
from probebook.cases.library import Library
from probebook.cases.seeds import stream
from probebook.errors import UsageError

__all__ = ["TESTER", "Bench", "BenchSpec", "BenchState", "Shown", "open_bench"]

#: Role of the instrument for insulation and earth continuity.
TESTER = "insulation"


@dataclass(frozen=True, slots=True, eq=False)
class Bench(Workplace):
    """A workplace at which acts are done. See the module for how it is used."""

    def acts(self, state: BenchState) -> tuple[str, ...]:
        """What can be done now, safe or not, in a fixed order; probing and concluding are left to be filled in.

        Probing takes any two of :meth:`terminals`; concluding any faults of the appliance.
        """
        if state.over:
            return ()
        return tuple(f"{verb.value} {what}".strip() for verb, whats in possible(self, state) for what in whats)

    def act(self, state: BenchState, act: str) -> tuple[BenchState, Shown]:
        """Do an act: the next state, and what is then to be seen. What cannot be done leaves the state as it is."""
        found = split(act)
        if state.over or found is None:
            return state, Shown(self.refusal("over" if state.over else "no-act"), done=False)
        verb, what = found
        after, shown = DOERS[verb](self, state, what)
        if not shown.done:
            return state, shown
        after = replace(after, acts=state.acts + 1)
        if after.failure:
            after = replace(after, failed_at=after.acts)
        return after, shown


def open_bench(spec: BenchSpec, library: Library) -> Bench:
    """Set a bench up.

    Raises
    ------
    UsageError
        The library has no such appliance or meter, or the appliance no such fault.
    """
    appliance = library.appliance(spec.appliance)
    known = {f.id for f in appliance.faults}
    if not known.issuperset(spec.truth):
        raise UsageError("the bench is to have a fault the appliance does not know", remedy="build the question again")
    meters = (library.meter_for(TESTER), library.meter(spec.meter))
    made = draw_instance(appliance, spec.truth, meters, spec.name, stream("made", spec.name))
    assumed = library.assumptions
    return Bench(spec, appliance, meters, library.words, assumed.get(BenchMinutes), assumed.get(Grading), made)

"""What happened on the bench, step by step; what a state is for a reader; and readings ahead of time as a table.

A table holds displays and nothing else, so that a paper can carry one without carrying the fault: what is not in it
cannot be probed on that paper.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from probebook.bench.acts import DIAL, LONGEST, MOST, split
from probebook.bench.simulator import Bench, BenchState, Shown
from probebook.bench.telling import act_words
from probebook.diagnosis import Trial, TrialKind
from probebook.diagnosis.trial import by_number
from probebook.meters import Function

__all__ = ["Log", "Step", "key_of", "readable", "replay", "table", "view"]


@dataclass(frozen=True, slots=True)
class Step:
    """One act that was done: the act, the act in words, what was shown, and the minutes spent so far."""

    act: str
    words: str
    shown: Shown
    minutes: float


@dataclass(frozen=True, slots=True)
class Log:
    """All that was done, and how the job stands; acts that could not be done are left out."""

    state: BenchState
    steps: tuple[Step, ...]


def readable(given: object) -> list[str] | None:
    """The acts of an answer; None when it is not a list of acts of reasonable length."""
    if not isinstance(given, (list, tuple)) or len(given) > MOST:
        return None
    acts = [act for act in given if isinstance(act, str) and len(act) <= LONGEST and split(act) is not None]
    return acts if len(acts) == len(given) else None


def replay(bench: Bench, acts: Iterable[str]) -> Log:
    """Do the acts from the start; the same acts give the same log everywhere."""
    state, steps = bench.start(), []
    for act in acts:
        state, shown = bench.act(state, act)
        if shown.done:
            steps.append(Step(act, act_words(bench.words, bench.appliance, act), shown, state.minutes))
    return Log(state, tuple(steps))


def view(bench: Bench, state: BenchState) -> dict[str, Any]:
    """How the job stands as plain data for a front end: nothing in it tells the fault."""
    return {
        "isolated": state.isolated,
        "locked": state.locked,
        "tester_proved": state.proved,
        "tested": sorted(state.tested),
        "tester_proved_again": state.proved_again,
        "covers_off": sorted(state.uncovered),
        "wires_off": sorted(state.lifted, key=by_number),
        "position": state.position,
        "calling": state.calling,
        "function": state.function.value if state.function else "",
        "nulled": state.nulled,
        "dried": state.dried,
        "minutes": round(state.minutes, 1),
        "trials": state.trials,
        "terminals": list(bench.terminals(state)),
        "acts": list(bench.acts(state)),
        "over": state.over,
    }


def key_of(trial: Trial, *, nulled: bool = False) -> str:
    """The name of a reading in a table: function, leads, controls, what is off, and the two terminals."""
    words = [
        trial.function.value + (" nulled" if nulled else ""),
        trial.position + ("" if trial.calling else " resting"),
        ",".join(sorted(trial.lifted, key=by_number)) or "-",
        " ".join(trial.probes),
    ]
    return "; ".join([*words, "dried"] if trial.dried else words)


def table(
    bench: Bench,
    *,
    positions: Sequence[str] = (),
    lifts: Sequence[frozenset[str]] = (frozenset(),),
    functions: Sequence[Function] = DIAL,
    terminals: Sequence[str] = (),
    nulled: bool = True,
) -> dict[str, str]:
    """What the instruments would show: (see :func:`key_of`) → display, for every pair in every setting asked for.

    Parameters
    ----------
    bench
        The bench; the table holds nothing of it but displays.
    positions, terminals
        Control positions and terminals; all of them when empty.
    lifts
        Sets of wires that are off.
    functions
        Functions of the meters; those that no instrument on the bench has are left out.
    nulled
        Whether the leads are nulled where they can be.
    """
    appliance = bench.appliance
    named = list(terminals) or list(appliance.terminals)
    found: dict[str, str] = {}
    for function in functions:
        for position in positions or [p.name for p in appliance.positions]:
            for lifted in lifts:
                for i, a in enumerate(named):
                    for b in named[i + 1 :]:
                        trial = Trial(TrialKind.METER, position, lifted=lifted, function=function, probes=(a, b))
                        found[key_of(trial, nulled=nulled)] = bench.shown_by(trial, nulled=nulled).display
    return found

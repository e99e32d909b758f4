"""What happened on the bench, step by step, and what a state is for a reader."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from probebook.bench.acts import LONGEST, MOST, split
from probebook.bench.simulator import Bench, BenchState, Shown
from probebook.bench.telling import act_words
from probebook.diagnosis.trial import by_number

__all__ = ["Log", "Step", "readable", "replay", "view"]


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

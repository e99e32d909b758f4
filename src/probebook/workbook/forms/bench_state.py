"""How the job stands, as a page is told after every act: nothing in it tells the fault before it was earned."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from probebook.bench.acts import Verb, split
from probebook.bench.facts import Spent
from probebook.bench.log import view as job
from probebook.bench.simulator import Bench, BenchState, Shown
from probebook.bench.telling import act_words
from probebook.diagnosis import Measured, Ran
from probebook.words import Phrase
from probebook.workbook.forms.bench_facts import BenchStatus, IsolatedStatus, StatusWords

__all__ = ["Step", "log_rows", "step_of", "told"]

#: What a picture of an earlier step needs to show it as it stood.
SHOWN = (
    "isolated",
    "locked",
    "tester_proved",
    "tested",
    "tester_proved_again",
    "covers_off",
    "wires_off",
    "position",
    "calling",
    "function",
    "nulled",
    "dried",
    "minutes",
)
_TRIES = (Verb.WATCH, Verb.RUN, Verb.RECORD)


@dataclass(frozen=True, slots=True)
class Step:
    """An act that was done: in words, what was seen, and what a picture of it shows."""

    act: str
    words: str
    seen: str
    stop: str
    picture: dict[str, Any]


def step_of(bench: Bench, state: BenchState, act: str, shown: Shown) -> Step:
    """A step as it is kept; ``state`` is how the job stands after it."""
    picture = {key: found for key, found in job(bench, state).items() if key in SHOWN}
    picture |= _display(bench, state, act, shown) | {"lit": _lit(state, act)}
    said = act_words(bench.words, bench.appliance, act)
    return Step(act, said, str(shown.text), str(shown.what) if state.failure else "", picture)


def _display(bench: Bench, state: BenchState, act: str, shown: Shown) -> dict[str, Any]:
    """What stands on the meter after an act: a reading stands until something else is done."""
    found = split(act)
    if not shown.display or found is None or not isinstance(state.evidence[-1], Measured):
        return {"display": "", "beeps": None, "reading": []}
    return {"display": shown.display, "beeps": bench.beeps(state.evidence[-1]), "reading": found[1].split()}


def _lit(state: BenchState, act: str) -> dict[str, str]:
    """What was seen to work or not, where the act was one of looking at it at work."""
    if act not in _TRIES:
        return {}
    ran = next((item for item in reversed(state.evidence) if isinstance(item, Ran)), None)
    return {symptom.subject: symptom.how for symptom in ran.symptoms} if ran else {}


def told(
    bench: Bench, state: BenchState, steps: Sequence[Step], said: Shown, *, answers: int, restarts: bool
) -> dict[str, Any]:
    """The whole state of the component; ``answers`` counts what was answered to the page."""
    last = steps[-1] if steps else None
    over = state.conclusion is not None
    tone = "stop" if state.failure else "no" if not said.done else "end" if over else "seen"
    nothing: dict[str, Any] = {"display": "", "beeps": None, "reading": [], "lit": {}}
    return {
        "answers": answers,
        "job": job(bench, state),
        **{key: (last.picture[key] if last else empty) for key, empty in nothing.items()},
        "said": {"text": str(said.text), "tone": tone},
        "stop": last.stop if last and state.failure else "",
        "status": str(status(bench, state)),
        "par": str(_par(bench, state)) if over else "",
        "spent": _spent(bench, state) if over else {},
        "restarts": restarts,
        "log": log_rows(steps),
    }


def log_rows(steps: Sequence[Step]) -> list[dict[str, Any]]:
    """The log: of each step's picture only what differs from the one before."""
    rows: list[dict[str, Any]] = []
    before: dict[str, Any] = {}
    for step in steps:
        changed = {key: found for key, found in step.picture.items() if before.get(key) != found}
        rows.append({"act": step.words, "seen": step.seen, "picture": changed})
        before = step.picture
    return rows


def status(bench: Bench, state: BenchState) -> Phrase:
    """How the job stands in a sentence or two."""
    words = bench.words
    position = words.noun(bench.appliance.position(state.position).title)
    covers = Phrase(", ".join(str(words.noun(name)) for name in sorted(state.uncovered)))
    wires = Phrase(", ".join(sorted(state.lifted)))
    nothing = words.say(StatusWords(), "none")
    covers, wires = covers or nothing, wires or nothing
    if not state.isolated:
        return words.say(BenchStatus(position, covers, wires, state.minutes), "supply-on")
    supply = words.say(StatusWords(), "locked" if state.locked else "unlocked")
    dead = words.say(StatusWords(), "dead" if state.dead else "not-dead")
    return words.say(IsolatedStatus(supply, dead, position, covers, wires, state.minutes), "isolated")


def _spent(bench: Bench, state: BenchState) -> dict[str, list[float]]:
    """Tests and working minutes, each with that of the par."""
    minutes = [round(state.work_minutes, 1), round(bench.spec.par_minutes, 1)]
    return {"tests": [state.work_trials, bench.spec.par_trials], "minutes": minutes}


def _par(bench: Bench, state: BenchState) -> Phrase:
    """What was spent beside the par."""
    spent = Spent(state.work_trials, state.work_minutes, bench.spec.par_trials, bench.spec.par_minutes)
    return bench.say(spent, "spent")

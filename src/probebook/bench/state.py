"""What a bench is set up from, how a job on it stands, and what is seen after an act. Plain frozen data."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace

from probebook.bench.acts import DEAD_PAIRS
from probebook.bench.facts import PairsWanting, Stop, Wanting
from probebook.diagnosis import Observation, Symptom
from probebook.errors import UsageError
from probebook.meters import Function
from probebook.words import Phrase, Words

__all__ = ["BenchSpec", "BenchState", "OutOfBounds", "Shown", "fail", "no", "not_dead", "spend"]


@dataclass(frozen=True, slots=True)
class BenchSpec:
    """What a bench is set up from: an appliance as one case has it.

    Attributes
    ----------
    appliance, meter
        Ids in the library.
    truth
        Ids of the faults present.
    name
        Names the draws: how the appliance was made, and every error of the instruments.
    reported
        What the customer said, as symptoms.
    par_trials, par_minutes
        Length of a good investigation; the minutes leave isolating and proving dead out.
    steady
        Whether an instrument errs alike in all its readings, as one does that is off by so many digits, and not anew in
        each: what it shows then depends on the resistance alone, which is what a table of readings takes for granted.
    """

    appliance: str
    meter: str
    truth: tuple[str, ...]
    name: str
    reported: tuple[Symptom, ...] = ()
    par_trials: int = 1
    par_minutes: float = 10.0
    steady: bool = False

    def to_json(self) -> str:
        """As one line of JSON."""
        return json.dumps(
            {
                "appliance": self.appliance,
                "meter": self.meter,
                "truth": list(self.truth),
                "name": self.name,
                "reported": [[s.position, s.subject, s.how] for s in self.reported],
                "par": [self.par_trials, round(self.par_minutes, 2)],
                **({"steady": True} if self.steady else {}),
            },
            ensure_ascii=False,
        )

    @classmethod
    def from_json(cls, text: str) -> BenchSpec:
        """Read what :meth:`to_json` wrote; UsageError when it is something else."""
        try:
            data = json.loads(text)
            trials, minutes = data["par"]
            return cls(
                str(data["appliance"]),
                str(data["meter"]),
                tuple(str(f) for f in data["truth"]),
                str(data["name"]),
                tuple(Symptom(str(p), str(s), str(h)) for p, s, h in data["reported"]),
                int(trials),
                float(minutes),
                data.get("steady") is True,
            )
        except (ValueError, KeyError, TypeError) as error:
            raise UsageError(
                "the question does not say what its bench is set up from", remedy="build it again"
            ) from error


@dataclass(frozen=True, slots=True)
class OutOfBounds:
    """A reading of earth continuity or insulation that does not allow the supply: where, and what was shown."""

    function: Function
    a: str
    b: str
    display: str


@dataclass(frozen=True, slots=True)
class BenchState:
    """How the job stands on the bench.

    Attributes
    ----------
    isolated, locked, proved, tested, proved_again
        Supply off; locked off; tester proved before testing; pairs tested since; tester proved after the last test.
    untried
        Whether a pair was tested before the tester had been proved.
    uncovered, lifted
        Covers and wires that are off.
    position, calling
        How the controls stand.
    function, nulled
        What the meter is set to (None before it is set), and whether its leads were nulled.
    dried
        Whether the appliance was dried out.
    earth, insulated
        Terminals to which the earth was read good; parts of the insulation test read, ``N`` and ``L`` (on three lines
        ``L1`` to ``L3``, and the loads with a path to metalwork).
    bad
        The last earth or insulation reading that was out of bounds; None when none is.
    evidence
        What was observed, the complaint first.
    minutes, safety_minutes
        Spent in all, and of them on working safely: isolating, proving dead, readings for safety.
    proved_dead
        Whether it was ever proved dead as it should be.
    trials, safety_trials
        How many readings, looks, runs and records were taken, and how many of them are for safety: looks at the lamps
        before isolating, and the first reading of each earth path and of the insulation of line and neutral.
    acts
        How many acts were done.
    failure, failed_at
        The slip that ended the job, and the number of the act (from 1); empty and 0 when none did.
    conclusion
        Ids of the faults concluded; None before.
    pairs
        The pairs of conductors that have to be tested for dead.
    """

    isolated: bool = False
    locked: bool = False
    proved: bool = False
    tested: frozenset[str] = frozenset()
    proved_again: bool = False
    untried: bool = False
    uncovered: frozenset[str] = frozenset()
    lifted: frozenset[str] = frozenset()
    position: str = ""
    calling: bool = True
    function: Function | None = None
    nulled: bool = False
    dried: bool = False
    earth: frozenset[str] = frozenset()
    insulated: frozenset[str] = frozenset()
    bad: OutOfBounds | None = None
    evidence: tuple[Observation, ...] = ()
    minutes: float = 0.0
    safety_minutes: float = 0.0
    proved_dead: bool = False
    trials: int = 0
    safety_trials: int = 0
    acts: int = 0
    failure: str = ""
    failed_at: int = 0
    conclusion: frozenset[str] | None = None
    pairs: tuple[str, ...] = DEAD_PAIRS

    @property
    def over(self) -> bool:
        """Whether the job has ended: by a conclusion or by a failure."""
        return bool(self.failure) or self.conclusion is not None

    @property
    def dead(self) -> bool:
        """Whether it is isolated, locked off, and proved dead with a tester proved before and after."""
        return self.isolated and self.locked and self.proved_again and self.tested == frozenset(self.pairs)

    @property
    def work_trials(self) -> int:
        """Readings, looks, runs and records without those for safety."""
        return self.trials - self.safety_trials

    @property
    def work_minutes(self) -> float:
        """Minutes without those for working safely."""
        return self.minutes - self.safety_minutes


@dataclass(frozen=True, slots=True)
class Shown:
    """What is seen after an act.

    ``text`` says it in a sentence; ``display`` is what stands on the meter, empty when nothing was read; ``done`` is
    false when the act was not possible and changed nothing; ``what`` is the mistake alone, where one ended the job.
    """

    text: str
    display: str = ""
    done: bool = True
    what: str = ""


# ---------------------------------------------------------------- from state to state


def no(state: BenchState, why: str) -> tuple[BenchState, Shown]:
    """Nothing is done, and why."""
    return state, Shown(why, done=False)


def fail(state: BenchState, slip: str, words: Words, what: Phrase) -> tuple[BenchState, Shown]:
    """The job ends by a slip that can kill; ``what`` says which."""
    return replace(state, failure=slip), Shown(words.say(Stop(what), "stop"), what=what)


def spend(state: BenchState, minutes: float, *, safety: bool = False) -> BenchState:
    """Minutes pass; those for working safely are kept apart."""
    more = minutes if safety else 0.0
    return replace(state, minutes=state.minutes + minutes, safety_minutes=state.safety_minutes + more)


def not_dead(state: BenchState, words: Words) -> tuple[str, Phrase]:
    """Which step of isolating and proving dead is wanting: its slip, and what it means; empty when none is."""
    slip, key = _wanting(state)
    if not slip:
        return "", Phrase("")
    if key == "pairs":
        return slip, words.say(PairsWanting(tuple(pair for pair in state.pairs if pair not in state.tested)), key)
    return slip, words.say(Wanting(), key)


def _wanting(state: BenchState) -> tuple[str, str]:
    """The slip and the sentence of the first step that is wanting."""
    if not state.isolated:
        return "not-proved-dead", "supply-on"
    if not state.locked:
        return "not-locked", "not-locked"
    is_missing = state.tested != frozenset(state.pairs)
    if state.untried and (is_missing or not state.proved):
        return "not-proved-first", "not-proved-first"
    if not state.tested:
        return "not-proved-dead", "not-tested"
    if not state.proved:
        return "not-proved-first", "not-proved-first"
    if is_missing:
        return "no-reference", "pairs"
    return ("", "") if state.proved_again else ("prove-once", "prove-once")

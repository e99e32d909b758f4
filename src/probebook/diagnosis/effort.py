"""Minutes a trial takes from where the job stands, and whether a person may do it at all.

Minutes are invented but of the right order (common practice, no published source). Isolating and proving dead is done
once and stays done until the supply is put back; a cover stays off until the appliance has to be whole again. Time for
safety is a cost of the job, never a reason against it: nothing here lets a trial go ahead without it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import lru_cache

from probebook.appliances import Appliance
from probebook.diagnosis.hypotheses import Same
from probebook.diagnosis.trials import Trial, TrialKind, rest
from probebook.meters import Function

#: Isolate, lock off, prove the tester, test, prove the tester again.
ISOLATE = 6.0
#: Put the supply back and be ready to isolate again.
RESTORE = 3.0
#: Lift one end of a wire, or put it back.
LIFT = 1.5
#: Put the probes on two terminals and read.
PROBE = 1.0
#: Set the controls.
SET_CONTROLS = 0.3
#: Link line and neutral, hold the insulation test, discharge.
INSULATION_TEST = 1.5
#: Dry the appliance out under supervision and let it cool.
DRY_OUT = 40.0
#: Warm a cut-out on the bench until it should operate.
WARM = 10.0
#: Look at one part or wire, cover already off.
LOOK = 1.0
#: Functional run in one position.
RUN = 8.0
#: Heat-up record in one position.
RECORD = 60.0


class Person(StrEnum):
    """Who does the job."""

    APPRENTICE = "apprentice"
    OWNER = "owner"


@dataclass(frozen=True, slots=True)
class Setup:
    """How the job stands.

    Attributes
    ----------
    isolated
        Isolated, locked off and proved dead.
    uncovered
        Covers that are off.
    lifted
        Wires that are off.
    position
        Where the controls stand; empty for unknown.
    dried
        Whether the appliance has been dried out.
    """

    isolated: bool = False
    uncovered: frozenset[str] = frozenset()
    lifted: frozenset[str] = frozenset()
    position: str = ""
    dried: bool = False


#: Nothing done yet.
ARRIVED = Setup()


@dataclass(frozen=True, slots=True, eq=False)
class _Access:
    """Which cover is over which terminal, part and wire end, and minutes to take each off."""

    terminals: dict[str, str]
    parts: dict[str, str]
    wires: dict[str, frozenset[str]]
    minutes: dict[str, float]


@lru_cache(maxsize=32)
def _access(key: Same) -> _Access:
    appliance = key.appliance
    terminals = {t: part.cover for part in appliance.parts for t in part.terminals}
    return _Access(
        terminals,
        {part.mark: part.cover for part in appliance.parts},
        {w.mark: frozenset((terminals.get(w.start, ""), terminals.get(w.end, ""))) for w in appliance.wires},
        {cover: seconds / 60.0 for cover, seconds in appliance.covers},
    )


def covers_for(appliance: Appliance, trial: Trial, off: Iterable[str] = ()) -> frozenset[str]:
    """Covers that must come off for a trial: over what is probed or looked at, and over one end of each lifted wire.

    A wire can be lifted at either end: at one that is open to hand already where there is a choice.
    """
    access = _access(Same(appliance))
    needed: set[str] = set()
    if trial.kind is TrialKind.METER:
        needed.update(access.terminals.get(probe, "") for probe in trial.probes)
    elif trial.kind is TrialKind.LOOK and trial.at in access.parts:
        needed.add(access.parts[trial.at])
    wires = sorted(trial.lifted) if trial.kind is TrialKind.METER else [trial.at] if trial.at in access.wires else []
    for mark in wires:
        ends = access.wires[mark]
        if not ends & needed and not ends.intersection(off) and "" not in ends:
            needed.add(min(sorted(ends), key=lambda cover: access.minutes.get(cover, 0.0)))
    return frozenset(needed - {""})


def minutes(appliance: Appliance, trial: Trial, setup: Setup = ARRIVED) -> float:
    """Minutes from how the job stands to having the result of the trial."""
    took = 0.0
    if trial.kind in (TrialKind.RUN, TrialKind.RECORD):
        took += LIFT * len(setup.lifted) + _cover_minutes(appliance, setup.uncovered)
        took += RESTORE if setup.isolated else 0.0
        return took + SET_CONTROLS + (RUN if trial.kind is TrialKind.RUN else RECORD)
    covers = covers_for(appliance, trial, setup.uncovered) - setup.uncovered
    took += 0.0 if setup.isolated else ISOLATE
    took += _cover_minutes(appliance, covers)
    if trial.kind is TrialKind.LOOK:
        return took + LOOK
    took += LIFT * len(trial.lifted ^ setup.lifted)
    took += SET_CONTROLS if trial.position != (setup.position or rest(appliance)) else 0.0
    took += DRY_OUT if trial.dried and not setup.dried else 0.0
    took += WARM * len(trial.opened)
    return took + PROBE + (INSULATION_TEST if trial.function is Function.INSULATION else 0.0)


def after(appliance: Appliance, trial: Trial, setup: Setup = ARRIVED) -> Setup:
    """How the job stands once the trial is done."""
    if trial.kind in (TrialKind.RUN, TrialKind.RECORD):
        return Setup(position=trial.position, dried=setup.dried)
    uncovered = setup.uncovered | covers_for(appliance, trial, setup.uncovered)
    if trial.kind is TrialKind.LOOK:
        return replace(setup, isolated=True, uncovered=uncovered)
    return Setup(True, uncovered, trial.lifted, trial.position, setup.dried or trial.dried)


def _cover_minutes(appliance: Appliance, covers: Iterable[str]) -> float:
    times = _access(Same(appliance)).minutes
    return sum(times.get(cover, 0.0) for cover in sorted(covers))


def objection(
    appliance: Appliance,
    trial: Trial,
    setup: Setup = ARRIVED,
    *,
    person: Person = Person.APPRENTICE,
    proved: bool = False,
) -> str:
    """Why a person may not do a trial now; empty when they may (dead work: after isolating and proving dead).

    Parameters
    ----------
    appliance, trial, setup
        What is to be done, and how the job stands.
    person
        An owner stops at the cover: no opening, no energised trial, and meter work only at the pins of a plug that is
        out of its socket.
    proved
        Whether earth continuity and insulation have been read and found good: nothing is energised before that.
    """
    if trial.kind is TrialKind.METER and trial.function not in (
        Function.OHMS,
        Function.CONTINUITY,
        Function.INSULATION,
    ):
        return "only dead tests are in question here"
    if person is Person.OWNER:
        if trial.kind in (TrialKind.RUN, TrialKind.RECORD):
            return "an owner does not energise a suspect appliance to test it"
        if covers_for(appliance, trial, setup.uncovered) - setup.uncovered:
            return "an owner stops at the cover: call a licensed person"
        if trial.kind is TrialKind.METER and appliance.supply.kind != "plug":
            return "an owner does not open fixed wiring: call a licensed person"
        if trial.dried:
            return "drying out under supervision is work for a licensed person"
    if trial.kind in (TrialKind.RUN, TrialKind.RECORD) and not proved:
        return "earth continuity and insulation have to be proved good before the supply goes back"
    return ""


def safe(
    appliance: Appliance,
    trial: Trial,
    setup: Setup = ARRIVED,
    *,
    person: Person = Person.APPRENTICE,
    proved: bool = False,
) -> bool:
    """Whether a person may do a trial now; :func:`objection` says why not."""
    return not objection(appliance, trial, setup, person=person, proved=proved)

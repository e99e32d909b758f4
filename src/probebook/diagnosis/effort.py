"""Minutes a trial takes from where the job stands, and whether a person may do it at all.

Isolating and proving dead is done
once and stays done until the supply is put back; a cover stays off until the appliance has to be whole again. Time for
safety is a cost of the job, never a reason against it: nothing here lets a trial go ahead without it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum

from probebook.diagnosis.model import About, model_of
from probebook.diagnosis.trial import DEAD_FUNCTIONS, Trial, TrialKind
from probebook.meters import Function


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


def covers_for(about: About, trial: Trial, off: Iterable[str] = ()) -> frozenset[str]:
    """Covers that must come off for a trial, with those in ``off`` off already."""
    return model_of(about).access.covers_for(trial, off)


def minutes(about: About, trial: Trial, setup: Setup = ARRIVED) -> float:
    """Minutes from how the job stands to having the result of the trial."""
    model = model_of(about)
    access, work = model.access, model.assumed.minutes
    took = 0.0
    if trial.kind in (TrialKind.RUN, TrialKind.RECORD):
        took += work.lift * len(setup.lifted) + access.minutes_for(setup.uncovered)
        took += work.restore if setup.isolated else 0.0
        return took + work.set_controls + (work.run if trial.kind is TrialKind.RUN else work.record)
    covers = access.covers_for(trial, setup.uncovered) - setup.uncovered
    took += 0.0 if setup.isolated else work.isolate
    took += access.minutes_for(covers)
    if trial.kind is TrialKind.LOOK:
        return took + work.look
    took += work.lift * len(trial.lifted ^ setup.lifted)
    took += work.set_controls if trial.position != (setup.position or model.rest) else 0.0
    took += work.dry_out if trial.dried and not setup.dried else 0.0
    took += work.warm * len(trial.opened)
    return took + work.probe + (work.insulation_test if trial.function is Function.INSULATION else 0.0)


def after(about: About, trial: Trial, setup: Setup = ARRIVED) -> Setup:
    """How the job stands once the trial is done."""
    if trial.kind in (TrialKind.RUN, TrialKind.RECORD):
        return Setup(position=trial.position, dried=setup.dried)
    uncovered = setup.uncovered | covers_for(about, trial, setup.uncovered)
    if trial.kind is TrialKind.LOOK:
        return replace(setup, isolated=True, uncovered=uncovered)
    return Setup(True, uncovered, trial.lifted, trial.position, setup.dried or trial.dried)


class Objection(StrEnum):
    """Why a person may not do a trial now; what they read of it is a sentence of the text."""

    LIVE_TEST = "live-test"
    OWNER_ENERGISES = "owner-energises"
    OWNER_OPENS = "owner-opens"
    OWNER_FIXED_WIRING = "owner-fixed-wiring"
    OWNER_DRIES = "owner-dries"
    NOT_PROVED = "not-proved"


def objection(
    about: About,
    trial: Trial,
    setup: Setup = ARRIVED,
    *,
    person: Person = Person.APPRENTICE,
    proved: bool = False,
) -> Objection | None:
    """Why a person may not do a trial now; None when they may (dead work: after isolating and proving dead).

    Parameters
    ----------
    about, trial, setup
        What is to be done, and how the job stands.
    person
        An owner stops at the cover: no opening, no energised trial, and meter work only at the pins of a plug that is
        out of its socket.
    proved
        Whether earth continuity and insulation have been read and found good: nothing is energised before that.
    """
    if trial.kind is TrialKind.METER and trial.function not in DEAD_FUNCTIONS:
        return Objection.LIVE_TEST
    energised = trial.kind in (TrialKind.RUN, TrialKind.RECORD)
    if person is Person.OWNER:
        against = _against_owner(about, trial, setup)
        if against:
            return against
    return Objection.NOT_PROVED if energised and not proved else None


def _against_owner(about: About, trial: Trial, setup: Setup) -> Objection | None:
    if trial.kind in (TrialKind.RUN, TrialKind.RECORD):
        return Objection.OWNER_ENERGISES
    if covers_for(about, trial, setup.uncovered) - setup.uncovered:
        return Objection.OWNER_OPENS
    if trial.kind is TrialKind.METER and model_of(about).appliance.supply.kind != "plug":
        return Objection.OWNER_FIXED_WIRING
    return Objection.OWNER_DRIES if trial.dried else None


def safe(
    about: About,
    trial: Trial,
    setup: Setup = ARRIVED,
    *,
    person: Person = Person.APPRENTICE,
    proved: bool = False,
) -> bool:
    """Whether a person may do a trial now; :func:`objection` says why not."""
    return objection(about, trial, setup, person=person, proved=proved) is None

"""The acts of the virtual bench: short plain strings that can be stored, replayed and read.

An act is a verb and what it is done to: ``isolate``, ``cover off: rear panel``, ``lift W10``, ``probe E2.1 E2.2``,
``conclude base-open``. :func:`split` takes one apart, :func:`title` puts it into words.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum

from probebook.appliances import Appliance
from probebook.meters import Function

__all__ = ["DEAD_PAIRS", "DIAL", "LONGEST", "MOST", "NOTHING_WRONG", "Verb", "conclude", "probe", "split", "title"]

#: Pairs that are tested for dead.
DEAD_PAIRS = ("L-N", "L-E", "N-E")
#: What an act of concluding says when no fault is present.
NOTHING_WRONG = "nothing wrong"
#: Longest act in characters, and most acts in one answer.
LONGEST, MOST = 120, 600

#: Functions of the two instruments on the bench, with what is on the dial.
DIAL = {
    Function.OHMS: "ohms (multimeter)",
    Function.CONTINUITY: "low-ohms continuity with beeper (insulation and continuity tester)",
    Function.INSULATION: "insulation at 500 V (insulation and continuity tester)",
}


class Verb(StrEnum):
    """What can be done."""

    ISOLATE = "isolate"
    LOCK = "lock off"
    PROVE = "prove tester"
    TEST = "test dead"
    COVER_OFF = "cover off:"
    COVER_ON = "cover on:"
    LIFT = "lift"
    REFIT = "refit"
    CONTROLS = "controls"
    CALLING = "thermostat calling"
    RESTING = "thermostat resting"
    METER = "meter"
    NULL = "null leads"
    PROBE = "probe"
    LOOK = "look"
    DRY = "dry out"
    ENERGISE = "energise"
    RUN = "run"
    RECORD = "record"
    BYPASS = "bypass"
    CONCLUDE = "conclude"


_BARE = (
    Verb.ISOLATE,
    Verb.LOCK,
    Verb.PROVE,
    Verb.CALLING,
    Verb.RESTING,
    Verb.NULL,
    Verb.DRY,
    Verb.ENERGISE,
    Verb.RUN,
    Verb.RECORD,
)


def split(act: str) -> tuple[Verb, str] | None:
    """The verb and what it is done to; None for what is no act."""
    for verb in Verb:
        if act == verb and verb in _BARE:
            return verb, ""
        if verb not in _BARE and act.startswith(f"{verb} "):
            return verb, act[len(verb) + 1 :].strip()
    return None


def probe(a: str, b: str) -> str:
    """The act of putting the probes on two terminals."""
    return f"{Verb.PROBE} {a} {b}"


def conclude(faults: Iterable[str]) -> str:
    """The act of concluding that exactly these faults are present."""
    return f"{Verb.CONCLUDE} {' + '.join(sorted(faults)) or NOTHING_WRONG}"


def concluded(what: str) -> frozenset[str]:
    """The faults that an act of concluding names."""
    return frozenset() if what == NOTHING_WRONG else frozenset(part.strip() for part in what.split("+"))


def title(appliance: Appliance, act: str) -> str:
    """An act in words: ``lift wire W10 at one end``; the act itself where it makes no sense."""
    found = split(act)
    if found is None:
        return act
    verb, what = found
    try:
        return _TITLES[verb].format(what) if verb in _TITLES else _told(appliance, verb, what)
    except (KeyError, ValueError):
        return act


_TITLES = {
    Verb.PROVE: "prove the voltage tester on the proving unit",
    Verb.TEST: "test for dead, {}",
    Verb.COVER_OFF: "take off the {}",
    Verb.COVER_ON: "put the {} back on",
    Verb.LIFT: "lift wire {} at one end",
    Verb.REFIT: "refit wire {}",
    Verb.CALLING: "turn the thermostat up, so that it calls for heat",
    Verb.RESTING: "turn the thermostat down, so that it does not call",
    Verb.NULL: "null the leads",
    Verb.DRY: "dry the appliance out and let it cool",
    Verb.ENERGISE: "take the lock off and put the supply back",
    Verb.RUN: "functional run",
    Verb.RECORD: "take a heat-up record",
    Verb.BYPASS: "bridge {} with a link",
}


def _told(appliance: Appliance, verb: Verb, what: str) -> str:
    plug = appliance.supply.kind == "plug"
    if verb is Verb.ISOLATE:
        return "take the plug out of the socket" if plug else "switch off at the isolator"
    if verb is Verb.LOCK:
        return "lock the plug away and hang the notice" if plug else "lock off, keep the key and hang the notice"
    if verb is Verb.CONTROLS:
        return f"set the controls to {appliance.position(what).title}"
    if verb is Verb.METER:
        return f"set the meter to {DIAL[Function(what)]}"
    if verb is Verb.PROBE:
        a, b = what.split()
        return f"probe {a} and {b}"
    if verb is Verb.LOOK:
        return f"look at {_named(appliance, what)}"
    faults = concluded(what)
    said = " and ".join(appliance.fault(f).title for f in sorted(faults)) or NOTHING_WRONG
    return f"conclude: {said}"


def _named(appliance: Appliance, mark: str) -> str:
    wire = next((w for w in appliance.wires if w.mark == mark), None)
    return f"wire {wire.mark}" if wire else f"the {appliance.part(mark).title} {mark}"

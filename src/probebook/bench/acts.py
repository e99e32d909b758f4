"""The acts of the virtual bench: short plain strings that can be stored, replayed and read.

An act is a verb and what it is done to: ``isolate``, ``cover off: rear panel``, ``lift W10``, ``probe E2.1 E2.2``,
``conclude base-open``. :func:`split` takes one apart, :func:`probebook.bench.telling.act_words` puts it into words.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum

from probebook.meters import Function

__all__ = ["DEAD_PAIRS", "DIAL", "LONGEST", "MOST", "NOTHING_WRONG", "Verb", "conclude", "concluded", "probe", "split"]

#: Pairs that are tested for dead where there is one line; `probebook.bench.conductors` says which elsewhere.
DEAD_PAIRS = ("L-N", "L-E", "N-E")
#: What stands in an act of concluding when no fault is present; part of the format of answers, never shown.
NOTHING_WRONG = "nothing wrong"
#: Longest act in characters, and most acts in one answer.
LONGEST, MOST = 120, 600

#: Functions of the two instruments on the bench.
DIAL = (Function.OHMS, Function.CONTINUITY, Function.INSULATION)


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
    WATCH = "watch lamps"
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
    Verb.WATCH,
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

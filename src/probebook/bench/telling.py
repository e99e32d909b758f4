"""Acts and dials of the bench in words."""

from __future__ import annotations

from probebook.appliances import Appliance
from probebook.bench.acts import Verb, concluded, split
from probebook.bench.facts import (
    Act,
    ActConclude,
    ActDial,
    ActLook,
    ActOn,
    ActOnCover,
    ActProbe,
    ActToPosition,
    Dial,
    DialVolts,
)
from probebook.meters import Function
from probebook.words import Phrase, Words

__all__ = ["act_words", "dial_words"]

_PLAIN = {
    Verb.PROVE: "prove",
    Verb.CALLING: "calling",
    Verb.RESTING: "resting",
    Verb.NULL: "null",
    Verb.DRY: "dry",
    Verb.ENERGISE: "energise",
    Verb.WATCH: "watch",
    Verb.RUN: "run",
    Verb.RECORD: "record",
}
_ON = {Verb.TEST: "test", Verb.LIFT: "lift", Verb.REFIT: "refit", Verb.BYPASS: "bypass"}
_COVERS = {Verb.COVER_OFF: "cover-off", Verb.COVER_ON: "cover-on"}


def dial_words(words: Words, appliance: Appliance, function: Function, *, alone: bool = False) -> Phrase:
    """What the dial is set to, with the instrument it is on, or ``alone``."""
    key = f"set-{function.value}" if alone else function.value
    if function is Function.INSULATION:
        return words.say(DialVolts(appliance.region.test_volts), key)
    return words.say(Dial(), key)


def act_words(words: Words, appliance: Appliance, act: str) -> str:
    """An act in words: ``lift wire W10 at one end``; the act itself where it makes no sense."""
    found = split(act)
    if found is None:
        return act
    verb, what = found
    try:
        if verb in _PLAIN:
            return words.say(Act(), _PLAIN[verb])
        if verb in _ON:
            return words.say(ActOn(what), _ON[verb])
        if verb in _COVERS:
            return words.say(ActOnCover(words.noun(what)), _COVERS[verb])
        return _told(words, appliance, verb, what)
    except (KeyError, ValueError):
        return act


def _told(words: Words, appliance: Appliance, verb: Verb, what: str) -> Phrase:
    if verb in (Verb.ISOLATE, Verb.LOCK):
        way = "plug" if appliance.supply.kind == "plug" else "fixed"
        return words.say(Act(), f"{'isolate' if verb is Verb.ISOLATE else 'lock'}-{way}")
    if verb is Verb.CONTROLS:
        return words.say(ActToPosition(words.noun(appliance.position(what).title)), "controls")
    if verb is Verb.METER:
        return words.say(ActDial(dial_words(words, appliance, Function(what))), "meter")
    if verb is Verb.PROBE:
        a, b = what.split()
        return words.say(ActProbe(a, b), "probe")
    if verb is Verb.LOOK:
        if any(wire.mark == what for wire in appliance.wires):
            return words.say(ActOn(what), "look-wire")
        return words.say(ActLook(words.noun(appliance.part(what).title), what), "look-part")
    faults = sorted(concluded(what))
    if not faults:
        return words.say(Act(), "conclude-nothing")
    return words.say(ActConclude(tuple(words.noun(appliance.fault(f).title) for f in faults)), "conclude")

"""Every sentence of a bench, said beforehand: those that an act alone decides whole, the others with their holes.

A hole is a name in braces, which the page fills with what it knows: a terminal, what the display shows, a list. So the
sentences are those of the templates in any language, and the page makes none of its own.
"""

from __future__ import annotations

from typing import Any

from probebook.appliances import earth_limit
from probebook.bench.acts import DIAL, Verb
from probebook.bench.conductors import dead_pairs, has_volts
from probebook.bench.facts import (
    Act,
    ActConclude,
    ActProbe,
    BadEarth,
    BadInsulation,
    Concluded,
    ControlsAt,
    Covered,
    CoverMoved,
    CoverOff,
    EarthUnread,
    InsulationUnread,
    MeterSet,
    MeterSetLeads,
    NothingToTry,
    PairsWanting,
    PairTested,
    ReadingShown,
    Refused,
    Seen,
    SidesUnread,
    Spent,
    Stop,
    StopBecause,
    StopBridging,
    StopCover,
    StopOpen,
    StopPlain,
    TerminalCovered,
    Wanting,
    WireLifted,
    WireOff,
    WireRefitted,
)
from probebook.bench.possible import every_act
from probebook.bench.simulator import Bench
from probebook.bench.telling import act_words, dial_words
from probebook.words import Noun, Phrase

__all__ = ["sentences"]

#: Numbers that no sentence holds of itself, put where a page is to put its own: minutes, tests.
MARK, TESTS = 7531, 8642
#: Of fewer tests than these the sentence that compares them with the par is said beforehand; the last has a hole.
MOST_TESTS = 60


def sentences(bench: Bench, *, with_par: bool = True) -> dict[str, Any]:
    """Sentences of a bench as plain JSON data; what each is for, its name says."""
    return {
        "list": _lists(bench),
        "acts": _acts(bench),
        "seen": _seen(bench),
        "refused": {key: str(bench.refusal(key)) for key in Refused.says_},
        "covered": _covered(bench),
        "untried": _untried(bench),
        "stop": _stops(bench),
        "wanting": _wanting(bench),
        "unproved": _unproved(bench),
        "spent": [_spent(bench, tests) for tests in range(MOST_TESTS if with_par else 0)],
    }


def _hole(name: str) -> Phrase:
    return Phrase(f"{{{name}}}")


def _lists(bench: Bench) -> dict[str, str]:
    """What stands between the items of a list: between two, between more, before the last."""
    language = bench.words.language
    return {"two": language.both, "between": language.between, "last": language.last, "decimal": language.decimal}


def _acts(bench: Bench) -> dict[str, str]:
    """Acts in words."""
    words, appliance = bench.words, bench.appliance
    acts = [f"{verb.value} {what}".strip() for verb, whats in every_act(appliance) for what in whats]
    said = {act: act_words(words, appliance, act) for act in acts}
    said[Verb.PROBE.value] = words.say(ActProbe("{a}", "{b}"), "probe")
    said[Verb.CONCLUDE.value] = words.say(ActConclude((_noun("{faults}"),)), "conclude")
    said["conclude nothing"] = words.say(Act(), "conclude-nothing")
    return {act: str(text) for act, text in said.items()}


def _noun(text: str) -> Noun:
    """A hole where the sentence wants a noun."""
    return Noun(text, text)


def _seen(bench: Bench) -> dict[str, str]:
    """What is seen after an act that alone decides it."""
    appliance, say = bench.appliance, bench.say
    plug = appliance.supply.kind == "plug"
    said: dict[str, Phrase] = {
        Verb.ISOLATE: say(Seen(), "plug-out" if plug else "isolator-off"),
        Verb.LOCK: say(Seen(), "plug-locked" if plug else "locked"),
        Verb.PROVE: say(Seen(), "tester-works"),
        Verb.CALLING: say(Seen(), "calls"),
        Verb.RESTING: say(Seen(), "calls-not"),
        Verb.NULL: say(Seen(), "nulled"),
        Verb.DRY: say(Seen(), "dried"),
        Verb.ENERGISE: say(Seen(), "supply-on"),
        "reading": say(ReadingShown("{a}", "{b}", "{display}"), "reading"),
        "reading-beeps": say(ReadingShown("{a}", "{b}", "{display}"), "reading-beeps"),
        "reading-silent": say(ReadingShown("{a}", "{b}", "{display}"), "reading-silent"),
        "concluded": say(Concluded((_noun("{faults}"),)), "concluded"),
        "concluded-nothing": say(Seen(), "concluded-nothing"),
    }
    for pair in dead_pairs(appliance):
        said[f"{Verb.TEST} {pair}"] = say(PairTested(pair), "no-voltage")
        said[f"live {pair}"] = say(PairTested(pair), "live" if has_volts(pair) else "no-voltage")
    for cover, _ in appliance.covers:
        said[f"{Verb.COVER_OFF} {cover}"] = say(CoverMoved(bench.noun(cover)), "cover-is-off")
        said[f"{Verb.COVER_ON} {cover}"] = say(CoverMoved(bench.noun(cover)), "cover-is-on")
    for wire in appliance.wires:
        lifted = WireLifted(wire.mark, bench.noun(wire.colour), wire.start, wire.end)
        said[f"{Verb.LIFT} {wire.mark}"] = say(lifted, "wire-off")
        said[f"{Verb.REFIT} {wire.mark}"] = say(WireRefitted(wire.mark), "wire-on")
    for position in appliance.positions:
        said[f"{Verb.CONTROLS} {position.name}"] = say(ControlsAt(bench.noun(position.title)), "controls-at")
    for function in DIAL:
        title = bench.noun(bench.meter_for(function).title)
        dial = dial_words(bench.words, appliance, function, alone=True)
        said[f"{Verb.METER} {function.value}"] = (
            say(MeterSetLeads(title, dial, bench.made.together(function)), "meter-set-leads")
            if function.through_leads
            else say(MeterSet(title, dial), "meter-set")
        )
    return {str(key): str(text) for key, text in said.items()}


def _covered(bench: Bench) -> dict[str, dict[str, str]]:
    """Why something cannot be reached: wires and parts by their marks, terminals by their names."""
    appliance = bench.appliance
    covers = {name: bench.cover_over(name) for name in appliance.terminals}
    return {
        "wire": {wire.mark: str(bench.say(Covered(wire.mark), "wire-covered")) for wire in appliance.wires},
        "look": {
            mark: str(bench.say(Covered(mark), "part-covered"))
            for mark in (*(p.mark for p in appliance.parts), *(w.mark for w in appliance.wires))
        },
        "terminal": {
            name: str(bench.say(TerminalCovered(name, bench.noun(cover)), "terminal-covered"))
            for name, cover in covers.items()
            if cover
        },
    }


def _untried(bench: Bench) -> dict[str, dict[str, str]]:
    """Why nothing is tried out in a position: with a run, and with a look at the lamps."""
    titles = {position.name: bench.noun(position.title) for position in bench.appliance.positions}
    return {
        key: {name: str(bench.say(NothingToTry(title), key)) for name, title in titles.items()}
        for key in ("nothing-to-try", "no-lamp")
    }


def _stops(bench: Bench) -> dict[str, Any]:
    """What ends the job: ``stop`` is the frame of the others."""
    appliance, say = bench.appliance, bench.say
    covers = [name for name, _ in appliance.covers]
    cut_outs = [what for verb, whats in every_act(appliance) if verb is Verb.BYPASS for what in whats]
    because = {key: str(say(StopBecause(_hole("why")), key)) for key in StopBecause.says_}
    return {
        "stop": str(say(Stop(_hole("what")), "stop")),
        **because,
        **{key: str(say(StopPlain(), key)) for key in StopPlain.says_},
        "open": str(say(StopOpen((_hole("off"),)), "open")),
        "covers": {name: str(say(StopCover(bench.noun(name), _hole("why")), "taking-cover-off")) for name in covers},
        "cover": {name: str(say(CoverOff(bench.noun(name)), "cover")) for name in covers},
        "wire": {wire.mark: str(say(WireOff(wire.mark), "wire")) for wire in appliance.wires},
        "bridging": {
            mark: str(say(StopBridging(bench.noun(appliance.part(mark).title)), "bridging")) for mark in cut_outs
        },
    }


def _wanting(bench: Bench) -> dict[str, str]:
    """Which step of isolating and proving dead is wanting."""
    said = {key: str(bench.say(Wanting(), key)) for key in Wanting.says_}
    return {**said, "pairs": str(bench.say(PairsWanting(("{pairs}",)), "pairs"))}


def _unproved(bench: Bench) -> dict[str, str]:
    """Why earth and insulation do not allow the supply."""
    appliance = bench.appliance
    said = {
        "bad-earth": bench.say(BadEarth("{a}", "{display}"), "bad-earth"),
        "bad-insulation": bench.say(BadInsulation("{a}", "{b}", "{display}"), "bad-insulation"),
        "no-insulation": bench.say(SidesUnread(("{sides}",)), "no-insulation-of")
        if appliance.other_lines
        else bench.say(InsulationUnread(), "no-insulation"),
    }
    if appliance.earth:
        said["no-earth"] = bench.say(EarthUnread(("{places}",), earth_limit(appliance).high), "no-earth")
    return {key: str(text) for key, text in said.items()}


def _spent(bench: Bench, tests: int) -> str:
    """So many tests beside the par; a hole for the working minutes, and in the last for the tests of any more."""
    spec = bench.spec
    shown = TESTS if tests == MOST_TESTS - 1 else tests
    spent = Spent(shown, float(MARK), spec.par_trials, spec.par_minutes)
    return str(bench.say(spent, "spent")).replace(str(MARK), "{minutes}").replace(str(TESTS), "{tests}")

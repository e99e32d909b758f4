"""What is told of the verdict on a record: its reason, and why the others do not fit, in this record's figures."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from probebook.questions import situation_words as sw
from probebook.questions.curve.facts.assumed import CurveLimits
from probebook.questions.curve.facts.judging import SAYS, Says, is_usual, several
from probebook.questions.curve.facts.record import HeatUp, main_at, never_off, on_spans
from probebook.words import Facts, Noun, Phrase, Words

__all__ = ["VerdictFacts", "against", "because", "verdict_facts"]


@dataclass(frozen=True)
class VerdictFacts(
    Facts,
    group="questions/curve/verdict",
    says=(
        "then",
        "label",
        *(f"says.{says}" for says in SAYS),
        "because.sound",
        "because.sound-holds",
        "because.heater-open",
        "because.calibration",
        "because.calibration-once",
        "because.low-supply",
        "because.low-supply-one",
        "because.welded",
        "because.welded-cut-out",
        "because.cut-out",
        "against.sound-current",
        "against.sound-held",
        "against.heater-open-usual",
        "against.heater-open",
        "against.calibration-never-off",
        "against.calibration-trips",
        "against.calibration-cut-out",
        "against.calibration",
        "against.cut-out-never-off",
        "against.cut-out-once",
        "against.cut-out",
        "against.low-supply-usual",
        "against.low-supply",
        "against.welded-cycles",
        "against.welded-once",
        "against.welded",
        "sound.cycling-for-fault",
        "sound.overshoot-for-plateau",
        "sound.usual-suspect",
        "calibration.set-point-for-plateau",
        "calibration.usual-suspect",
        "calibration.cycling-for-fault",
        "heater-open.power-unread",
        "heater-open.set-point-for-plateau",
        "heater-open.thermostat-blamed",
        "heater-open.thermostat-blamed-never-off",
        "low-supply.power-unread",
        "low-supply.usual-suspect",
        "low-supply.thermostat-blamed",
        "welded.set-point-for-plateau",
        "cut-out.set-point-for-plateau",
        "cut-out.trip-for-cycling",
        "cut-out.usual-suspect",
    ),
):
    """The figures of a record that its verdict rests on; 0 where there is no such figure.

    ``share`` is the current as a part of the usual one and ``squared`` its square; ``off_first`` is when the heaters
    first go off, at ``at_first``, and then at ``at_second``; ``runs_at`` is where it then runs, ``off_by`` that less
    the setting; ``without`` are the currents that one heater less would leave.
    """

    amps: Annotated[float, "A"]
    usual_amps: Annotated[float, "A"]
    share: float
    squared: float
    without: tuple[Phrase, ...]
    held: Annotated[float, "degC"]
    hottest: Annotated[float, "degC"]
    set_point: Annotated[float, "degC"]
    set_to: Phrase
    gone: tuple[Phrase, ...]
    left: tuple[Phrase, ...]
    off_first: Annotated[float, "min"]
    at_first: Annotated[float, "degC"]
    at_second: Annotated[float, "degC"]
    runs_at: Annotated[float, "degC"]
    off_by: Annotated[float, "K"]
    side: Literal["low", "high"]
    went: Phrase


@dataclass(frozen=True)
class WentFacts(
    Facts, group="questions/curve/verdict", says=("went.never-there", "went.there", "set-to", "set-to-none")
):
    """Whether and when it came to its setting."""

    set_point: Annotated[float, "degC"]
    to_set_point: Annotated[float, "min"]


@dataclass(frozen=True)
class HeaterFacts(Facts, group="questions/curve/verdict", says=("heater",)):
    """A heater by its place."""

    place: Noun


@dataclass(frozen=True)
class CurrentFacts(Facts, group="questions/curve/verdict", says=("current",)):
    """A current."""

    amps: Annotated[float, "A"]


def verdict_facts(words: Words, shown: HeatUp, limits: CurveLimits) -> VerdictFacts:
    """What is told of a verdict, whatever it is."""
    facts, record, spans = shown.facts, shown.record, on_spans(shown.record)
    usual, here = shown.sound_heating.watts, shown.heating.watts
    gone = [n for n, power in usual.items() if power > limits.least_watts and here[n] < limits.off * power]
    left = [n for n, power in usual.items() if power > limits.least_watts and n not in gone]
    share = shown.heating.amps / shown.sound_heating.amps
    set_point = facts.set_point or 0.0
    at_first = main_at(record, spans[0][1]) if spans else 0.0
    runs_at = facts.plateau if facts.cycles > 1 else at_first
    went = WentFacts(set_point, (facts.time_to_set_point or 0.0) / 60.0)
    return VerdictFacts(
        amps=shown.heating.amps,
        usual_amps=shown.sound_heating.amps,
        share=share,
        squared=share**2,
        without=_without_one(words, shown),
        held=facts.plateau,
        hottest=facts.hottest,
        set_point=set_point,
        set_to=words.say(went, "set-to" if facts.set_point is not None else "set-to-none"),
        gone=tuple(words.say(HeaterFacts(words.noun(n)), "heater") for n in gone),
        left=tuple(words.say(HeaterFacts(words.noun(n)), "heater") for n in left),
        off_first=spans[0][1] if spans else 0.0,
        at_first=at_first,
        at_second=main_at(record, spans[1][1]) if len(spans) > 1 else 0.0,
        runs_at=runs_at,
        off_by=abs(runs_at - set_point),
        side="low" if runs_at < set_point else "high",
        went=sw.following(_went(words, shown, went)),
    )


def _went(words: Words, shown: HeatUp, went: WentFacts) -> Phrase:
    facts = shown.facts
    if facts.set_point is not None and not facts.reached_set_point:
        return words.say(went, "went.never-there")
    return words.say(went, "went.there") if facts.time_to_set_point is not None else Phrase("")


def _without_one(words: Words, shown: HeatUp) -> tuple[Phrase, ...]:
    """The currents left with one heater out; what a motor or a lamp takes stays."""
    usual, volts = shown.sound_heating, shown.setting.appliance.supply.volts
    left = {usual.amps - p / volts for p in usual.watts.values() if p > 0}
    return tuple(sorted({words.say(CurrentFacts(amps), "current") for amps in left}))


def _tripped(shown: HeatUp) -> str:
    """Variant of what speaks against the thermostat where a cut-out went: it alone, or besides the thermostat."""
    thermostat = shown.record.thermostat
    return "-cut-out" if thermostat is not None and thermostat.stuck == "closed" else "-trips"


def because(shown: HeatUp, says: Says, limits: CurveLimits) -> str:
    """The sentence that gives the reason of a verdict."""
    facts = shown.facts
    variant = {
        "sound": "-holds" if facts.set_point is not None and facts.cycles else "",
        "calibration": "" if facts.cycles > 1 else "-once",
        "low-supply": "" if several(shown, limits) else "-one",
        "welded": "-cut-out" if facts.trips else "",
    }
    return f"because.{says}{variant.get(says, '')}"


def against(shown: HeatUp, says: Says, limits: CurveLimits) -> str:
    """The sentence that says why a record does not say that."""
    facts, usual = shown.facts, is_usual(shown, limits)
    on_throughout, cycles = never_off(shown.record), bool(facts.cycles)
    variant = {
        "sound": "-held" if usual else "-current",
        "heater-open": "-usual" if usual else "",
        "calibration": "-never-off" if on_throughout else _tripped(shown) if facts.trips else "",
        "cut-out": "-never-off" if on_throughout else "" if cycles else "-once",
        "low-supply": "-usual" if usual else "",
        "welded": "-cycles" if cycles else "" if on_throughout else "-once",
    }
    return f"against.{says}{variant[says]}"

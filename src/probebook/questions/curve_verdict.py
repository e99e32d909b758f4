"""What a heat-up record says of the appliance: which of a few things it shows, and why not the others."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from probebook.appliances import FaultKind
from probebook.cases.library import Library
from probebook.errors import UsageError
from probebook.heating.facts import Facts, describe
from probebook.questions.curve_record import Setting, Sheet, on_spans, sheet
from probebook.questions.frame import Unfit, WrongOption, choice_field, option_slips, shuffled
from probebook.questions.model import Field, Option, Slip

__all__ = ["SAYS", "Verdict", "candidates", "judge", "verdict_field"]

#: What a record can say, in the words of the option.
SAYS = {
    "sound": "Nothing wrong: it heats as it should and the thermostat holds its setting",
    "heater-open": "One heater of this position gives no heat; the rest work",
    "calibration": "The thermostat switches, but at the wrong temperature",
    "cut-out": "A cut-out opens, time and again, before the thermostat has anything to do",
    "low-supply": "Every heater works, but on too low a supply voltage",
    "welded": "The thermostat never switches off",
}
#: A heater below the first share of its usual power is off, one above the second works.
OFF, WORKS = 0.05, 0.75
#: What gets less than this when all is sound is not at work in this position.
LEAST_WATTS = 1.0
#: Records are told apart by kelvins somewhere on the curve, or by this share of the current.
TOLD_KELVIN, TOLD_AMPS = 6.0, 0.06
#: A thermostat this far out shows (K).
SHOWS = 12.0


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the record says, and the reason in this record's figures."""

    says: str
    because: str


def judge(shown: Sheet) -> Verdict | None:
    """What a record says of the appliance, None where it says nothing that is listed."""
    says = _says(shown)
    return None if says is None else Verdict(says, _because(says, shown))


def candidates(setting: Setting) -> dict[str, list[tuple[str, ...]]]:
    """The single faults (and none) that show in a record made like this, by what it would say."""
    found: dict[str, list[tuple[str, ...]]] = {}
    for faults in ((), *((f.id,) for f in setting.appliance.faults if f.kind is not FaultKind.USER_SETTING)):
        try:
            says = _says(sheet(setting, faults))
        except UsageError:
            continue
        if says is not None and (faults or says == "sound"):
            found.setdefault(says, []).append(faults)
    return found


def _says(shown: Sheet) -> str | None:
    appliance = shown.setting.appliance
    faults = [appliance.fault(f) for f in shown.faults]
    facts = describe(shown.record)
    usual, here = shown.sound_heating.watts, shown.heating.watts
    if sum(here.values()) < OFF * sum(usual.values()):
        return None
    works = {name: here[name] / power for name, power in usual.items() if power > LEAST_WATTS}
    said: str | None = None
    if any(f.volts for f in faults):
        said = "low-supply"
    elif len(works) > 1 and min(works.values()) < OFF and max(works.values()) > 0.95:
        said = "heater-open"
    elif any(abs(f.offset) >= SHOWS for f in faults):
        said = "calibration"
    elif shown.record.thermostat is not None and shown.record.thermostat.stuck == "closed":
        said = "welded"
    elif facts.trips and shown.heating.fan != shown.sound_heating.fan:
        said = "cut-out"
    elif not faults:
        return "sound"
    return said if said and _differs(shown) else None


def _differs(shown: Sheet) -> bool:
    """Whether the record can be told from that of the sound appliance."""
    a, b = shown.record, shown.sound
    kelvin = float(np.abs(a.node(a.main) - b.node(b.main)).max())
    usual = shown.sound_heating.amps
    return kelvin >= TOLD_KELVIN or abs(shown.heating.amps - usual) >= TOLD_AMPS * usual


def _because(says: str, shown: Sheet) -> str:
    facts = describe(shown.record)
    set_to = f"{facts.set_point:g} °C" if facts.set_point is not None else ""
    amps = f"{shown.heating.amps:.1f} A where a sound one takes {shown.sound_heating.amps:.1f} A"
    spans = on_spans(shown.record)
    if says == "sound":
        holds = f" and holds {facts.plateau:.0f} °C for a setting of {set_to}" if set_to and facts.cycles else ""
        return f"It takes the current it should ({amps}), warms up in the usual time{holds}: nothing is wrong here."
    if says == "heater-open":
        gone, left = _gone(shown)
        ratio = shown.heating.amps / shown.sound_heating.amps
        return (
            f"It takes {amps}, {percent(ratio)} of the usual current, which is what is left when the {gone} gives "
            f"nothing and only the {left} {'work' if ' and ' in left else 'works'}. {_course(facts)}"
        )
    if says == "calibration":
        held = facts.plateau if facts.cycles > 1 else _main_at(shown, spans[0][1])
        off = held - (facts.set_point or 0.0)
        how = (
            f"The heaters first go off at {spans[0][1]:.1f} min, and from then on it holds about {held:.0f} °C"
            if facts.cycles > 1
            else f"The heaters go off at {spans[0][1]:.1f} min, when it is at {held:.0f} °C"
        )
        return (
            f"It takes the current it should ({amps}), so the heaters are sound. {how}, where it is set to {set_to}: "
            f"the thermostat switches about {abs(off):.0f} K too {'low' if off < 0 else 'high'}."
        )
    if says == "low-supply":
        ratio = shown.heating.amps / shown.sound_heating.amps
        rival = (
            f"a heater out would leave {_without_one(shown)}"
            if _several(shown)
            else "there is only one heater here, and with it out next to nothing would flow"
        )
        return (
            f"It takes {amps}, {percent(ratio)} of the usual current; {rival}. With every heater in, the current goes "
            f"down in proportion to the voltage and the power with its square, here to {percent(ratio**2)}, so it "
            f"warms up slowly. {_course(facts)}"
        )
    if says == "welded":
        end = (
            f"until a cut-out steps in at {spans[0][1]:.0f} min"
            if facts.trips
            else "and the heaters are on to the end of the record"
        )
        top = f"{facts.hottest:.0f} °C"
        return f"It takes the current it should, passes its setting of {set_to} and goes on to {top}, {end}."
    return (
        f"It takes the current it should ({amps}), yet the heaters first go off at {spans[0][1]:.1f} min, when the air "
        f"is only at {_main_at(shown, spans[0][1]):.0f} °C, far below the setting of {set_to}, and again at "
        f"{_main_at(shown, spans[1][1]):.0f} °C. A thermostat would switch at the same temperature each time: this is "
        "a cut-out, and the heat stays where it sits because the air does not carry it off."
    )


def _course(facts: Facts) -> str:
    if facts.set_point is not None and not facts.reached_set_point:
        return f"It never comes to its setting of {facts.set_point:g} °C."
    if facts.time_to_set_point is not None:
        return f"It needs {facts.time_to_set_point / 60.0:.0f} min to its setting and then still holds it."
    return ""


def _gone(shown: Sheet) -> tuple[str, str]:
    usual, here = shown.sound_heating.watts, shown.heating.watts
    gone = [n for n, power in usual.items() if power > LEAST_WATTS and here[n] < OFF * power]
    left = [n for n, power in usual.items() if power > LEAST_WATTS and n not in gone]
    return " and ".join(f"{n} heater" for n in gone), " and ".join(f"{n} heater" for n in left)


def _main_at(shown: Sheet, minute: float) -> float:
    record = shown.record
    return float(np.interp(minute * 60.0, record.times, record.node(record.main)))


def percent(share: float) -> str:
    """A share as a reader sees it: ``79 %``."""
    return f"{100.0 * share:.0f} %"


# ---------------------------------------------------------------- the options


def verdict_field(
    library: Library, verdict: Verdict, shown: Sheet, rng: random.Random
) -> tuple[Field, tuple[Slip, ...]]:
    """The choice of what the record says, and its slips; Unfit where another option fits the record as well."""
    others = _others(shown, verdict)
    if len(others) < 3:
        raise Unfit("too few other things could be wrong here")
    options = [
        Option(says, SAYS[says], verdict.because if says == verdict.says else _against(says, shown))
        for says in (verdict.says, *others)
    ]
    field = choice_field("says", "What the record says", shuffled(options, rng), verdict.says, marks=3.0)
    wrong = [w for w in _wrong(verdict.says, shown) if w.option in others]
    return field, option_slips(library, field, wrong)


def _others(shown: Sheet, verdict: Verdict) -> list[str]:
    """What else could be said of such an appliance, each told from this record."""
    could = candidates(shown.setting)
    for says, sets in could.items():
        if says == verdict.says:
            continue
        for faults in sets:
            other = sheet(shown.setting, faults)
            kelvin = float(np.abs(other.record.node(other.record.main) - shown.record.node(shown.record.main)).max())
            amps = abs(other.heating.amps - shown.heating.amps) / shown.sound_heating.amps
            if kelvin < TOLD_KELVIN and amps < TOLD_AMPS:
                raise Unfit(f"the record of '{says}' looks like this one")
    found = [says for says in SAYS if says in could and says != verdict.says]
    for says in SAYS:
        fits = says != verdict.says and says not in found and (says not in ("heater-open",) or _several(shown))
        if len(found) < 4 and fits and (says not in ("calibration", "welded") or shown.record.thermostat is not None):
            found.append(says)
    return found


def _several(shown: Sheet) -> bool:
    return sum(power > LEAST_WATTS for power in shown.sound_heating.watts.values()) > 1


def _against(says: str, shown: Sheet) -> str:
    """Why a record does not say that, in its own figures."""
    facts = describe(shown.record)
    amps, usual = shown.heating.amps, shown.sound_heating.amps
    is_usual = abs(amps - usual) < TOLD_AMPS * usual
    cycles = bool(facts.cycles)
    if says == "sound":
        if not is_usual:
            return f"It takes {amps:.1f} A, and a sound one {usual:.1f} A."
        return f"It comes to {facts.plateau:.0f} °C for a setting of {facts.set_point:g} °C."
    if says == "heater-open":
        if is_usual:
            return f"It takes {amps:.1f} A, as a sound one does: with a heater out it would take clearly less."
        return f"Without one heater the current would be {_without_one(shown)}, not {amps:.1f} A."
    spans = on_spans(shown.record)
    never_off = len(spans) == 1 and spans[0][1] * 60.0 > float(shown.record.times[-1]) - 1.0
    if says == "calibration":
        if never_off:
            return "The heaters are on the whole time: no thermostat has switched anything off."
        if facts.trips:
            return "The temperature at which the heaters go off is not the same each time, as a thermostat's would be."
        return f"The heaters go off when it comes to about {facts.set_point:g} °C, which is its setting."
    if says == "cut-out":
        if never_off:
            return "Nothing goes off before the end: no cut-out has opened."
        if not cycles:
            return f"The heaters go off once, at {_main_at(shown, spans[0][1]):.0f} °C, and not time and again."
        return "It switches at the same temperature each time, as a thermostat does."
    if says == "low-supply":
        if is_usual:
            return f"It takes {amps:.1f} A, as a sound one does at its full voltage."
        return (
            f"{amps:.1f} A of {usual:.1f} A would mean a supply at {percent(amps / usual)} of its voltage, and it is "
            "what one heater less leaves."
        )
    if cycles:
        return "The heaters do go off, time and again."
    if not never_off:
        return f"The heaters do go off, at {spans[0][1]:.1f} min."
    return f"It never passes its setting: the hottest is {facts.hottest:.0f} °C."


def _without_one(shown: Sheet) -> str:
    watts = {n: p for n, p in shown.sound_heating.watts.items() if p > 0}
    whole = sum(watts.values())
    left = sorted({f"{shown.sound_heating.amps * (1 - p / whole):.1f} A" for p in watts.values()})
    return " or ".join(left)


def _wrong(says: str, shown: Sheet) -> Sequence[WrongOption]:
    """Which slip leads to which option, with this record's figures."""
    facts = describe(shown.record)
    amps, usual = f"{shown.heating.amps:.1f} A", f"{shown.sound_heating.amps:.1f} A"
    held, set_to = (
        f"{facts.plateau:.0f} °C",
        f"{facts.set_point:g} °C" if facts.set_point is not None else "its setting",
    )
    spans = on_spans(shown.record)
    on_all = f"It takes {amps}, not {usual}." if facts.cycles else f"The heaters never go off: {amps} of {usual}."
    if says == "sound":
        return (
            WrongOption("cycling-for-fault", "cut-out", f"The switching about {set_to} is the thermostat at work."),
            WrongOption(
                "overshoot-for-plateau",
                "calibration",
                f"The first peak, {facts.hottest:.0f} °C, is an overshoot; after it the swings lie about {held}.",
            ),
            WrongOption("usual-suspect", "heater-open", f"It takes {amps}: both heaters are at work."),
        )
    if says == "calibration":
        return (
            WrongOption("set-point-for-plateau", "sound", f"It is set to {set_to} and holds {held}."),
            WrongOption("usual-suspect", "heater-open", f"It takes {amps}, all its heaters are at work."),
            WrongOption("cycling-for-fault", "cut-out", f"It goes off and on about {held} each time alike."),
        )
    if says == "heater-open":
        sound = "power-unread" if facts.reached_set_point else "set-point-for-plateau"
        here = (
            f"It does hold {held}, but it takes {amps} where a sound one takes {usual}."
            if facts.reached_set_point
            else f"It is set to {set_to} and comes to {held}."
        )
        return (
            WrongOption(sound, "sound", here),
            WrongOption("thermostat-blamed", "calibration", on_all),
        )
    if says == "low-supply":
        return (
            WrongOption("power-unread", "sound", f"It takes {amps} where a sound one takes {usual}."),
            WrongOption(
                "usual-suspect",
                "heater-open",
                f"Without a heater the current would be {_without_one(shown)}, not {amps}.",
            ),
            WrongOption("thermostat-blamed", "calibration", f"It is slow because it takes {amps} and not {usual}."),
        )
    if says == "welded":
        return (
            WrongOption(
                "set-point-for-plateau", "sound", f"It is set to {set_to} and goes on to {facts.hottest:.0f} °C."
            ),
        )
    return (
        WrongOption("set-point-for-plateau", "sound", f"It is set to {set_to} and comes to {held}."),
        WrongOption(
            "trip-for-cycling",
            "calibration",
            f"The heaters first go off with the air at {_main_at(shown, spans[0][1]):.0f} °C and then at "
            f"{_main_at(shown, spans[1][1]):.0f} °C: not at one temperature.",
        ),
        WrongOption("usual-suspect", "heater-open", f"It takes {amps}, as a sound one does."),
    )

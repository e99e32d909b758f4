"""The tables of healthy readings on a preview page."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from probebook.appliances import Appliance, State
from probebook.appliances.energised_states import working
from probebook.appliances.naming import load_noun
from probebook.diagnosis.places import rest
from probebook.meters import Function
from probebook.words import Phrase, Words
from probebook.workbook.markup import safe
from probebook.workbook.preview import facts as told
from probebook.workbook.preview.page import heads, table
from probebook.workbook.preview.parts import loads_of, watts_words
from probebook.workbook.preview.readings import Healthy, healthy_readings, meter_of

if TYPE_CHECKING:
    from probebook.cases.library import Library
    from probebook.words import Noun

__all__ = ["readings_html"]

#: Less than this is nothing, in watts.
NOTHING = 0.5


def readings_html(appliance: Appliance, library: Library) -> str:
    """The tables of healthy readings."""
    readings = healthy_readings(appliance, library)
    ohms = [r for r in readings if r.function is Function.OHMS]
    insulation = [r for r in readings if r.function is Function.INSULATION]
    earths = [r for r in readings if r.function is Function.CONTINUITY]
    parts = [
        _loads(appliance, library, [r for r in ohms if r.about]),
        _whole(appliance, library, [r for r in ohms if not r.about]),
        *([_insulation(appliance, library, insulation)] if insulation else []),
        *([_earths(appliance, library, earths)] if earths else []),
    ]
    return "\n".join(parts)


def _meter(library: Library, function: Function) -> Noun:
    return library.words.noun(meter_of(library, function).title)


def _loads(appliance: Appliance, library: Library, readings: Sequence[Healthy]) -> str:
    words = library.words
    rated = {load.name: load.watts for load in loads_of(appliance)}
    still = appliance.position(rest(appliance)).title
    return table(
        words.say(told.LoadsRead(still, _meter(library, Function.OHMS)), "loads"),
        heads(words, told.ReadingHeads(), "load", "probes", "#rating", "wires-off", "#alone", "#as-wired"),
        (
            [
                safe(str(load_noun(words, appliance, alone.about))),
                _pair(alone.probes),
                watts_words(rated[alone.about], words),
                safe(_wires(alone, words)),
                safe(alone.display),
                safe(wired.display),
            ]
            for alone, wired in zip(readings[::2], readings[1::2], strict=True)
        ),
    )


def _whole(appliance: Appliance, library: Library, readings: Sequence[Healthy]) -> str:
    words = library.words
    names = [position.name for position in appliance.positions]
    watts = dict(zip(names, working(appliance, [State(name) for name in names]).total_watts.tolist(), strict=True))
    return table(
        words.say(told.MeterUsed(_meter(library, Function.OHMS)), "whole-lines" if appliance.other_lines else "whole"),
        heads(words, told.ReadingHeads(), "position", "probes", "#shows", "#draws", "works"),
        (
            [
                safe(appliance.position(r.position).title),
                _pair(r.probes),
                safe(r.display),
                safe(_drawn(watts[r.position], words)),
                safe(_works(appliance, r.position, words)),
            ]
            for r in readings
        ),
    )


def _insulation(appliance: Appliance, library: Library, readings: Sequence[Healthy]) -> str:
    words = library.words
    facts = told.InsulationRead(appliance.region.test_volts, _meter(library, Function.INSULATION))
    return table(
        words.say(facts, "insulation"),
        heads(words, told.ReadingHeads(), "what", "probes", "controls", "wires-off", "#shows"),
        (
            [
                safe(_insulated(appliance, r, words)),
                _pair(r.probes),
                safe(appliance.position(r.position).title),
                safe(_wires(r, words)),
                safe(r.display),
            ]
            for r in readings
        ),
    )


def _earths(appliance: Appliance, library: Library, readings: Sequence[Healthy]) -> str:
    words = library.words
    return table(
        words.say(told.MeterUsed(_meter(library, Function.CONTINUITY)), "earths"),
        heads(words, told.ReadingHeads(), "metalwork", "probes", "#shows"),
        ([safe(appliance.part(r.about).title), _pair(r.probes), safe(r.display)] for r in readings),
    )


def _wires(reading: Healthy, words: Words) -> Phrase:
    if not reading.lifted:
        return words.say(told.PageTexts(), "none")
    return words.say(told.WiresOff(reading.lifted), "wires")


def _drawn(watts: float, words: Words) -> Phrase:
    if watts < NOTHING:
        return words.say(told.ReadingHeads(), "nothing-drawn")
    return words.say(told.Drawn(watts), "watts-drawn")


def _works(appliance: Appliance, position: str, words: Words) -> Phrase:
    loads = tuple(load_noun(words, appliance, name) for name in appliance.position(position).heats)
    return words.say(told.Working(loads), "working") if loads else words.say(told.PageTexts(), "none")


def _insulated(appliance: Appliance, reading: Healthy, words: Words) -> Phrase:
    if reading.about:
        return words.say(told.LoadAlone(load_noun(words, appliance, reading.about)), "load-alone")
    key = "neutral-to-earth" if reading.probes[0] == appliance.neutral else "line-to-earth"
    return words.say(told.ReadingHeads(), key)


def _pair(probes: tuple[str, str]) -> str:
    return f'<span class="keep">{safe(probes[0])} – {safe(probes[1])}</span>'

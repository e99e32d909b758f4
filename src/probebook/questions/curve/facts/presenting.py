"""How a record is presented: how it was taken, its readings as a table and as a picture."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated

from probebook.appliances import Branch, BranchKind
from probebook.heating.plots import record_svg
from probebook.heating.record import HeatRecord
from probebook.questions import situation_words as sw
from probebook.questions.curve.facts.record import HeatUp, on_spans, other, rows_at, values_at
from probebook.words import Facts, Noun, Phrase, Words

__all__ = ["record_picture", "record_table", "record_taken"]

#: Spans of heating told at the beginning and at the end of a long list.
SPANS = 5

# ---------------------------------------------------------------- how it was taken


@dataclass(frozen=True)
class TakenFacts(
    Facts,
    group="questions/curve/taken",
    says=("owner", "switched-on", "switched-on-thermostat", "heaters", "amps", "amps-usual"),
):
    """How the appliance was set, what heats in this position, and the current that was measured."""

    appliance: Noun
    position: Noun
    set_point: Annotated[float, "degC"]
    room: Annotated[float, "degC"]
    ratings: tuple[Phrase, ...]
    volts: Annotated[float, "V"]
    amps: Annotated[float, "A"]
    usual_amps: Annotated[float, "A"]


@dataclass(frozen=True)
class RatingFacts(Facts, group="questions/curve/taken", says=("rating", "rating-place")):
    """A heater, its place and its rating."""

    watts: Annotated[float, "W"]
    part: Noun
    place: Noun


def record_taken(words: Words, shown: HeatUp, *, usual: bool, owner: bool = False) -> Phrase:
    """How the record was taken: position, setting, room, ratings, current.

    ``usual`` gives the current of a sound one as well; to an ``owner`` it is told as the record of somebody else.
    """
    setting, appliance = shown.setting, shown.setting.appliance
    position = appliance.position(setting.position)
    knob = shown.record.thermostat
    facts = TakenFacts(
        appliance=words.noun(appliance.title),
        position=words.noun(position.title),
        set_point=knob.set_point if knob else 0.0,
        room=setting.ambient,
        ratings=tuple(
            _rating(words, shown, b)
            for b in appliance.branches
            if b.kind is BranchKind.ELEMENT and b.name in position.heats
        ),
        volts=appliance.plate.volts,
        amps=shown.heating.amps,
        usual_amps=shown.sound_heating.amps,
    )
    keys = ["owner"] if owner else []
    keys += ["switched-on-thermostat" if knob else "switched-on", "heaters"]
    if on_spans(shown.record):
        keys.append("amps-usual" if usual else "amps")
    return sw.together(*(words.say(facts, key) for key in keys))


def _rating(words: Words, shown: HeatUp, branch: Branch) -> Phrase:
    part = words.noun(shown.setting.appliance.part(branch.part).short)
    place = words.noun(branch.place)
    named = branch.place != "element" and place.text not in part.text
    return words.say(RatingFacts(branch.watts, part, place), "rating-place" if named else "rating")


# ---------------------------------------------------------------- the table


@dataclass(frozen=True)
class ColumnFacts(
    Facts,
    group="questions/curve/table",
    says=("column.minutes", "column.air", "column.wall", "column.water", "column.core", "column.inside"),
):
    """The head of a column."""


@dataclass(frozen=True)
class RowFacts(Facts, group="questions/curve/table", says=("row",)):
    """A row: the minute and the temperatures at it."""

    minute: Annotated[float, "min"]
    celsius: tuple[Annotated[float, "degC"], ...]


@dataclass(frozen=True)
class SpanFacts(Facts, group="questions/curve/table", says=("span", "span-to-end")):
    """When the heaters were on: from and to."""

    since: Annotated[float, "min"]
    until: Annotated[float, "min"]


@dataclass(frozen=True)
class SpansFacts(Facts, group="questions/curve/table", says=("never-on", "always-on", "on")):
    """When the heaters were on, and the end of the record."""

    spans: tuple[Phrase, ...]
    end: Annotated[float, "min"]


def record_table(words: Words, record: HeatRecord) -> Phrase:
    """The readings as a Markdown table, and when the heaters were on."""
    names = [record.main, *([other(record)] if other(record) else [])]
    minutes = rows_at(record)
    values = [values_at(record, minutes, name) for name in names]
    heads = [words.say(ColumnFacts(), f"column.{name}") for name in ("minutes", *names)]
    lines = [
        f"| {' | '.join(heads)} |",
        "|" + " ---: |" * len(heads),
        *(words.say(RowFacts(m, tuple(v[i] for v in values)), "row") for i, m in enumerate(minutes)),
    ]
    return Phrase("\n".join(lines) + "\n\n" + _spans(words, record))


def _spans(words: Words, record: HeatRecord) -> Phrase:
    spans, end = on_spans(record), float(record.times[-1]) / 60.0
    if not spans:
        return words.say(SpansFacts((), end), "never-on")
    last = end - 0.01
    if len(spans) == 1 and spans[0][1] > last:
        return words.say(SpansFacts((), end), "always-on")
    told = [words.say(SpanFacts(a, b), "span-to-end" if b > last else "span") for a, b in spans]
    if len(told) > 2 * SPANS:
        told = [*told[:SPANS], Phrase("…"), *told[-SPANS:]]
    return words.say(SpansFacts(tuple(told), end), "on")


# ---------------------------------------------------------------- the picture


@dataclass(frozen=True)
class PictureFacts(Facts, group="questions/curve/picture", says=("title", "description")):
    """The picture of the record of an appliance."""

    appliance: Noun


def record_picture(words: Words, shown: HeatUp, name: str) -> tuple[str, str]:
    """The record as (file name, SVG); the description sends a reader to the table, which tells no more and no less."""
    facts = PictureFacts(words.noun(shown.setting.appliance.title))
    nodes = tuple(n for n in (shown.record.main, other(shown.record)) if n)
    svg = record_svg(words, shown.record, title=words.say(facts, "title"), nodes=nodes, contacts=False)
    said = f"<desc>{words.say(facts, 'description')}</desc>"
    return f"{name}.svg", re.sub(r"<desc>.*?</desc>", lambda _: said, svg, count=1, flags=re.DOTALL)

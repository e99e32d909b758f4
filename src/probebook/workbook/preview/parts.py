"""The tables of parts and of loads."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping

from probebook.appliances import Appliance, Branch, BranchKind, Part
from probebook.appliances.model import LOADS
from probebook.appliances.naming import load_noun
from probebook.words import Facts, Phrase, Words
from probebook.workbook.markup import safe
from probebook.workbook.preview import facts as told
from probebook.workbook.preview.page import heads, table

__all__ = ["loads_of", "ohms_words", "parts_html", "watts_words"]

#: Loads of whose ohms a reader may take something wrongly.
NOTED = (BranchKind.LAMP, BranchKind.MOTOR, BranchKind.NEON, BranchKind.COIL)


def parts_html(appliance: Appliance, words: Words) -> str:
    """The parts list, the loads with their ratings, and what their ohms do not tell."""
    texts = told.PartsTexts()
    parts = table(
        words.say(texts, "caption"),
        heads(words, texts, "mark", "part", "kind", "terminals", "behind", "figures"),
        (_part(part, words) for part in appliance.parts),
    )
    plain = told.LoadsFacts(appliance.plate.volts)
    rating = ["#rating", "#rated-for"] if appliance.other_lines else ["#rating"]
    loads = table(
        words.say(told.LoadsTexts(), "caption-lines") if appliance.other_lines else words.say(plain, "caption"),
        heads(words, told.LoadsTexts(), "load", "mark", "heats", *rating, "#cold", "#at-work", "#tolerance"),
        (_load(appliance, load, words) for load in loads_of(appliance)),
    )
    kinds = {load.kind for load in loads_of(appliance)}
    notes = [words.say(told.LoadNotes(), f"{kind}-note") for kind in NOTED if kind in kinds]
    return parts + loads + "".join(f"<p>{safe(text)}</p>" for text in notes)


def _part(part: Part, words: Words) -> list[str]:
    none = words.say(told.PageTexts(), "none")
    return [
        safe(part.mark),
        safe(part.title),
        safe(words.say(told.KindFacts(part.kind), "kind-cell")),
        safe(", ".join(name.partition(".")[2] for name in part.terminals)),
        safe(str(words.noun(part.cover)) if part.cover else none),
        safe("; ".join(_figures(part, words)) or none),
    ]


def _load(appliance: Appliance, load: Branch, words: Words) -> list[str]:
    none = words.say(told.PageTexts(), "none")
    tolerance = words.say(told.ToleranceFacts(load.tolerance * 100), "tolerance") if load.tolerance else none
    return [
        safe(str(load_noun(words, appliance, load.name))),
        safe(load.name),
        safe(str(words.noun(load.place)) if load.place else none),
        watts_words(load.watts, words),
        *([_rated_for(appliance, load, words)] if appliance.other_lines else []),
        safe(ohms_words(load.cold_ohms, words)),
        safe(ohms_words(load.hot_ohms, words)),
        safe(tolerance),
    ]


def _rated_for(appliance: Appliance, load: Branch, words: Words) -> str:
    """The volts that a load of a three-phase appliance is rated for; a dash where it has no rating."""
    volts = appliance.rated_volts(load, appliance.plate.volts)
    return safe(words.say(told.VoltsFacts(volts), "volts") if load.watts else words.say(told.PageTexts(), "none"))


def _figures(part: Part, words: Words) -> Iterator[Phrase]:
    order = list(_FIGURES)
    for key, value in sorted(part.facts, key=lambda fact: order.index(fact[0])):
        yield words.say(_FIGURES[key](value, words), key.replace("_", "-"))


def _celsius(value: float | str, words: Words) -> Facts:
    del words
    return told.CelsiusFigure(float(value) - 273.15)


def _noun(value: float | str, words: Words) -> Facts:
    return told.NounFigure(words.noun(str(value)))


#: Figures of a part in reading order, and the facts each is told by; temperatures are kelvins in the record.
_FIGURES: Mapping[str, Callable[[float | str, Words], Facts]] = {
    "rating": lambda value, _: told.AmpsFigure(float(value)),
    "minimum": _celsius,
    "maximum": _celsius,
    "differential": lambda value, _: told.KelvinFigure(float(value)),
    "opens_at": _celsius,
    "closes_at": _celsius,
    "reset": _noun,
    "senses": _noun,
    "alloy": lambda value, _: told.TextFigure(str(value)),
    "tolerance": lambda value, _: told.PercentFigure(100 * float(value)),
    "working": _celsius,
    "pulls_in": lambda value, _: told.VoltsFigure(float(value)),
}


def loads_of(appliance: Appliance) -> list[Branch]:
    """The branches that take power, in the order of the file."""
    return [branch for branch in appliance.branches if branch.kind in (*LOADS, BranchKind.COIL)]


def watts_words(value: float, words: Words) -> str:
    """A rating as it is printed; a dash for none."""
    return safe(words.say(told.WattsFacts(value), "watts") if value else words.say(told.PageTexts(), "none"))


def ohms_words(value: float, words: Words) -> Phrase:
    """A resistance as it is printed; 'open' for one without end."""
    return words.say(told.CellTexts(), "open") if math.isinf(value) else words.say(told.OhmsFacts(value), "ohms")

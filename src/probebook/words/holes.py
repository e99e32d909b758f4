"""Holes: what kind of thing a fact is, as its class declares it, and whether a way of saying suits it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from datetime import date
from difflib import get_close_matches
from enum import Enum
from functools import cache
from typing import Annotated, Any, Literal, get_args, get_origin, get_type_hints

from probebook.unit_table import PREFIX_LETTERS, UNITS, find_unit
from probebook.words.facts import Facts, Phrase
from probebook.words.language import Language
from probebook.words.nouns import Noun
from probebook.words.ways import WAYS, ArgumentsError, choice_key, make_way

__all__ = ["Hole", "fault_of_ways", "holes_of", "unit_after"]

#: Ways that print a bare number, so that the text writes the unit.
BARE = frozenset(("g", "sig", "fixed", "comma", "spaced"))
_LISTING = frozenset(("list", "either", "commas", "join"))
_SI_OF = {
    "minute": "second", "hour": "second", "watt_hour": "joule", "gram": "kilogram", "percent": "ratio",
    "celsius": "kelvin", "square_millimetre": "square_metre", "ohm_per_kilometre": "ohm_per_metre",
    "ohm_square_millimetre_per_metre": "ohm_metre",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Hole:
    """What may be put into a hole.

    Attributes
    ----------
    kind
        'number', 'count', 'text', 'thing', 'choice' or 'date'.
    unit
        Of a number, as the class writes it.
    keys
        Of a choice: what may be chosen, as a template names it.
    many
        Whether it is a tuple of these.
    """

    kind: str
    unit: str = ""
    keys: tuple[str, ...] = ()
    many: bool = False


def holes_of(cls: type[Facts]) -> dict[str, Hole]:
    """Return the facts of a class by name.

    Raises
    ------
    TypeError
        A field has a type that no hole can take; the message names it.
    """
    kind: Any = cls  # a class of facts can be a key, which its base does not say
    return _holes(kind)


@cache
def _holes(cls: Any) -> dict[str, Hole]:
    if not hasattr(cls, "__dataclass_fields__"):
        raise TypeError(f"{cls.__qualname__} is no dataclass")
    hints = get_type_hints(cls, include_extras=True)
    return {field.name: _hole(hints[field.name], f"{cls.__qualname__}.{field.name}") for field in fields(cls)}


def _hole(hint: Any, name: str) -> Hole:
    origin = get_origin(hint)
    if origin is Annotated:
        inner, *notes = get_args(hint)
        return replace(_hole(inner, name), unit=_unit(notes, name))
    if origin is tuple:
        return replace(_hole(get_args(hint)[0], name), many=True)
    if origin is Literal:
        return Hole("choice", keys=tuple(choice_key(value) for value in get_args(hint)))
    if hint in _PLAIN:
        return _PLAIN[hint]
    found = _by_class(hint) if isinstance(hint, type) else None
    if found is None:
        raise TypeError(f"{name} is of a type that no sentence can say")
    return found


_PLAIN = {
    Phrase: Hole("text"),
    str: Hole("text"),
    bool: Hole("choice", keys=("yes", "no")),
    float: Hole("number"),
    int: Hole("count"),
}


def _unit(notes: Sequence[Any], name: str) -> str:
    unit = next((note for note in notes if isinstance(note, str)), "")
    if unit == "1":  # a plain ratio
        return ""
    if unit and find_unit(unit) is None:
        raise TypeError(f"{name} is in '{unit}', which is no unit")
    return unit


def _by_class(hint: type) -> Hole | None:
    if issubclass(hint, Enum):
        return Hole("choice", keys=tuple(choice_key(member.value) for member in hint))
    kinds = ((Noun, "thing"), (date, "date"), (str, "text"))
    return next((Hole(kind) for base, kind in kinds if issubclass(hint, base)), None)


def fault_of_ways(name: str, hole: Hole, ways: Sequence[Any], language: Language) -> tuple[str, str] | None:
    """Return what is wrong with saying a fact in these ways, and the remedy; None when nothing is."""
    now = hole
    for way_name, args, named in ways:
        way = WAYS.get(way_name)
        if way is None:
            near = get_close_matches(way_name, WAYS, n=1)
            hint = f"did you mean '{near[0]}'" if near else f"the ways are {', '.join(sorted(WAYS))}"
            return f"there is no way '{way_name}' to say a fact", hint
        kind = "many" if now.many and way.whole else now.kind
        if kind not in way.takes:
            return f"the way '{way_name}' does not suit '{name}', which is {_described(now)}", _suited(now)
        if now.many and way_name in _LISTING and now.kind not in ("text", "thing", "count"):
            return f"'{name}' is {_described(now)}, whose items must be said first", _suited(replace(now, many=False))
        try:
            make_way(language, way_name, tuple(args), dict(named))
        except ArgumentsError as error:
            return f"the way '{way_name}' of '{name}': {error}", f"write {_example(way_name)}"
        fault = _fault_of_choice(name, now, way_name, named) or _fault_of_unit(name, now, way_name, args)
        if fault:
            return fault
        now = Hole("text", many=now.many and not way.whole)
    if now.many:
        return f"'{name}' is a list and is not said as one", f"write {{{{ {name}|list }}}} or another way for lists"
    if now.kind not in ("text", "thing", "count"):
        return f"'{name}' is {_described(now)} and no way is named to say it", _suited(now)
    return None


def _described(hole: Hole) -> str:
    names = {
        "number": f"a number in {hole.unit}" if hole.unit else "a number",
        "count": "a whole number",
        "text": "text",
        "thing": "a noun",
        "choice": f"one of {', '.join(hole.keys)}",
        "date": "a date",
    }
    return f"a list of items, each {names[hole.kind]}" if hole.many else names[hole.kind]


def _suited(hole: Hole) -> str:
    kind = "many" if hole.many else hole.kind
    return f"ways that suit it are {', '.join(sorted(w.name for w in WAYS.values() if kind in w.takes))}"


def _example(way: str) -> str:
    return {
        "sig": "sig(3)", "fixed": "fixed(1)", "quantity": "quantity('W', 3)", "join": "join(' + ')",
        "each": "each('**', '**')", "plural": "plural(one='...', other='...')", "choose": "choose(key='...')",
        "form": "form('genitive')", "gender": "gender(m='...', f='...')",
    }.get(way, way)  # fmt: skip


def _fault_of_choice(name: str, hole: Hole, way: str, named: dict[str, Any]) -> tuple[str, str] | None:
    if way != "choose":
        return None
    missing = [key for key in hole.keys if key not in named]
    extra = [key for key in named if key not in hole.keys]
    if missing:
        return f"'{name}' may be '{missing[0]}', for which no text is given", f"add {missing[0]}='...' to choose"
    if extra:
        return f"'{name}' is never '{extra[0]}'", f"it may be {', '.join(hole.keys)}"
    return None


def _fault_of_unit(name: str, hole: Hole, way: str, args: Sequence[Any]) -> tuple[str, str] | None:
    shown = {"ohms": "ohm", "watts": "W", "rating": "W"}.get(way, args[0] if way in ("quantity", "plain") else "")
    if not shown or hole.kind != "number":
        return None
    own, wanted = find_unit(hole.unit) if hole.unit else None, find_unit(shown)
    own_name = own[1].name if own else "ratio"
    if own and own[0]:
        own_name = ""  # a prefixed unit is not SI, and these ways take SI
    if wanted and own_name == _SI_OF.get(wanted[1].name, wanted[1].name):
        return None
    return f"'{name}' is {_described(hole)} and cannot be shown in {shown}", "show it in a unit of its own kind"


_SYMBOLS = {row.symbol for row in UNITS if row.symbol}
_SYMBOLS |= {f"{letter}{row.symbol}" for row in UNITS if row.takes_prefix for letter in PREFIX_LETTERS}
_SYMBOLS |= {word for row in UNITS for word in row.spellings.split() if len(word) > 2}


def unit_after(text: str) -> str:
    """Return the unit that a text begins with, behind one blank at most; empty where it begins with none."""
    token = ""
    for letter in text[1:] if text[:1] in (" ", "\N{NO-BREAK SPACE}", "\N{NARROW NO-BREAK SPACE}") else text:
        if letter.isspace() or letter in ",.;:!?()[]*|–—=…’”\"'":
            break
        token += letter
    return token if token in _SYMBOLS else ""

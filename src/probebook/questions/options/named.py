"""Options of a question name things: forms, positions, parts, faults ... A name that nothing has is refused at once."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from importlib import import_module
from typing import TYPE_CHECKING

from probebook.errors import ScenarioError, choose_one
from probebook.questions.model import Kind

if TYPE_CHECKING:
    from probebook.appliances import Appliance
    from probebook.cases.library import Library
    from probebook.questions.frame import Ask

__all__ = ["check_options", "options_of"]

Names = Callable[["Ask", "Library", "Appliance"], Iterable[str]]

#: Options that are no names, and what they are.
PLAIN: Mapping[str, tuple[type | tuple[type, ...], str]] = {
    "after": ((int, float), "a number"),
    "judge": (bool, "true or false"),
    "steady": (bool, "true or false"),
}


def options_of(kind: Kind) -> tuple[str, ...]:
    """The keys that a plan may give a kind of question under ``options``."""
    options: tuple[str, ...] = import_module(f"probebook.questions.{kind.replace('-', '_')}").OPTIONS
    return options


def check_options(ask: Ask, library: Library) -> None:
    """Refuse an option that the kind does not read, or that names what there is not.

    Raises
    ------
    ScenarioError
        ``where`` is the key (``options.part``), the remedy names the nearest.
    UsageError
        There is no such appliance.
    """
    known, shared = options_of(ask.kind), options_of_case(ask)
    appliance = library.appliance(ask.case.appliance if ask.case else ask.appliance)
    for key, value in ask.options.items():
        where = f"options.{key}"
        if key not in known:
            if key in shared:
                continue
            raise ScenarioError(
                f"no question here has the option '{key}'",
                where=where,
                remedy=choose_one(key, known) if known else None,
            )
        if key in PLAIN:
            kind, what = PLAIN[key]
            if not isinstance(value, kind) or (isinstance(value, bool) and kind is not bool):
                raise ScenarioError(f"{value!r} is the wrong kind of value", where=where, remedy=f"write {what}")
            continue
        if not isinstance(value, str):
            raise ScenarioError(
                f"{value!r} is the wrong kind of value", where=where, remedy="write text in quotation marks"
            )
        names = tuple(dict.fromkeys(_NAMES[key](ask, library, appliance))) if key in _NAMES else (value,)
        if value not in names:
            raise ScenarioError(
                f"there is no {_what(key)} '{value}' here", where=where, remedy=choose_one(value, names)
            )


def options_of_case(ask: Ask) -> frozenset[str]:
    """Options that a block gives another of the kinds it asks about its case."""
    if ask.case is None:
        return frozenset()
    return frozenset(option for kind in Kind for option in options_of(kind))


def _what(key: str) -> str:
    return {"item": "question of knowledge", "rule": "role of a limit"}.get(key, key)


# ---------------------------------------------------------------- names


def _forms(ask: Ask, library: Library, appliance: Appliance) -> Iterable[str]:
    if ask.kind is Kind.ORDER:
        return _procedures(ask, library, appliance)
    if ask.kind is Kind.STOP_OR_GO:
        return _people(ask, library, appliance)
    if ask.kind is Kind.CURVE:
        from probebook.questions.curve.facts.reading import SUITS

        return SUITS
    forms: Iterable[str] = import_module(f"probebook.questions.{ask.kind.replace('-', '_')}.build").FORMS
    return forms


def _positions(_ask: Ask, _library: Library, appliance: Appliance) -> Iterable[str]:
    return [position.name for position in appliance.positions]


def _parts(ask: Ask, library: Library, appliance: Appliance) -> Iterable[str]:
    if ask.text("form") == "symbol":
        from probebook.questions.trace.signs import load_signs

        return load_signs(library.folder, library.words)
    marks = [part.mark for part in appliance.parts]
    return marks if ask.kind is Kind.REPLACEMENT else [*(branch.name for branch in appliance.branches), *marks]


def _wires(_ask: Ask, _library: Library, appliance: Appliance) -> Iterable[str]:
    return [wire.mark for wire in appliance.wires]


def _faults(ask: Ask, _library: Library, appliance: Appliance) -> Iterable[str]:
    if ask.text("form") == "sign":
        from probebook.questions.reading.facts.sign import SIGNS

        return SIGNS
    return [*(fault.id for fault in appliance.faults), *(["none"] if ask.kind is Kind.CURVE else [])]


def _meters(_ask: Ask, library: Library, _appliance: Appliance) -> Iterable[str]:
    return library.meters


def _items(_ask: Ask, library: Library, _appliance: Appliance) -> Iterable[str]:
    from probebook.questions.knowhow_file import load_items

    return [item.id for item in load_items(library.folder, library.words)]


def _rules(_ask: Ask, library: Library, _appliance: Appliance) -> Iterable[str]:
    return [*library.region.roles, *library.region.roles.values()]


def _verdicts(_ask: Ask, _library: Library, _appliance: Appliance) -> Iterable[str]:
    from probebook.meters.judging import Conformity

    return list(Conformity)


def _readers(_ask: Ask, _library: Library, _appliance: Appliance) -> Iterable[str]:
    return ("apprentice", "owner")


def _diagrams(_ask: Ask, _library: Library, _appliance: Appliance) -> Iterable[str]:
    return ("none",)


def _people(_ask: Ask, _library: Library, _appliance: Appliance) -> Iterable[str]:
    from probebook.questions.stop_or_go.build import PEOPLE

    return PEOPLE


def _procedures(_ask: Ask, library: Library, _appliance: Appliance) -> Iterable[str]:
    from probebook.questions.procedure_files import load_procedures

    return [procedure.id for procedure in load_procedures(library.folder, library.words)]


def _situations(_ask: Ask, library: Library, _appliance: Appliance) -> Iterable[str]:
    from probebook.questions.procedure_files import load_situations

    return [situation.id for situation in load_situations(library.folder, library.words)]


def _outcomes(_ask: Ask, library: Library, _appliance: Appliance) -> Iterable[str]:
    return library.outcomes


def _slips(_ask: Ask, library: Library, _appliance: Appliance) -> Iterable[str]:
    return library.slips


_NAMES: Mapping[str, Names] = {
    "diagram": _diagrams,
    "fault": _faults,
    "form": _forms,
    "item": _items,
    "meter": _meters,
    "outcome": _outcomes,
    "part": _parts,
    "person": _people,
    "position": _positions,
    "procedure": _procedures,
    "reader": _readers,
    "rule": _rules,
    "situation": _situations,
    "slip": _slips,
    "verdict": _verdicts,
    "wire": _wires,
}

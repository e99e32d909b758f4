"""A player of items in a few lines, written from the standard's information model: it reads XML and knows no marking.

Source: 1EdTech, *Question and Test Interoperability: Assessment, Section and Item Information Model* 3.0 (2022),
response processing and expressions: a variable without a value is NULL; comparisons, ``member`` and ``index`` of NULL
are NULL; a condition that is NULL is not true; ``and`` with a false operand is false, ``or`` with a true one true, else
NULL where an operand is; ``sum`` of a NULL is NULL. From memory of that text; the players of the npm registry are the
second opinion (``tests/browser/test_export_player.py``).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from xml.etree import ElementTree as Tree

Value = str | float | int | bool | tuple[str, ...] | None


def plain_name(tag: str) -> str:
    """An element's name without its name space, its prefix of version 3.0 and its hyphens, in small letters."""
    return tag.rpartition("}")[2].removeprefix("qti-").replace("-", "").lower()


def attribute(element: Tree.Element, name: str) -> str:
    """An attribute by its name in small letters without hyphens; empty where it is not there."""
    return next((value for key, value in element.attrib.items() if key.replace("-", "").lower() == name), "")


def _parts(element: Tree.Element, name: str) -> list[Tree.Element]:
    return [each for each in element if plain_name(each.tag) == name]


def _read(text: str, base: str) -> Value:
    if base == "float":
        return float(text) if re.fullmatch(r"[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?", text.strip()) else None
    if base == "integer":
        return int(text)
    return text == "true" if base == "boolean" else text


class Item:
    """An item being played: give it answers, and it says what its outcomes become."""

    def __init__(self, data: bytes) -> None:
        self.root = Tree.fromstring(data.decode("utf-8"))
        self.kinds: dict[str, tuple[str, str]] = {}
        self.defaults: dict[str, Value] = {}
        self.keys: dict[str, list[str]] = {}
        for part in ("responsedeclaration", "outcomedeclaration"):
            for each in _parts(self.root, part):
                self._declare(each)

    def _declare(self, element: Tree.Element) -> None:
        name = element.attrib["identifier"]
        self.kinds[name] = (element.attrib["cardinality"], attribute(element, "basetype"))
        values = {plain_name(child.tag): [value.text or "" for value in child] for child in element}
        self.keys[name] = values.get("correctresponse", [])
        default = values.get("defaultvalue", [])
        self.defaults[name] = _read(default[0], self.kinds[name][1]) if default else None

    def key(self) -> dict[str, list[str]]:
        """The declared key: response → values."""
        return {name: values for name, values in self.keys.items() if values}

    def score(self, answers: Mapping[str, list[str]]) -> dict[str, Value]:
        """The outcomes for what was given: response → texts, as a candidate's hand gives them; nothing where empty."""
        held = dict(self.defaults)
        for name, texts in answers.items():
            cardinality, base = self.kinds[name]
            if cardinality == "single":
                held[name] = _read(texts[0], base) if texts else None
            else:
                held[name] = tuple(texts) or None
        for processing in _parts(self.root, "responseprocessing"):
            for rule in processing:
                self._run(rule, held)
        return held

    def _run(self, rule: Tree.Element, held: dict[str, Value]) -> None:
        if plain_name(rule.tag) == "setoutcomevalue":
            held[rule.attrib["identifier"]] = self._value(rule[0], held)
            return
        for branch in rule:
            is_else = plain_name(branch.tag) == "responseelse"
            if is_else or self._value(branch[0], held) is True:
                for inner in branch if is_else else branch[1:]:
                    self._run(inner, held)
                return

    def _value(self, element: Tree.Element, held: Mapping[str, Value]) -> Value:
        name = plain_name(element.tag)
        if name == "basevalue":
            return _read(element.text or "", attribute(element, "basetype"))
        if name == "variable":
            return held[element.attrib["identifier"]]
        given = [self._value(each, held) for each in element]
        if name == "isnull":
            return given[0] is None
        if name == "and":
            return False if False in given else None if None in given else True
        if name == "or":
            return True if True in given else None if None in given else False
        if None in given:
            return None
        if name == "not":
            return not given[0]
        if name == "index":
            named = element.attrib["n"]
            place = int(named) if named.isdecimal() else int(held[named])  # type: ignore[arg-type]
            return given[0][place - 1] if place <= len(given[0]) else None  # type: ignore[index,arg-type]
        if name == "sum":
            total = given[0]
            for each in given[1:]:
                total += each  # type: ignore[operator]
            return total
        return _COMPARE[name](*given)

    def shown(self, outcomes: Mapping[str, Value]) -> list[str]:
        """The text of the feedback that is shown, one line each."""
        return [
            " ".join("".join(each.itertext()).split())
            for each in _parts(self.root, "modalfeedback")
            if outcomes[attribute(each, "outcomeidentifier")] == each.attrib["identifier"]
        ]


_COMPARE = {
    "subtract": lambda one, other: one - other,
    "match": lambda one, other: one == other,
    "member": lambda one, many: one in many,
    "lt": lambda one, other: one < other,
    "lte": lambda one, other: one <= other,
    "gte": lambda one, other: one >= other,
}


def choices_of(item: Item) -> dict[str, dict[str, str]]:
    """Response → text of a choice → its identifier, read from the file."""
    found: dict[str, dict[str, str]] = {}
    for interaction in item.root.iter():
        if plain_name(interaction.tag) in ("choiceinteraction", "orderinteraction"):
            name = next(value for key, value in interaction.attrib.items() if key.lower().startswith("response"))
            shown = [each for each in interaction if plain_name(each.tag) == "simplechoice"]
            found[name] = {" ".join("".join(each.itertext()).split()): each.attrib["identifier"] for each in shown}
    return found

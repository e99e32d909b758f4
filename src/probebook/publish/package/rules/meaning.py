"""What no schema catches in an item: variables, keys, choices, types of expressions, feedback that nothing shows."""

from __future__ import annotations

from collections import Counter
from collections.abc import Generator, Iterator
from dataclasses import dataclass, field
from xml.etree import ElementTree as Tree

from probebook.publish.package.rules.shape import FLOAT, IDENTIFIER

__all__ = ["meaning", "test_meaning"]

NUMBERS = ("float", "integer")
#: What an expression gives: cardinality and base type.
Kind = tuple[str, str]
BOOLEAN: Kind = ("single", "boolean")


@dataclass(slots=True)
class _Item:
    """What is declared in an item, by identifier."""

    responses: dict[str, Kind] = field(default_factory=dict)
    outcomes: dict[str, Kind] = field(default_factory=dict)
    bound: Counter[str] = field(default_factory=Counter)
    choices: dict[str, list[str]] = field(default_factory=dict)
    #: outcome → identifiers that rules may give it
    given: dict[str, set[str]] = field(default_factory=dict)


def meaning(root: Tree.Element) -> Iterator[str]:
    """What is wrong with the meaning of an item in the spelling of version 2.2, a finding each."""
    item = _Item()
    yield from _declared(root, item)
    for interaction in root.iter():
        if interaction.tag.endswith("Interaction"):
            yield from _interaction(interaction, item)
    for name in item.responses:
        if item.bound[name] != 1:
            yield f"response {name}: bound to {item.bound[name]} interactions, not to one"
    yield from _keys(root, item)
    for processing in root.iter("responseProcessing"):
        for rule in processing:
            yield from _rule(rule, item)
    yield from _feedback(root, item)
    for image in root.iter("img"):
        if not image.get("alt", "").strip():
            yield f"picture {image.get('src')}: says nothing in words"


def test_meaning(root: Tree.Element, items: dict[str, str]) -> Iterator[str]:
    """What is wrong with the meaning of a test; ``items`` are the identifiers of items by path."""
    names = Counter(each.get("identifier", "") for each in root.iter("assessmentItemRef"))
    for name, times in names.items():
        if times > 1:
            yield f"item {name}: asked for {times} times"
    for each in root.iter("assessmentItemRef"):
        if items.get(each.get("href", "")) != each.get("identifier"):
            yield f"item {each.get('identifier')}: does not lie at {each.get('href')}"
    outcomes = {each.get("identifier") for each in root.iter("outcomeDeclaration")}
    for each in root.iter("setOutcomeValue"):
        if each.get("identifier") not in outcomes:
            yield f"outcome {each.get('identifier')}: not declared"


# ---------------------------------------------------------------- declarations


def _declared(root: Tree.Element, item: _Item) -> Iterator[str]:
    names = Counter(each.get("identifier", "") for each in root if each.tag.endswith("Declaration"))
    for name, times in names.items():
        if times > 1:
            yield f"variable {name}: declared {times} times"
    for each in root:
        held = {"responseDeclaration": item.responses, "outcomeDeclaration": item.outcomes}.get(each.tag)
        if held is None:
            continue
        kind = (each.get("cardinality", ""), each.get("baseType", ""))
        held[each.get("identifier", "")] = kind
        values = [value.text or "" for value in each.iter("value")]
        if kind[0] == "single" and len(values) > 1:
            yield f"variable {each.get('identifier')}: {len(values)} values where one is held"
        for value in values:
            if not _is_of(value, kind[1]):
                yield f"variable {each.get('identifier')}: {value!r} is no {kind[1]}"


def _is_of(value: str, base: str) -> bool:
    if base == "float":
        return bool(FLOAT.match(value))
    if base == "integer":
        return value.removeprefix("-").isdecimal() and value.isascii()
    if base == "boolean":
        return value in ("true", "false")
    return base != "identifier" or bool(IDENTIFIER.match(value))


# ---------------------------------------------------------------- interactions


def _interaction(element: Tree.Element, item: _Item) -> Iterator[str]:
    name = element.get("responseIdentifier", "")
    item.bound[name] += 1
    kind = item.responses.get(name)
    if kind is None:
        yield f"{element.tag}: its response {name} is not declared"
        return
    if element.tag == "textEntryInteraction":
        if kind[0] != "single" or kind[1] not in ("float", "integer", "string"):
            yield f"{element.tag} {name}: may not be {kind[0]} {kind[1]}"
        return
    choices = [each.get("identifier", "") for each in element.iter("simpleChoice")]
    item.choices[name] = choices
    for choice, times in Counter(choices).items():
        if times > 1:
            yield f"{element.tag} {name}: choice {choice} stands {times} times"
    if element.tag == "orderInteraction":
        wanted = "ordered"
    else:
        wanted = "single" if element.get("maxChoices", "1") == "1" else "multiple"
    if kind != (wanted, "identifier"):
        yield f"{element.tag} {name}: is {wanted} identifier, but its response {kind[0]} {kind[1]}"
    most = int(element.get("maxChoices", "1") or "1")
    if most > len(choices):
        yield f"{element.tag} {name}: asks for {most} of {len(choices)} choices"


def _keys(root: Tree.Element, item: _Item) -> Iterator[str]:
    for declared in root.iter("responseDeclaration"):
        name = declared.get("identifier", "")
        keys = [value.text or "" for correct in declared.iter("correctResponse") for value in correct]
        if name in item.choices:
            for key in keys:
                if key not in item.choices[name]:
                    yield f"response {name}: its key {key} is no choice"
            if len(set(keys)) < len(keys):
                yield f"response {name}: a key stands twice"


# ---------------------------------------------------------------- response processing


def _rule(rule: Tree.Element, item: _Item) -> Iterator[str]:
    if rule.tag == "setOutcomeValue":
        yield from _set(rule, item)
        return
    for branch in rule:
        parts = list(branch)
        if branch.tag != "responseElse":
            kind = yield from _kind(parts.pop(0), item)
            if kind and kind != BOOLEAN:
                yield f"{branch.tag}: its condition is {kind[0]} {kind[1]}"
        for part in parts:
            yield from _rule(part, item)


def _set(rule: Tree.Element, item: _Item) -> Iterator[str]:
    name = rule.get("identifier", "")
    kind = yield from _kind(rule[0], item)
    if name not in item.outcomes:
        yield f"outcome {name}: set but not declared"
    elif kind and kind != item.outcomes[name]:
        yield f"outcome {name}: is {' '.join(item.outcomes[name])}, but is given {' '.join(kind)}"
    if rule[0].tag == "baseValue":
        item.given.setdefault(name, set()).add(rule[0].text or "")


def _kind(element: Tree.Element, item: _Item) -> Generator[str, None, Kind | None]:
    """What an expression gives, as the value of the generator; None where that cannot be told."""
    if element.tag == "variable":
        name = element.get("identifier", "")
        found = item.responses.get(name) or item.outcomes.get(name)
        if found is None:
            yield f"variable {name}: used but not declared"
        return found
    if element.tag == "baseValue":
        base = element.get("baseType", "")
        if not _is_of(element.text or "", base):
            yield f"constant {element.text!r}: is no {base}"
        return ("single", base)
    kinds = []
    for operand in element:
        kind = yield from _kind(operand, item)
        if kind is None:
            return None
        kinds.append(kind)
    yield from _operands(element, kinds, item)
    if element.tag == "index":
        return ("single", kinds[0][1])
    if element.tag in ("sum", "subtract"):
        return ("single", "float" if any(kind[1] == "float" for kind in kinds) else "integer")
    return BOOLEAN


def _operands(element: Tree.Element, kinds: list[Kind], item: _Item) -> Iterator[str]:
    """Whether the operator takes what it is given."""
    name = element.tag
    shown = ", ".join(" ".join(kind) for kind in kinds)
    if name in ("and", "or", "not"):
        fits = all(kind == BOOLEAN for kind in kinds)
    elif name in ("lt", "lte", "gte", "sum", "subtract"):
        fits = all(kind[0] == "single" and kind[1] in NUMBERS for kind in kinds)
    elif name == "match":
        fits = kinds[0] == kinds[1] and kinds[0][1] != "float"
    elif name == "member":
        fits = kinds[0][0] == "single" and kinds[1][0] in ("multiple", "ordered") and kinds[0][1] == kinds[1][1]
    elif name == "index":
        place = element.get("n", "")
        fits = kinds[0][0] == "ordered" and (place.isdecimal() or item.outcomes.get(place) == ("single", "integer"))
    else:
        fits = True
    if not fits:
        yield f"{name}: does not take {shown}"
    if name in ("match", "member"):
        yield from _known_choice(element, item)


def _known_choice(element: Tree.Element, item: _Item) -> Iterator[str]:
    """A choice that is compared with a response has to be one of its choices."""
    named = [each.get("identifier", "") for each in element.iter("variable")]
    for constant in element.findall("baseValue"):
        for name in named:
            if name in item.choices and constant.text not in item.choices[name]:
                yield f"response {name}: is compared with {constant.text}, which is no choice"


# ---------------------------------------------------------------- feedback


def _feedback(root: Tree.Element, item: _Item) -> Iterator[str]:
    shown = [(each.get("outcomeIdentifier", ""), each.get("identifier", "")) for each in root.iter("modalFeedback")]
    for (outcome, name), times in Counter(shown).items():
        if times > 1:
            yield f"feedback {name} of {outcome}: stands {times} times"
        if item.outcomes.get(outcome) != ("single", "identifier"):
            yield f"feedback {name}: its outcome {outcome} is no declared identifier"
        elif name not in item.given.get(outcome, set()):
            yield f"feedback {name} of {outcome}: no rule ever shows it"
    for outcome in {outcome for outcome, _ in shown}:
        for name in sorted(item.given.get(outcome, set()) - {each for one, each in shown if one == outcome}):
            yield f"feedback {name} of {outcome}: is shown by a rule, but is not there"

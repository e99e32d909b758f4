"""Whether a file keeps the grammar: names, order, number, attributes and their kinds."""

from __future__ import annotations

import functools
import re
from collections.abc import Iterator, Mapping
from xml.etree import ElementTree as Tree

from probebook.publish.package.rules.grammar import COMMON, GROUPS, HTML, MANIFEST, SPELT, Rule, element_names

__all__ = ["FLOAT", "IDENTIFIER", "manifest_shape", "plain_tree", "shape"]

IDENTIFIER = re.compile(r"[A-Za-z_][A-Za-z0-9_.-]*\Z")
#: A number as players read it; infinities and not-a-numbers, which XML would allow, are none.
FLOAT = re.compile(r"[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+-]?[0-9]+)?\Z")
_KINDS = {
    "identifier": IDENTIFIER,
    "text": re.compile(r"[^\n\r\t]*\S[^\n\r\t]*\Z"),
    "language": re.compile(r"[A-Za-z]{1,8}(-[A-Za-z0-9]{1,8})*\Z"),
    "boolean": re.compile(r"(true|false)\Z"),
    "float": FLOAT,
    "count": re.compile(r"[0-9]+\Z"),
    "place-or-variable": re.compile(r"([1-9][0-9]*|[A-Za-z_][A-Za-z0-9_.-]*)\Z"),
    "cardinality": re.compile(r"(single|multiple|ordered|record)\Z"),
    "base": re.compile(r"(boolean|directedPair|duration|file|float|identifier|integer|pair|point|string|uri)\Z"),
    "orientation": re.compile(r"(horizontal|vertical)\Z"),
    "navigation": re.compile(r"(linear|nonlinear)\Z"),
    "submission": re.compile(r"(individual|simultaneous)\Z"),
    "show": re.compile(r"(show|hide)\Z"),
    #: No step of it leads up or stands still.
    "path": re.compile(r"(?!(?:.*/)?\.\.?(?:/|\Z))[A-Za-z0-9_.-]+(/[A-Za-z0-9_.-]+)*\Z"),
}
_LANGUAGE = "{http://www.w3.org/XML/1998/namespace}lang"
_SCHEMA = "{http://www.w3.org/2001/XMLSchema-instance}schemaLocation"


def shape(root: Tree.Element, version: str, space: str) -> Iterator[str]:
    """What is wrong with the shape of an item or a test, a finding each."""
    rules = element_names(version)
    html = {rule.names[0] for rule in HTML}
    plain = {name: rule.names[0] for name, rule in rules.items()}
    if root.tag not in (f"{{{space}}}{name}" for name in rules):
        yield f"{root.tag}: no element of this version"
        return
    for element in root.iter():
        name = _local(element, space)
        rule = rules.get(name)
        if rule is None:
            yield f"{name}: no element of this version"
            continue
        yield from _content(element, rule, [plain.get(_local(child, space), "?") for child in element])
        spelt = version == "3.0" and rule.names[0] not in html
        yield from _attributes(element, rule, SPELT if spelt else {}, COMMON if rule.names[0] in html else "")


def manifest_shape(root: Tree.Element, space: str) -> Iterator[str]:
    """What is wrong with the shape of a manifest, a finding each."""
    rules = {rule.names[0]: rule for rule in MANIFEST}
    if root.tag != f"{{{space}}}manifest":
        yield f"{root.tag}: no manifest of this version"
        return
    for element in root.iter():
        rule = rules.get(_local(element, space))
        if rule is None:
            yield f"{element.tag}: no element of a manifest"
            continue
        yield from _content(element, rule, [_local(child, space) for child in element])
        yield from _attributes(element, rule, {}, "")


def plain_tree(root: Tree.Element, version: str) -> Tree.Element:
    """The tree with every element and attribute as version 2.2 writes it, without name spaces."""
    names = {rule.names[0 if version == "2.2" else 1]: rule.names[0] for rule in element_names(version).values()}
    back = {spelt: name for name, spelt in SPELT.items()} if version == "3.0" else {}

    def plain(element: Tree.Element) -> Tree.Element:
        name = element.tag.rpartition("}")[2]
        made = Tree.Element(names.get(name, name), {back.get(key, key): each for key, each in element.attrib.items()})
        made.text, made.tail = element.text, element.tail
        made.extend(plain(child) for child in element)
        return made

    return plain(root)


def _local(element: Tree.Element, space: str) -> str:
    return element.tag.removeprefix(f"{{{space}}}")


def _content(element: Tree.Element, rule: Rule, children: list[str]) -> Iterator[str]:
    name = rule.names[0]
    if not _pattern(rule.content).fullmatch("".join(f"{child} " for child in children)):
        yield f"{name}: may not hold {', '.join(children) or 'nothing'} in this order or number"
    between = [element.text, *(child.tail for child in element)]
    if not rule.text and any((text or "").strip() for text in between):
        yield f"{name}: may not hold text"


@functools.cache
def _pattern(content: str) -> re.Pattern[str]:
    """A pattern over the names of children, each followed by a blank."""
    for group, names in GROUPS.items():
        content = re.sub(rf"\b{group}\b", names, content)
    named = re.sub(r"[A-Za-z]+", lambda found: f"(?:{found[0]}@)", content)
    return re.compile(named.replace(" ", "").replace("@", " "))


def _attributes(element: Tree.Element, rule: Rule, spelt: Mapping[str, str], common: str) -> Iterator[str]:
    known: dict[str, str] = {_SCHEMA: "", **({common: "text"} if common else {})}
    needed = set()
    for each in rule.attributes.split():
        name, _, kind = each.rpartition(":")
        plain = name.removesuffix("!")
        key = _LANGUAGE if plain == "xml:lang" else spelt.get(plain, plain)
        known[key] = kind
        if name.endswith("!"):
            needed.add(key)
    for key, value in element.attrib.items():
        if key not in known:
            yield f"{rule.names[0]}: has no attribute {key}"
        elif known[key] and not _KINDS[known[key]].match(value):
            yield f"{rule.names[0]}: {key} may not be {value!r}"
    for key in sorted(needed - element.attrib.keys()):
        yield f"{rule.names[0]}: lacks {key}"

"""The check of packages finds what is wrong: names, order, number, kinds, and what no schema would catch.

Source of the rules: 1EdTech QTI 2.2 (2015) and 3.0 (2022) information models and content packaging profiles. What
their schemas let through is checked as well: undeclared variables, keys that are no choice, choices twice, cardinality.
"""

from __future__ import annotations

import functools
import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree as Tree

import pytest
from exported import BOOKS, EACH_BOOK, VERSIONS, files_of, gathered, library

from probebook.publish.package.gathering import gather
from probebook.publish.package.packing import package_files
from probebook.publish.package.rules.package import check_package
from probebook.publish.package.standards import STANDARDS

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "independent"))
from item_player import attribute, plain_name

BOOK = BOOKS[0]
Change = Callable[[Tree.Element], None]


def found(files: dict[str, bytes], version: str) -> list[str]:
    """What the check finds."""
    return check_package(files, STANDARDS[version].version_name)


def every(root: Tree.Element, name: str) -> Iterator[Tree.Element]:
    """All elements of a name, whichever version spells it."""
    return (each for each in root.iter() if plain_name(each.tag) == name)


def first(root: Tree.Element, name: str) -> Tree.Element:
    """The first element of a name."""
    return next(every(root, name))


def give(element: Tree.Element, name: str, value: str) -> None:
    """Give an attribute, named in small letters without hyphens, another value."""
    key = next(key for key in element.attrib if key.replace("-", "").lower() == name)
    element.set(key, value)


def parent_of(root: Tree.Element, child: Tree.Element) -> Tree.Element:
    """The element that holds another."""
    return next(each for each in root.iter() if child in list(each))


def drop(root: Tree.Element, name: str) -> None:
    """Take the first element of a name away."""
    child = first(root, name)
    parent_of(root, child).remove(child)


def add(root: Tree.Element, name: str, like: str, **attributes: str) -> None:
    """Put an element of this version into the first element called ``like``."""
    place = first(root, like)
    space = place.tag.rpartition("}")[0] + "}"
    standard = STANDARDS["qti-3.0" if root.tag.rpartition("}")[2].startswith("qti-") else "qti-2.2"]
    given = {standard.attribute(key): value for key, value in attributes.items()}
    place.append(Tree.Element(f"{space}{standard.element(name)}", given))


def text_of(root: Tree.Element, name: str, text: str) -> None:
    """Put text into the first element of a name."""
    first(root, name).text = text


def swap(root: Tree.Element) -> None:
    """Put the first declaration of an outcome before that of a response."""
    outcome = first(root, "outcomedeclaration")
    root.remove(outcome)
    root.insert(0, outcome)


def no_choices(root: Tree.Element) -> None:
    """Take all choices of the first interaction away."""
    interaction = first(root, "choiceinteraction")
    for choice in list(every(interaction, "simplechoice")):
        interaction.remove(choice)


def empty_condition(root: Tree.Element) -> None:
    """Take one of the two operands of a comparison away."""
    match = first(root, "match")
    match.remove(match[1])


def ordered(root: Tree.Element) -> None:
    """Make the first interaction to choose in one to put in order, and nothing else of the item."""
    interaction = first(root, "choiceinteraction")
    interaction.tag = interaction.tag.replace("choice", "order")
    for key in {"maxChoices", "max-choices"} & interaction.attrib.keys():
        del interaction.attrib[key]


CHANGES: dict[str, tuple[Change, str]] = {
    "undeclared variable": (lambda root: give(first(root, "variable"), "identifier", "NOBODY"), "not declared"),
    "undeclared outcome": (lambda root: give(first(root, "setoutcomevalue"), "identifier", "NOBODY"), "not declared"),
    "undeclared response": (
        lambda root: give(first(root, "choiceinteraction"), "responseidentifier", "NOBODY"),
        "not declared",
    ),
    "key that is no choice": (lambda root: text_of(root, "value", "Q"), "is no choice"),
    "choice twice": (lambda root: give([*every(root, "simplechoice")][1], "identifier", "A"), "stands 2 times"),
    "cardinality": (lambda root: give(first(root, "responsedeclaration"), "cardinality", "multiple"), "is single"),
    "order of what is no order": (ordered, "is ordered identifier, but its response single identifier"),
    "no float": (
        lambda root: setattr(
            next(each for each in every(root, "basevalue") if attribute(each, "basetype") == "float"), "text", "abc"
        ),
        "is no float",
    ),
    "infinite float": (
        lambda root: setattr(
            next(each for each in every(root, "basevalue") if attribute(each, "basetype") == "float"), "text", "INF"
        ),
        "is no float",
    ),
    "constant that is no choice": (
        lambda root: setattr(next(each for each in every(root, "match") if each[1].text in ("A", "B"))[1], "text", "Z"),
        "which is no choice",
    ),
    "value of another kind": (lambda root: setattr(first(root, "setoutcomevalue")[0], "text", "7"), "is no identifier"),
    "no identifier": (lambda root: root.attrib.pop("identifier") and None, "lacks identifier"),
    "no title": (lambda root: root.attrib.pop("title") and None, "lacks title"),
    "identifier with a blank": (lambda root: root.set("identifier", "a b"), "identifier may not be"),
    "attribute nobody knows": (lambda root: root.set("colour", "red"), "has no attribute colour"),
    "children in another order": (swap, "may not hold"),
    "bare text in the body": (lambda root: text_of(root, "itembody", "bare"), "may not hold text"),
    "one operand": (empty_condition, "may not hold"),
    "element nobody knows": (lambda root: add(root, "marquee", "itembody"), "no element of this version"),
    "element of another place": (lambda root: add(root, "value", "itembody"), "may not hold"),
    "interaction in a prompt": (
        lambda root: add(root, "textEntryInteraction", "prompt", responseIdentifier="X"),
        "prompt: may not hold",
    ),
    "no choice at all": (no_choices, "may not hold"),
    "variable declared twice": (
        lambda root: root.insert(0, Tree.fromstring(Tree.tostring(first(root, "responsedeclaration")))),
        "declared 2 times",
    ),
    "interaction that is gone": (lambda root: drop(root, "choiceinteraction"), "bound to 0 interactions"),
    "feedback nobody shows": (lambda root: give(first(root, "modalfeedback"), "identifier", "never"), "ever shows it"),
    "feedback that is gone": (lambda root: drop(root, "modalfeedback"), "is not there"),
    "feedback without outcome": (
        lambda root: give(first(root, "modalfeedback"), "outcomeidentifier", "SCORE"),
        "no declared identifier",
    ),
}


@functools.cache
def small(version: str) -> dict[str, bytes]:
    """The files of the package of a few questions."""
    booklet = gathered(BOOK)[0]
    few = replace(booklet, items=booklet.items[:4])
    return package_files(gather("few", [few], lambda _language: library().words).package, STANDARDS[version])


def item_path(version: str) -> str:
    """The first item that has two fields to choose in."""
    return next(
        name
        for name, data in small(version).items()
        if name.startswith("items/") and name.endswith(".xml") and b"RESPONSE_2" in data and b"RESPONSE_3" not in data
    )


@pytest.mark.parametrize("version", VERSIONS)
@pytest.mark.parametrize("book", EACH_BOOK)
def test_every_workbook_keeps_the_rules(book: str, version: str) -> None:
    """Nothing is found in the package of any workbook in either version."""
    assert found(files_of(book, version), version) == []


@pytest.mark.parametrize("version", VERSIONS)
@pytest.mark.parametrize("change", CHANGES)
def test_a_change_for_the_worse_is_found(change: str, version: str) -> None:
    """Each thing that is wrong with an item is found, in the file it is in, and said."""
    files, path = dict(small(version)), item_path(version)
    root = Tree.fromstring(files[path].decode("utf-8"))
    make, said = CHANGES[change]
    make(root)
    files[path] = Tree.tostring(root)
    findings = found(files, version)
    assert findings
    assert any(said in each for each in findings), findings
    assert any(each.startswith(f"{path}: ") for each in findings), findings


@pytest.mark.parametrize("version", VERSIONS)
def test_a_picture_that_says_nothing_is_found(version: str) -> None:
    """A picture without words is found; so is one whose file is not in the package."""
    files = dict(files_of(BOOKS[2], version))
    path = next(name for name, data in files.items() if name.endswith(".xml") and b"<img" in data)
    silent = {**files, path: files[path].replace(b' alt="', b' alt="" title="', 1)}
    assert any("alt" in each for each in found(silent, version))
    picture = next(name for name in files if name.endswith(".svg"))
    gone = {name: data for name, data in files.items() if name != picture}
    assert any(f"{picture}: named but not there" in each for each in found(gone, version))


@pytest.mark.parametrize("version", VERSIONS)
@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("imsqti_item_xml", "imsqti_outcomes_xml", "is no imsqti_outcomes"),
        ("<schemaversion>", "<schemaversion>9", "does not say that it is"),
        ("<schema>", "<schema>A ", "does not say that it is"),
        ("<organizations />", "", "may not hold"),
        ('<dependency identifierref="res-', '<dependency identifierref="gone-', "which is not there"),
        ('<file href="items/', '<file href="../', "href may not be"),
        ('<file href="items/', '<file href="items/../', "href may not be"),
        ('<file href="items/', '<file href="./', "href may not be"),
        ("imscp_v1p1", "imscp_v9p9", "no manifest of this version"),
    ],
)
def test_a_manifest_that_is_wrong_is_found(old: str, new: str, said: str, version: str) -> None:
    """A wrong type, version, reference, path or name space in a manifest is found."""
    files = dict(small(version))
    text = files["imsmanifest.xml"].decode("utf-8")
    assert old in text
    files["imsmanifest.xml"] = text.replace(old, new).encode()
    findings = found(files, version)
    assert findings
    assert any(said in each for each in findings), findings


@pytest.mark.parametrize("version", VERSIONS)
def test_what_is_not_named_or_not_read_is_found(version: str) -> None:
    """A file nobody names, one that is no XML, and a package without a manifest are found."""
    files = small(version)
    assert any("there but not named" in each for each in found({**files, "notes.txt": b"x"}, version))
    path = item_path(version)
    assert any("is no XML" in each for each in found({**files, path: b"<a>"}, version))
    assert found({path: files[path]}, version) == ["imsmanifest.xml: is not there"]


def test_one_version_is_not_taken_for_the_other() -> None:
    """A package of one version breaks the rules of the other in every item."""
    for version, other in zip(VERSIONS, reversed(VERSIONS), strict=True):
        findings = found(small(version), other)
        items = [name for name in small(version) if name.startswith("items/") and name.endswith(".xml")]
        assert all(any(each.startswith(name) for each in findings) for name in items)

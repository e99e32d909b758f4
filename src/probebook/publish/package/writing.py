"""Items and tests as XML in either version of the standard. Every text goes through the writer of the library."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from xml.etree import ElementTree as Tree

from probebook import __version__
from probebook.publish.package.content import line
from probebook.publish.package.model import (
    AssessmentItem,
    AssessmentTest,
    Cardinality,
    ChoiceInteraction,
    Condition,
    Content,
    Element,
    Expression,
    Feedback,
    NumberEntry,
    OutcomeDeclaration,
    ResponseDeclaration,
    Rule,
    SetOutcome,
    Value,
    Variable,
)
from probebook.publish.package.standards import Standard

__all__ = ["TOOL", "document", "item_xml", "root_of", "test_xml"]

TOOL = "Probebook"
SCHEMA_INSTANCE = "http://www.w3.org/2001/XMLSchema-instance"


def item_xml(item: AssessmentItem, standard: Standard) -> bytes:
    """The file of an item."""
    return document(_Writer(standard).item(item))


def test_xml(test: AssessmentTest, files: Mapping[str, str], standard: Standard) -> bytes:
    """The file of a test; ``files`` says where each item lies, seen from it."""
    return document(_Writer(standard).test(test, files))


def root_of(name: str, space: str, schema: str, attributes: Mapping[str, str]) -> Tree.Element:
    """The root of a file, with its name space and where the schema of that is published."""
    spaces = {"xmlns": space, "xmlns:xsi": SCHEMA_INSTANCE, "xsi:schemaLocation": f"{space} {schema}"}
    return Tree.Element(name, {**spaces, **attributes})


def document(root: Tree.Element) -> bytes:
    """The whole file, a line an element wherever no text stands between elements."""
    _indent(root, "\n")
    text = Tree.tostring(root, encoding="unicode", short_empty_elements=True)
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{text}\n'.encode()


#: Elements in which text may stand between elements: blanks put in there would be read.
_MIXED = frozenset(("p", "li", "th", "td", "strong", "em", "code", "pre"))
_MIXED_OF_STANDARD = ("prompt", "simplechoice", "modalfeedback", "contentbody")


def _indent(element: Tree.Element, margin: str) -> None:
    plain = element.tag.removeprefix("qti-").replace("-", "").lower()
    if plain in _MIXED or plain in _MIXED_OF_STANDARD or not len(element):
        return
    for child in element:
        _indent(child, f"{margin} ")
        child.tail = f"{margin} "
    element.text = f"{margin} "
    element[-1].tail = margin


class _Writer:
    """Writes what the model says in one version."""

    def __init__(self, standard: Standard) -> None:
        self.standard = standard

    def make(self, name: str, attributes: Mapping[str, str] | None = None, *children: Tree.Element) -> Tree.Element:
        """An element of the standard."""
        spelt = {self.standard.attribute(key): value for key, value in (attributes or {}).items()}
        made = Tree.Element(self.standard.element(name), spelt)
        made.extend(children)
        return made

    def root(self, name: str, attributes: Mapping[str, str]) -> Tree.Element:
        spelt = {self.standard.attribute(key): value for key, value in attributes.items()}
        return root_of(self.standard.element(name), self.standard.items, self.standard.items_schema, spelt)

    # ------------------------------------------------------------ item

    def item(self, item: AssessmentItem) -> Tree.Element:
        root = self.root(
            "assessmentItem",
            {
                "identifier": item.identifier,
                "title": line(item.title),
                "xml:lang": item.language,
                "adaptive": "false",
                "timeDependent": "false",
                "toolName": TOOL,
                "toolVersion": __version__,
            },
        )
        root.extend(self.response(each) for each in item.responses)
        root.extend(self.outcome(each) for each in item.outcomes)
        body = self.make("itemBody")
        self.fill(body, item.body)
        root.append(body)
        processing = self.make("responseProcessing")
        processing.extend(self.rule(each) for each in item.rules)
        root.append(processing)
        root.extend(self.feedback(each) for each in item.feedback)
        return root

    def response(self, declared: ResponseDeclaration) -> Tree.Element:
        made = self.make(
            "responseDeclaration",
            {
                "identifier": declared.identifier,
                "cardinality": declared.cardinality.value,
                "baseType": declared.base.value,
            },
        )
        if declared.correct:
            made.append(self.make("correctResponse", {}, *self.values(declared.correct)))
        return made

    def outcome(self, declared: OutcomeDeclaration) -> Tree.Element:
        attributes = {
            "identifier": declared.identifier,
            "cardinality": Cardinality.SINGLE.value,
            "baseType": declared.base.value,
        }
        if declared.maximum:
            attributes["normalMaximum"] = declared.maximum
        made = self.make("outcomeDeclaration", attributes)
        if declared.default:
            made.append(self.make("defaultValue", {}, *self.values((declared.default,))))
        return made

    def values(self, texts: Iterable[str]) -> list[Tree.Element]:
        found = []
        for text in texts:
            value = self.make("value")
            value.text = text
            found.append(value)
        return found

    def feedback(self, said: Feedback) -> Tree.Element:
        made = self.make(
            "modalFeedback", {"outcomeIdentifier": said.outcome, "identifier": said.identifier, "showHide": "show"}
        )
        inside = made
        if self.standard.hyphens:
            inside = self.make("contentBody")
            made.append(inside)
        self.fill(inside, said.content)
        return made

    # ------------------------------------------------------------ content

    def fill(self, parent: Tree.Element, content: Iterable[Content]) -> None:
        """Put content into an element: text where text stands, elements one after the other."""
        for each in content:
            if not isinstance(each, str):
                parent.append(self.content(each))
            elif len(parent):
                parent[-1].tail = (parent[-1].tail or "") + each
            else:
                parent.text = (parent.text or "") + each

    def content(self, found: Element | ChoiceInteraction | NumberEntry) -> Tree.Element:
        if isinstance(found, NumberEntry):
            return self.make(
                "textEntryInteraction", {"responseIdentifier": found.response, "expectedLength": str(found.length)}
            )
        if isinstance(found, Element):
            made = Tree.Element(found.name, dict(found.attributes))
            self.fill(made, found.children)
            return made
        attributes = {"responseIdentifier": found.response, "shuffle": "false"}
        if found.cardinality is Cardinality.ORDERED:
            name = "orderInteraction"
            attributes["orientation"] = "vertical"
        else:
            name = "choiceInteraction"
            attributes["maxChoices"] = "1" if found.cardinality is Cardinality.SINGLE else "0"
        made = self.make(name, attributes)
        prompt = self.make("prompt")
        self.fill(prompt, found.prompt)
        made.append(prompt)
        for choice in found.choices:
            shown = self.make("simpleChoice", {"identifier": choice.identifier})
            self.fill(shown, choice.content)
            made.append(shown)
        return made

    # ------------------------------------------------------------ response processing

    def rule(self, rule: Rule) -> Tree.Element:
        if isinstance(rule, SetOutcome):
            return self.make("setOutcomeValue", {"identifier": rule.identifier}, self.expression(rule.value))
        return self.condition(rule)

    def condition(self, found: Condition) -> Tree.Element:
        made = self.make("responseCondition")
        for number, branch in enumerate(found.branches):
            part = self.make("responseElseIf" if number else "responseIf", {}, self.expression(branch.when))
            part.extend(self.rule(each) for each in branch.rules)
            made.append(part)
        if found.otherwise:
            made.append(self.make("responseElse", {}, *(self.rule(each) for each in found.otherwise)))
        return made

    def expression(self, found: Expression) -> Tree.Element:
        if isinstance(found, Variable):
            return self.make("variable", {"identifier": found.identifier})
        if isinstance(found, Value):
            made = self.make("baseValue", {"baseType": found.base.value})
            made.text = found.text
            return made
        return self.make(found.name, dict(found.attributes), *(self.expression(each) for each in found.operands))

    # ------------------------------------------------------------ test

    def test(self, test: AssessmentTest, files: Mapping[str, str]) -> Tree.Element:
        root = self.root(
            "assessmentTest",
            {
                "identifier": test.identifier,
                "title": line(test.title) or test.identifier,
                "toolName": TOOL,
                "toolVersion": __version__,
            },
        )
        declared = self.make(
            "outcomeDeclaration", {"identifier": "SCORE", "cardinality": "single", "baseType": "float"}
        )
        declared.append(self.make("defaultValue", {}, *self.values(("0.0",))))
        root.append(declared)
        if test.seconds:
            root.append(self.make("timeLimits", {"maxTime": str(test.seconds)}))
        section = self.make(
            "assessmentSection",
            {"identifier": "questions", "title": line(test.title) or test.identifier, "visible": "true"},
        )
        for name in test.items:
            section.append(self.make("assessmentItemRef", {"identifier": name, "href": files[name]}))
        part = self.make(
            "testPart",
            {"identifier": "part", "navigationMode": "nonlinear", "submissionMode": "individual"},
            section,
        )
        root.append(part)
        total = self.make("sum", {}, self.make("testVariables", {"variableIdentifier": "SCORE"}))
        root.append(self.make("outcomeProcessing", {}, self.make("setOutcomeValue", {"identifier": "SCORE"}, total)))
        return root

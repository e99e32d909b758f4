"""How a field is asked for in a player: the words before it, the box for a number and its unit, the box for OL."""

from __future__ import annotations

from probebook.publish.package.content import inline, text
from probebook.publish.package.facts import AskTexts, LabelFacts, UnitFacts
from probebook.publish.package.model import Cardinality, Choice, ChoiceInteraction, Content, Element, NumberEntry
from probebook.publish.package.parts import Part
from probebook.questions.model import FieldKind
from probebook.unit_table import find_unit
from probebook.words import Phrase
from probebook.workbook.forms.view import marks_words

__all__ = ["entry", "open_box", "prompt"]

#: Letters for which a box for a number has room.
ROOM = 12
_HOW = {FieldKind.CHOICE: "choose", FieldKind.CHOICES: "tick", FieldKind.ORDER: "order"}


def prompt(part: Part) -> tuple[Content, ...]:
    """The label of a field, its marks where there are several fields, and how it is answered."""
    how = part.words.say(AskTexts(), _HOW[part.field.kind])
    return (*inline(_label(part)), Element("br"), Element("em", inline(how)))


def entry(part: Part) -> tuple[Content, ...]:
    """The label, the box with the sign of its unit after it, and how a number is typed."""
    found = find_unit(part.field.unit)
    row = found[1] if found else None
    facts = UnitFacts(Phrase(str(part.words.noun(row.words)) if row else ""), text(row.symbol) if row else "")
    said = [part.words.say(facts, "number" if facts.sign else "number-plain")]
    if row and row.takes_prefix:
        said.append(part.words.say(facts, "prefixes"))
    box = Element("p", (*inline(_label(part)), " ", NumberEntry(part.response, ROOM), f" {facts.sign}".rstrip()))
    return (box, Element("p", (Element("em", inline(" ".join(said))),)))


def open_box(part: Part, response: str, name: str) -> ChoiceInteraction:
    """A box to tick for an open circuit, which no number can say."""
    words = part.words
    choice = Choice(name, inline(words.say(AskTexts(), "open-circuit")))
    return ChoiceInteraction(response, inline(words.say(AskTexts(), "open")), (choice,), Cardinality.MULTIPLE)


def _label(part: Part) -> str:
    several = len(part.question.fields) > 1
    facts = LabelFacts(Phrase(part.field.label.strip()), marks_words(part.field.marks, part.words))
    return part.words.say(facts, "label-marks" if several else "label")

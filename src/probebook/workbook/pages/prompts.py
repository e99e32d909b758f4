"""The reading matter of a workbook as Markdown: cautions, questions as text, worked examples, job cards, readings.

Everything here reads well with no kernel; pictures are attachments of the cell with a text alternative.
"""

from __future__ import annotations

import base64
import html
import re
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from probebook.questions.model import Field, FieldKind, Question
from probebook.regions.facts import region_facts
from probebook.unit_table import find_unit
from probebook.words import Phrase, Words
from probebook.workbook.facts import MarksOut
from probebook.workbook.markup import plain
from probebook.workbook.pages.facts import (
    AnswerSample,
    AnswerShown,
    ExampleHead,
    FieldAsked,
    PictureWord,
    QuantityAsked,
    QuestionHead,
    WhyNot,
    WorkingShown,
)

if TYPE_CHECKING:
    from collections.abc import Mapping

    from probebook.cases.library import Library

__all__ = ["Page", "caution", "example_page", "options_text", "picture", "prompt_page", "question_page"]

#: Between two sentences.
_SENTENCE = re.compile(r"(?<=[.!?]) (?=[A-Z])")


@dataclass(frozen=True, slots=True)
class Page:
    """A Markdown cell: its text and the pictures attached to it (file name → SVG text)."""

    text: str
    pictures: Mapping[str, str] = field(default_factory=dict)

    def attachments(self) -> dict[str, dict[str, str]]:
        """The pictures as a notebook stores them (base64 by media type)."""
        return {
            name: {"image/svg+xml": base64.b64encode(svg.encode()).decode("ascii")}
            for name, svg in self.pictures.items()
        }


@cache
def _cautions(folder: Path, words: Words) -> dict[str, str]:
    from probebook.scenario_layers import load_joined
    from probebook.workbook.build.formats import CautionsText

    text = load_joined(folder / "text" / "en" / "cautions.toml", CautionsText, words)
    return {"apprentice": text.apprentice.strip(), "owner": text.owner.strip()}


def caution(library: Library, reader: str) -> str:
    """The caution for this reader as a Markdown block quote."""
    template = _cautions(library.folder, library.words)[reader]
    said = library.words.say_text(region_facts(library.region, library.words), template, f"cautions.toml: {reader}")
    return "\n".join(f"> {line}".rstrip() for line in ["⚠ " + said])


def picture(name: str, svg: str, alternative: str) -> Page:
    """A page that is one picture; ``alternative`` is what a screen reader says."""
    return Page(f"![{_one_line(alternative)}](attachment:{name})", {name: svg})


def _one_line(text: str) -> str:
    return " ".join(text.replace("[", "(").replace("]", ")").split())


def question_page(question: Question, words: Words) -> Page:
    """The question as text: number, title, marks and prompt, with its pictures above the prompt."""
    number = question.id.removeprefix("q").lstrip("0")
    shown = prompt_page(question, words)
    marks = words.say(MarksOut(question.marks), "marks")
    head = words.say(QuestionHead(number, Phrase(question.title), marks), "head")
    return Page(f"{head}\n\n{shown.text}", shown.pictures)


def prompt_page(question: Question, words: Words) -> Page:
    """The prompt under the pictures that go with it; the prompt says the same in words."""
    links = [f"![{_one_line(_told(svg, words))}](attachment:{name})" for name, svg in question.pictures]
    return Page("\n\n".join([*links, question.prompt.strip()]), dict(question.pictures))


def _told(svg: str, words: Words) -> str:
    """What a picture carries for a screen reader: its description, or at least its title."""
    for tag in ("desc", "title"):
        found = re.search(rf"<{tag}[^>]*>(.*?)</{tag}>", svg, re.DOTALL)
        if found and found.group(1).strip():
            return html.unescape(found.group(1))
    return words.say(PictureWord(), "picture")


def options_text(question: Question, words: Words) -> str:
    """What there is to answer, as plain text: read where no kernel runs, replaced by the form where one does."""
    lines: list[str] = []
    for item in question.fields:
        lines.append(_asked(item, words))
        if item.kind in (FieldKind.CHOICE, FieldKind.CHOICES, FieldKind.ORDER):
            lines += [f"  {letter}  {option.text}" for letter, option in zip(_letters(), item.options, strict=False)]
    return "\n".join(lines)


def _letters() -> str:
    return "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def _asked(item: Field, words: Words) -> str:
    label = Phrase(item.label)
    if item.kind is FieldKind.QUANTITY:
        return words.say(QuantityAsked(label, _sample(item.unit, words)), "quantity")
    return words.say(FieldAsked(label), item.kind.value)


def _sample(unit: str, words: Words) -> Phrase:
    """How a quantity is typed; a unit that no sample is kept of stands for itself."""
    found = find_unit(unit)
    key = found[1].name if found else ""
    return words.say(AnswerSample(), key) if words.has(AnswerSample, key) else Phrase(unit)


def example_page(question: Question, words: Words) -> Page:
    """A question worked through in the text instead of being asked."""
    shown = prompt_page(question, words)
    body: list[str] = [words.say(ExampleHead(Phrase(question.title)), "example-head"), shown.text]
    lines = question.working.strip().splitlines()
    if lines and question.working.strip() not in question.explanation:
        key = "working" if len(lines) == 1 else "working-lines"
        body.append(words.say(WorkingShown(Phrase("  \n".join(lines))), key))
    body.append(question.explanation)
    told: set[str] = set()
    body += [found for field in question.fields if (found := _chosen(question, field, words, told))]
    return Page("\n\n".join(body), shown.pictures)


def _chosen(question: Question, field: Field, words: Words, told: set[str]) -> str:
    """What is to be chosen in a field of a worked example, and why not the others; empty where nothing is.

    General advice that is ``told`` already is not told again: of each reason its first sentence and what is new stays.
    """
    texts = {option.id: option.text for option in field.options}
    if field.kind not in (FieldKind.CHOICE, FieldKind.CHOICES):
        return ""
    right = [texts[name] for name in ([field.answer] if isinstance(field.answer, str) else field.answer)]
    answer = words.say(AnswerShown(Phrase(field.label), tuple(right)), "answer")
    advice = {str(slip.response): slip.advice for slip in question.slips if slip.field == field.key}
    others = []
    for option in field.options:
        why = advice.get(option.id, "") or option.why
        if option.text not in right and why and plain(option.text) not in question.explanation:
            first, *general = _SENTENCE.split(why)
            said = " ".join([first, *(sentence for sentence in general if sentence not in told)])
            told.update(general)
            others.append(words.say(WhyNot(Phrase(option.text), Phrase(said)), "why-not"))
    return "\n".join([answer, "", *others]) if others else answer

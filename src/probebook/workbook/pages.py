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
from probebook.textfiles import StrictModel, load_text

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["Page", "caution", "example_page", "options_text", "picture", "question_page"]


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
def _cautions(folder: Path) -> dict[str, str]:
    class File(StrictModel):
        apprentice: str
        owner: str

    text = load_text(folder / "cautions.toml", File)
    return {"apprentice": text.apprentice.strip(), "owner": text.owner.strip()}


def caution(folder: Path, reader: str) -> str:
    """The caution for this reader as a Markdown block quote."""
    return "\n".join(f"> {line}".rstrip() for line in ["⚠ " + _cautions(folder)[reader]])


def picture(name: str, svg: str, alternative: str) -> Page:
    """A page that is one picture; ``alternative`` is what a screen reader says."""
    return Page(f"![{_one_line(alternative)}](attachment:{name})", {name: svg})


def _one_line(text: str) -> str:
    return " ".join(text.replace("[", "(").replace("]", ")").split())


def _marks(value: float) -> str:
    return f"{value:g} mark" if value == 1 else f"{value:g} marks"


def question_page(question: Question) -> Page:
    """The question as text: number, title, marks and prompt, with its pictures above the prompt."""
    number = question.id.removeprefix("q").lstrip("0")
    shown = _pictured(question)
    head = f"### Question {number} · {question.title} ({_marks(question.marks)})"
    return Page(f"{head}\n\n{shown.text}", shown.pictures)


def _pictured(question: Question) -> Page:
    """The prompt under the pictures that go with it; the prompt says the same in words."""
    links = [f"![{_one_line(_pictured_title(svg))}](attachment:{name})" for name, svg in question.pictures]
    return Page("\n\n".join([*links, question.prompt.strip()]), dict(question.pictures))


def _pictured_title(svg: str) -> str:
    """The title a picture carries for a screen reader."""
    found = re.search(r"<title[^>]*>(.*?)</title>", svg, re.DOTALL)
    return html.unescape(found.group(1)) if found else "picture"


def options_text(question: Question) -> str:
    """What there is to answer, as plain text: read where no kernel runs, replaced by the form where one does."""
    lines: list[str] = []
    for item in question.fields:
        lines.append(f"{item.label}: {_how(item)}")
        if item.kind in (FieldKind.CHOICE, FieldKind.CHOICES, FieldKind.ORDER):
            lines += [f"  {letter}  {option.text}" for letter, option in zip(_letters(), item.options, strict=False)]
    return "\n".join(lines)


def _letters() -> str:
    return "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def _how(item: Field) -> str:
    match item.kind:
        case FieldKind.QUANTITY:
            return f"a number with its unit (such as {_example_unit(item.unit)})"
        case FieldKind.CHOICE:
            return "choose one"
        case FieldKind.CHOICES:
            return "choose all that apply"
        case FieldKind.ORDER:
            return "put in order"
        case FieldKind.BENCH:
            return "work on the bench"


def _example_unit(unit: str) -> str:
    return {"ohm": "12 ohm or 1.2 kΩ", "W": "800 W or 0.8 kW", "A": "3.2 A", "V": "12 V", "%": "40 %"}.get(unit, unit)


def example_page(question: Question) -> Page:
    """A question worked through in the text instead of being asked."""
    steps = question.working or question.explanation
    shown = _pictured(question)
    body = [f"#### Worked example · {question.title}", shown.text]
    if question.working:
        lines = steps.strip().splitlines()
        body.append(
            f"**Working.** {lines[0]}" if len(lines) == 1 else "\n\n".join(["**Working.**", "  \n".join(lines)])
        )
    body.append(question.explanation)
    return Page("\n\n".join(body), shown.pictures)

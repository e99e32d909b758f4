"""What a package holds and what it does not: for people in sentences, for scripts as JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from probebook.publish.package.facts import LeftOutFacts, LeftOutTexts, PackagedFacts
from probebook.publish.package.gathering import Gathered, LeftOut
from probebook.publish.package.standards import Standard
from probebook.words import Phrase
from probebook.workbook import markup

if TYPE_CHECKING:
    from probebook.words import Words

__all__ = ["report_data", "report_lines"]

#: The number of the format of the report as JSON.
FORMAT = 1


def report_lines(found: Gathered, file: str, standard: Standard, words: Words) -> list[str]:
    """The report in sentences: what was written, what was left out and why, what to know of a package."""
    facts = PackagedFacts(
        questions=len(found.carried),
        out=len(found.left_out),
        sources=len(found.package.tests),
        file=file,
        standard=standard.title,
    )
    lines = [words.say(facts, "written")]
    lines.append(words.say(facts, "some-left-out" if found.left_out else "none-left-out"))
    lines += [words.say(_told(each, words), "left-out") for each in found.left_out]
    return [*lines, words.say(facts, "changes"), words.say(facts, "answers")]


def report_data(found: Gathered, file: str, standard: Standard, words: Words) -> dict[str, Any]:
    """The report as plain JSON data."""
    return {
        "format": FORMAT,
        "standard": standard.id,
        "file": file,
        "items": [{"source": each.source, "question": each.question, "item": each.item} for each in found.carried],
        "tests": [{"test": each.identifier, "items": list(each.items)} for each in found.package.tests],
        "left_out": [
            {
                "source": each.source,
                "question": each.question,
                "title": each.title,
                "why": each.why,
                "says": words.say(LeftOutTexts(), each.why),
            }
            for each in found.left_out
        ],
    }


def _told(each: LeftOut, words: Words) -> LeftOutFacts:
    why = words.say(LeftOutTexts(), each.why)
    return LeftOutFacts(each.source, each.question, Phrase(markup.plain(each.title)), why)

"""What a learner is told after an answer, as plain data and a little HTML of our own.

A word and a sign carry the verdict; colour only goes along. HTML is made by :mod:`probebook.workbook.markup` alone and
cleaned again where it is shown.
"""

from __future__ import annotations

from typing import Any

from probebook.questions.facts import Bare
from probebook.questions.model import Field, FieldKind, Marked, Question, Standing
from probebook.words import Words
from probebook.workbook.facts import MarksGiven, NextSteps, Verdicts, WorkingHeads
from probebook.workbook.markup import block, inline, plain, safe

__all__ = ["VERDICTS", "notice_html", "score_words", "spoken", "verdict", "working_html"]

#: Sign, sentence and tone of each standing.
VERDICTS: dict[Standing, tuple[str, str, str]] = {
    Standing.RIGHT: ("✔", "right", "right"),
    Standing.PARTLY: ("◐", "partly", "partly"),
    Standing.SLIP: ("↯", "slip", "slip"),
    Standing.WRONG: ("✘", "wrong", "wrong"),
    Standing.BLANK: ("○", "blank", "open"),
    Standing.UNREADABLE: ("?", "unreadable", "open"),
}


def verdict(question: Question, marked: Marked, words: Words, *, is_earned: bool, note: str = "") -> dict[str, Any]:
    """The verdict, the sentence, what to do next and, where there are several parts, how each of them stands.

    While something is blank or unreadable only that is told, so that nobody can feel out the other parts for nothing.
    ``is_earned`` says whether the working may be read, ``note`` is a sentence on what became of the answer.
    """
    sign, key, tone = ("⚠", "critical", "critical") if marked.critical else VERDICTS[marked.standing]
    parts = marked.fields if marked.scored and len(marked.fields) > 1 else ()
    return {
        "tone": tone,
        "sign": sign,
        "word": words.say(Verdicts(), key),
        "message": spoken(marked.message, words),
        "parts": [_part(question, marked, number, words) for number in range(len(parts))],
        "next": words.say(NextSteps(), _next(marked, is_earned=is_earned)),
        "note": note,
    }


def _next(marked: Marked, *, is_earned: bool) -> str:
    """Which sentence says what to do next."""
    if not marked.scored:
        return "mend"
    if marked.standing is Standing.RIGHT:
        return "go-on"
    return "again-or-read" if is_earned else "again"


def _part(question: Question, marked: Marked, number: int, words: Words) -> dict[str, str]:
    part = marked.fields[number]
    sign, key, tone = VERDICTS[part.standing]
    return {
        "label": plain(question.field(part.key).label),
        "sign": sign,
        "tone": tone,
        "word": words.say(Verdicts(), f"part-{key}"),
        "message": spoken(part.message, words),
    }


def spoken(message: str, words: Words) -> str:
    """A sentence of marking as HTML, without the "Right." that it begins with and that the verdict has said already."""
    return inline(message.removeprefix(words.say(Bare(), "right")).strip())


def working_html(question: Question, words: Words) -> str:
    """The answer, why it is right and how to get there; shown only once it has been earned."""
    head, why, working = (safe(words.say(WorkingHeads(), key)) for key in ("answer", "why", "working"))
    fields = [field for field in question.fields if field.kind is not FieldKind.BENCH]
    if len(fields) == 1:
        answer = f"<p><b>{head}</b></p><div>{_answer_html(fields[0], words)}</div>"
    else:
        items = "".join(
            f"<li><b>{safe(plain(field.label))}</b> – {_answer_html(field, words)}</li>" for field in fields
        )
        answer = f"<p><b>{safe(words.say(WorkingHeads(), 'answers'))}</b></p><ul>{items}</ul>" if fields else ""
    more = (
        "" if _said_already(question) else f'<p><b>{working}</b></p><div class="pb-sum">{block(question.working)}</div>'
    )
    return f"{answer}<p><b>{why}</b></p>{block(question.explanation)}{more}"


def _said_already(question: Question) -> bool:
    """Whether the working adds nothing to the answer and its reason."""
    working = question.working.strip()
    answers = [o.text for f in question.fields for o in f.options if o.id == f.answer]
    ordered = any(field.kind is FieldKind.ORDER for field in question.fields)
    return ordered or working in question.explanation or working in answers


def _answer_html(field: Field, words: Words) -> str:
    texts = {option.id: safe(plain(option.text)) for option in field.options}
    if isinstance(field.answer, str):
        return texts.get(field.answer, safe(field.answer))
    items = [texts.get(item, safe(item)) for item in field.answer]
    if field.kind is FieldKind.ORDER:
        steps = "".join(f"<li>{item}</li>" for item in items)
        return f"{safe(words.say(WorkingHeads(), 'one-right-order'))} <ol>{steps}</ol>"
    return "; ".join(items)


def score_words(question: Question, marked: Marked | None, attempts: int, words: Words) -> str:
    """The line beside the button: "2 of 3 marks, attempt 1"."""
    if marked is None:
        return words.say(MarksGiven(0.0, question.marks, 0), "out-of")
    return words.say(MarksGiven(marked.marks, marked.out_of, attempts), "scored")


def notice_html(lines: list[str]) -> str:
    """A few plain sentences, as the first cell of a workbook shows them."""
    return '<div class="pb-notice">' + "".join(f"<p>{safe(line)}</p>" for line in lines) + "</div>"

"""What a learner reads after an answer, as HTML. A word and a sign carry the verdict; colour only goes along."""

from __future__ import annotations

from probebook.questions.model import Field, FieldKind, Marked, Question, Standing
from probebook.workbook.markup import block, inline, plain, safe

__all__ = ["notice_html", "score_words", "verdict_html", "working_html"]

_VERDICTS: dict[Standing, tuple[str, str, str]] = {
    Standing.RIGHT: ("✔", "Right", "pb-right"),
    Standing.PARTLY: ("◐", "Partly right", "pb-partly"),
    Standing.SLIP: ("↯", "Not right: a known slip", "pb-slip"),
    Standing.WRONG: ("✘", "Not right", "pb-wrong"),
    Standing.BLANK: ("○", "Not marked yet", "pb-open"),
    Standing.UNREADABLE: ("?", "Not marked: this cannot be read", "pb-open"),
}


def verdict_html(question: Question, marked: Marked, note: str = "") -> str:
    """The verdict, the sentence and, where there are several parts, how each of them stands.

    While something is blank or unreadable only that is told, so that nobody can feel out the other parts for nothing.
    """
    sign, word, tone = _VERDICTS[marked.standing]
    if marked.critical:
        sign, word, tone = "⚠", "Stop: dangerous", "pb-critical"
    parts = [f'<span class="pb-word"><span aria-hidden="true">{sign}</span> {word}.</span>']
    message = _without_verdict(marked.message)
    if message:
        parts.append(inline(message))
    html = f"<div>{' '.join(parts)}</div>"
    if marked.scored and len(marked.fields) > 1:
        html += "<ul>" + "".join(_part_html(question, marked, number) for number in range(len(marked.fields))) + "</ul>"
    if not marked.scored:
        html += '<p class="pb-note">No attempt is used up.</p>'
    if note:
        html += f'<p class="pb-note">{safe(note)}</p>'
    return f'<div class="pb-verdict {tone}" role="status">{html}</div>'


def _part_html(question: Question, marked: Marked, number: int) -> str:
    part = marked.fields[number]
    sign, word, _ = _VERDICTS[part.standing]
    label = safe(plain(question.field(part.key).label))
    message = inline(_without_verdict(part.message))
    return f'<li><b>{label}</b> <span aria-hidden="true">{sign}</span> {word.lower()}. {message}</li>'


def _without_verdict(message: str) -> str:
    """The sentence without a "Right." at its start, which the verdict has said already."""
    return message.removeprefix("Right.").strip()


def working_html(question: Question) -> str:
    """The answer, why it is right and how to get there; shown only once it has been earned."""
    fields = [field for field in question.fields if field.kind is not FieldKind.BENCH]
    if len(fields) == 1:
        head = f"<p><b>Answer</b></p><div>{_answer_html(fields[0])}</div>"
    else:
        items = "".join(f"<li>{safe(plain(field.label))}: {_answer_html(field)}</li>" for field in fields)
        head = f"<p><b>Answers</b></p><ul>{items}</ul>" if fields else ""
    working = "" if _said_already(question) else f"<p><b>Working</b></p>{block(question.working)}"
    return f'<div class="pb-working">{head}<p><b>Why</b></p>{block(question.explanation)}{working}</div>'


def _said_already(question: Question) -> bool:
    """Whether the working adds nothing to the answer and its reason."""
    working = question.working.strip()
    answers = [o.text for f in question.fields for o in f.options if o.id == f.answer]
    ordered = any(field.kind is FieldKind.ORDER for field in question.fields)
    return ordered or working in question.explanation or working in answers


def _answer_html(field: Field) -> str:
    texts = {option.id: safe(plain(option.text)) for option in field.options}
    if isinstance(field.answer, str):
        return texts.get(field.answer, safe(field.answer))
    items = [texts.get(item, safe(item)) for item in field.answer]
    if field.kind is FieldKind.ORDER:
        return f"one right order: <ol>{''.join(f'<li>{item}</li>' for item in items)}</ol>"
    return "; ".join(items)


def score_words(question: Question, marked: Marked | None, attempts: int) -> str:
    """The line beside the button: "2 of 3 marks, attempt 1"."""
    if marked is None:
        return f"{question.marks:g} mark{'' if question.marks == 1 else 's'}"
    return f"{marked.marks:g} of {marked.out_of:g} mark{'' if marked.out_of == 1 else 's'}, attempt {attempts}"


def notice_html(lines: list[str]) -> str:
    """A few plain sentences, as the first cell of a workbook shows them."""
    return '<div class="pb-notice">' + "".join(f"<p>{safe(line)}</p>" for line in lines) + "</div>"

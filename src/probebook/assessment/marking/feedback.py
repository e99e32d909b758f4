"""The feedback page of a learner: each question with answer, key, what was said, and the full working. All escaped."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from probebook.assessment.marking.facts import FeedbackHead, FeedbackHeads, FeedbackItem, JobHeads, Overridden
from probebook.assessment.model import Blueprint, Item, MarkedItem, MarkedPaper, Paper, Safety
from probebook.questions.model import Field, FieldKind, Response
from probebook.words import Phrase
from probebook.workbook import markup
from probebook.workbook.document import document
from probebook.workbook.style import style_tag

if TYPE_CHECKING:
    from collections.abc import Mapping

    from probebook.assessment.marking.benches import Benches
    from probebook.words import Words

__all__ = ["feedback_page"]


def feedback_page(
    marked: MarkedPaper,
    paper: Paper,
    blueprint: Blueprint,
    words: Words,
    *,
    code: str = "",
    competences: Mapping[str, str] | None = None,
    benches: Benches | None = None,
) -> str:
    """The page as HTML.

    Parameters
    ----------
    marked, paper, blueprint
        The marks, the paper as it was set, what it was set after.
    words
        The language of its learner.
    code
        The receipt code of the hand-in.
    competences
        What each competence is, in words; ids stand for themselves where it is not said.
    benches
        Does jobs on benches again, so that each act stands with what it told.
    """
    head = FeedbackHead(
        title=Phrase(blueprint.title),
        name=marked.learner.name,
        marks=marked.marks,
        out_of=marked.out_of,
        percent=marked.marks / marked.out_of if marked.out_of else 0.0,
        grade=marked.grade,
        competences=tuple((competences or {}).get(name, name) for name in marked.lacking),
        minutes=marked.minutes_late,
        code=code,
    )
    title = words.say(head, "title")
    pairs = zip(paper.items, marked.items, strict=True)
    jobs = _Jobs(benches, marked.learner.language, words)
    items = [_item(number, *pair, words, jobs) for number, pair in enumerate(pairs, start=1)]
    body = f"<h1>{markup.safe(title)}</h1>\n{_result(head, marked, blueprint, words)}\n{''.join(items)}"
    return document(title, words.source, style_tag("feedback"), body, is_large=marked.learner.large_print)


def _result(head: FeedbackHead, marked: MarkedPaper, blueprint: Blueprint, words: Words) -> str:
    passed = ("passed-grade" if marked.grade else "passed") if marked.passed else "failed"
    lines = [f'<p class="result">{_said(words, head, "result")} {_said(words, head, passed)}</p>']
    if marked.critical:
        key = "danger" if blueprint.safety is Safety.PAPER else "danger-item"
        lines.append(f'<p class="danger">⚠ {_said(words, head, key)}</p>')
    if marked.lacking:
        lines.append(f"<p>{_said(words, head, 'lacking')}</p>")
    if marked.minutes_late:
        lines.append(f"<p>{_said(words, head, 'late')}</p>")
    if head.code:
        lines.append(f"<p>{_said(words, head, 'receipt')}</p>")
    return "\n".join(lines)


def _said(words: Words, head: FeedbackHead, key: str) -> str:
    return markup.safe(words.say(head, key))


@dataclass(frozen=True, slots=True)
class _Jobs:
    """What tells of jobs on benches."""

    benches: Benches | None
    language: str
    words: Words

    def table(self, item: Item, acts: Response) -> str:
        """What was done, act by act, with what each told, as HTML; the acts alone where nothing can do them again."""
        if self.benches is None:
            return "".join(f"<p>{markup.safe(act)}</p>" for act in acts)
        steps = self.benches.steps(item.question, self.language, acts)
        heads = "".join(
            f'<th scope="col">{markup.safe(self.words.say(JobHeads(), key))}</th>' for key in JobHeads.says_
        )
        rows = "".join(
            f"<tr><td>{number}</td><td>{markup.inline(_capital(step.words))}</td>"
            f'<td>{markup.inline(str(step.shown.text))}</td><td class="pb-figure">{step.minutes:.1f}</td></tr>\n'
            for number, step in enumerate(steps, start=1)
        )
        return f'<table class="job"><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table>' if rows else ""


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _item(number: int, item: Item, marked: MarkedItem, words: Words, jobs: _Jobs) -> str:
    question = item.question
    head = FeedbackItem(number, Phrase(markup.plain(question.title)), marked.marks, marked.out_of)
    heads = {key: markup.safe(words.say(FeedbackHeads(), key)) for key in FeedbackHeads.says_}
    danger = f' <span class="danger">⚠ {heads["dangerous"]}</span>' if marked.critical else ""
    said = markup.block(marked.message)
    if marked.by:
        said += f"<p>{markup.safe(words.say(Overridden(marked.by, marked.why), 'overridden'))}</p>"
    rows = [
        ("answer", _answers(item, marked.response, heads["nothing"], jobs)),
        # The working of a job on the bench is its key, act by act.
        *([] if question.bench else [("key", _answers(item, marked.key, heads["nothing"], jobs))]),
        ("said", said),
        ("working", markup.block(question.working) + markup.block(question.explanation)),
    ]
    told = "".join(f"<dt>{heads[key]}</dt><dd>{html}</dd>\n" for key, html in rows)
    title = markup.safe(words.say(head, "head"))
    return f"<h2>{title}{danger}</h2>\n{markup.block(question.prompt)}<dl>\n{told}</dl>\n"


def _answers(item: Item, response: Mapping[str, Response], nothing: str, jobs: _Jobs) -> str:
    lines = []
    for field in item.question.fields:
        if field.kind is FieldKind.BENCH:
            lines.append(jobs.table(item, response.get(field.key, [])) or f"<p>{nothing}</p>")
            continue
        given = _in_words(field, response.get(field.key, ""))
        label = f"{markup.inline(field.label)}: " if len(item.question.fields) > 1 else ""
        lines.append(f"<p>{label}{given or nothing}</p>")
    return "".join(lines)


def _in_words(field: Field, response: Response) -> str:
    """An answer as HTML, options by their texts."""
    texts = {option.id: option.text for option in field.options}
    if isinstance(response, str):
        return markup.inline(texts[response]) if response in texts else markup.safe(response)
    lines = "".join(f"<li>{markup.inline(texts.get(each, each))}</li>" for each in response)
    tag = "ol" if field.kind is FieldKind.ORDER else "ul"
    return f"<{tag}>{lines}</{tag}>" if lines else ""

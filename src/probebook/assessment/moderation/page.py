"""The moderation pack as one HTML page with no script and no request. Everything is escaped; drawings are our own."""

from __future__ import annotations

import base64
import math
import re
from collections.abc import Mapping, Sequence
from itertools import groupby

from probebook.assessment.model import Item, PaperSet
from probebook.assessment.moderation import facts as told
from probebook.assessment.moderation.pack import Compared, Moderated
from probebook.assessment.moderation.record import ALL, SignOff
from probebook.assessment.report.classical import Z95
from probebook.questions.model import Field, FieldKind, Question, Response
from probebook.unit_format import format_quantity
from probebook.words import Phrase, Words
from probebook.workbook import markup
from probebook.workbook.document import document
from probebook.workbook.markup import safe
from probebook.workbook.style import style_tag

__all__ = ["Names", "moderation_page", "signed_items"]

#: What stands for an id where a person reads: outcome, slip, competence → its title.
Names = Mapping[str, str]
PICTURE = re.compile(r"!\[(?P<words>[^\]]*)\]\((?P<data>data:image/svg\+xml;base64,[A-Za-z0-9+/=]+)\)")


def signed_items(items: Sequence[Moderated], record: Sequence[SignOff]) -> int:
    """How many items somebody has said something of, of each by itself or of all."""
    signed = {each.item for each in record}
    return len(items) if ALL in signed else sum(each.name in signed for each in items)


def moderation_page(
    papers: PaperSet,
    items: Sequence[Moderated],
    record: Sequence[SignOff],
    words: Words,
    names: Names,
    compared: Compared | None = None,
) -> str:
    """The whole page.

    Parameters
    ----------
    papers, items, record
        The set, its distinct items, and what was said of them.
    words, names
        The language of the page; titles of outcomes, slips and competences by their ids.
    compared
        How two markers agree, where two marked by hand.
    """
    blueprint = papers.blueprint
    head = told.PackFacts(Phrase(blueprint.title), len(papers.papers), len(items), signed_items(items, record))
    title = words.say(head, "title")
    parts = [f"<h1>{safe(title)}</h1>", *(f"<p>{safe(words.say(head, key))}</p>" for key in ("whole", "how"))]
    of_all = [each for each in record if each.item == ALL]
    if of_all:
        parts.append(f"<h2>{safe(words.say(head, 'signed-all'))}</h2>{_signed(of_all, words)}")
    if compared:
        parts.append(f"<h2>{safe(words.say(head, 'agreement'))}</h2>{_agreement(compared, head, words)}")
    rows = {row.id: row for row in blueprint.rows}
    for name, group in groupby(items, key=lambda each: each.item.row):
        row = rows[name]
        facts = told.RowFacts(name, names.get(row.outcome, row.outcome), row.kind.value, row.level)
        parts.append(f"<h2>{safe(words.say(facts, 'row'))}</h2>")
        parts += [_item(each, record, words, names) for each in group]
    body = "<main>\n" + "\n".join(parts) + "\n</main>\n"
    return document(title, words.language.tag, style_tag("report", "moderation"), body)


# ---------------------------------------------------------------- an item


def _item(each: Moderated, record: Sequence[SignOff], words: Words, names: Names) -> str:
    question = each.item.question
    share = math.fsum(each.earned) / (len(each.earned) * question.marks) if each.earned and question.marks else 0.0
    facts = told.ItemFacts(
        each.name, Phrase(markup.plain(question.title)), question.marks, question.difficulty,
        tuple(names.get(name, name) for name in each.competences), each.broken, each.given, share,
    )  # fmt: skip
    heads = {key: safe(words.say(told.ItemHeads(), key)) for key in told.ItemHeads.says_}
    about = [
        "difficulty",
        *(["competences"] if each.competences else []),
        "given",
        *(["earned"] if each.earned else []),
    ]
    signed = [entry for entry in record if entry.item == each.name]
    rows = [
        *[(heads["key"], _key(field, heads)) for field in question.fields],
        (heads["slips"], _slips(question, words, names) or heads["none"]),
        (heads["working"], _pictured(question.working)),
        (heads["why"], _pictured(question.explanation)),
        (heads["proof"], f"<p>{safe(words.say(facts, 'broken' if each.broken else 'proved'))}</p>"),
        (heads["about"], f"<p>{' '.join(safe(words.say(facts, key)) for key in about)}</p>"),
        (heads["signed"], _signed(signed, words) if signed else f"<p>{safe(words.say(facts, 'unsigned'))}</p>"),
    ]
    told_of = "".join(f"<dt>{head}</dt><dd>{html}</dd>\n" for head, html in rows if html)
    danger = ' class="danger"' if each.broken else ""
    return (
        f'<section{danger} id="{safe(each.name)}"><h3>{safe(words.say(facts, "head"))}</h3>\n'
        f'<div class="asked">{_asked(each.item)}</div>\n<dl>\n{told_of}</dl></section>'
    )


def _asked(item: Item) -> str:
    """What a learner reads: case, question, drawings, options."""
    question = item.question
    drawn = [
        f'<img alt="" src="data:image/svg+xml;base64,{base64.b64encode(svg.encode()).decode("ascii")}">'
        for _, svg in question.pictures
    ]
    fields = [
        f"<p><strong>{markup.inline(field.label)}</strong></p>"
        + (f"<ol>{''.join(f'<li>{markup.inline(option.text)}</li>' for option in field.options)}</ol>")
        * bool(field.options)
        for field in question.fields
    ]
    return _pictured(item.before) + _pictured(question.prompt) + "".join(drawn) + "".join(fields)


def _pictured(text: str) -> str:
    """Markdown with the drawings in it, which stand as data; everything else is escaped."""
    parts, end = [], 0
    for found in PICTURE.finditer(text):
        parts.append(markup.block(text[end : found.start()]))
        parts.append(f'<img alt="{safe(found["words"])}" src="{found["data"]}">')
        end = found.end()
    return "".join([*parts, markup.block(text[end:])])


def _key(field: Field, heads: Mapping[str, str]) -> str:
    lines = [f"<p><strong>{markup.inline(field.label)}</strong>: {_shown(field, field.answer)}</p>"]
    if field.band is not None and math.isfinite(field.band.high):
        low, high = (format_quantity(end, field.unit, 4) for end in (field.band.low, field.band.high))
        lines.append(f"<p>{heads['accepted']}: {safe(low)} – {safe(high)}</p>")
    lines += [f"<p>{_shown(field, option)}: {marks:g}</p>" for option, marks in field.partial]
    if field.before:
        pairs = "".join(f"<li>{_shown(field, one)} → {_shown(field, other)}</li>" for one, other in field.before)
        lines.append(f"<p>{heads['order']}:</p><ul>{pairs}</ul>")
    return "".join(lines)


def _shown(field: Field, response: Response) -> str:
    texts = {option.id: option.text for option in field.options}
    if isinstance(response, str):
        return markup.inline(texts[response]) if response in texts else safe(response)
    tag = "ol" if field.kind is FieldKind.ORDER else "ul"
    return f"<{tag}>{''.join(f'<li>{markup.inline(texts.get(each, each))}</li>' for each in response)}</{tag}>"


def _slips(question: Question, words: Words, names: Names) -> str:
    lines = []
    for slip in question.slips:
        field = question.field(slip.field)
        texts = {option.id: markup.plain(option.text) for option in field.options}
        given = [slip.response] if isinstance(slip.response, str) else slip.response
        joint = " → " if field.kind is FieldKind.ORDER else ", "
        answer = joint.join(texts.get(each, each) for each in given)
        facts = told.SlipLine(names.get(slip.slip, slip.slip), answer, slip.marks)
        lines.append(f"<li>{safe(words.say(facts, 'critical' if slip.critical else 'slip'))}</li>")
    return f"<ul>{''.join(lines)}</ul>" if lines else ""


# ---------------------------------------------------------------- people


def _signed(entries: Sequence[SignOff], words: Words) -> str:
    lines = []
    for each in entries:
        facts = told.SignedLine(each.verdict, each.by, each.on, each.note)
        keys = ["line", "note"] if each.note else ["line"]
        lines.append(f"<li>{' '.join(safe(words.say(facts, key)) for key in keys)}</li>")
    return f"<ul>{''.join(lines)}</ul>"


def _agreement(compared: Compared, head: told.PackFacts, words: Words) -> str:
    found = compared.found
    half = Z95 * found.error
    facts = told.AgreementFacts(
        found.pairs,
        found.alike,
        found.chance,
        found.kappa,
        found.error,
        max(-1.0, found.kappa - half),
        min(1.0, found.kappa + half),
    )
    if not found.pairs:
        return f"<p>{safe(words.say(facts, 'none'))}</p>"
    keys = ["pairs", "untold" if math.isnan(found.kappa) else "kappa"]
    text = f"<p>{' '.join(safe(words.say(facts, key)) for key in keys)}</p>"
    if not compared.disputed:
        return text
    heads = "".join(
        f'<th scope="col">{safe(words.say(told.DisputedHeads(), key))}</th>' for key in told.DisputedHeads.says_
    )
    rows = "".join(
        f"<tr><td>{safe(each.learner)}</td><td>{safe(each.item)}</td>"
        f"<td>{safe(words.say(told.DisputedMark(each.one, each.by), 'mark'))}</td>"
        f"<td>{safe(words.say(told.DisputedMark(each.other, each.by_other), 'mark'))}</td></tr>"
        for each in compared.disputed
    )
    return f"{text}<h3>{safe(words.say(head, 'disputed'))}</h3><table><tr>{heads}</tr>{rows}</table>"

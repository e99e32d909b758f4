"""A printed paper, its answer sheet and its mark scheme, as text for the typesetter."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from probebook.assessment.letters import letter_of
from probebook.publish import facts as told
from probebook.publish import pictures
from probebook.publish.booklet import Booklet
from probebook.publish.markup import block, inline, quoted
from probebook.questions.model import Field, FieldKind, Kind, Question, Response, Slip
from probebook.unit_format import format_quantity
from probebook.words import Phrase, Words

if TYPE_CHECKING:
    from collections.abc import Mapping

    from probebook.cases.library import SlipNote

__all__ = ["answer_sheet", "letter", "mark_scheme", "question_paper"]

#: Points of the letters of a text, and of one in large print.
USUAL, LARGE = 10.5, 18.0
#: Rows of the form for readings.
ROWS = 10
#: Room for drawings in large print: the letters of an enlarged part are no smaller than this.
LARGE_SHEET = pictures.Sheet(letters=14.0)


def letter(field: Field, option: str) -> str:
    """The letter that an option has on paper, by its place; the id itself where there is no such option."""
    ids = [each.id for each in field.options]
    return letter_of(ids.index(option)) if option in ids else option


class _Page:
    """What the parts of a paper share."""

    def __init__(self, booklet: Booklet, words: Words) -> None:
        self.booklet, self.words = booklet, words
        self.sheet = LARGE_SHEET if booklet.large else pictures.Sheet()

    def say(self, key: str) -> Phrase:
        return self.words.say(told.PaperTexts(), key)

    def heading(self, number: int, question: Question, key: str = "question") -> str:
        facts = told.HeadingFacts(number, Phrase(question.title), question.marks)
        return f"heading(level: 2, {inline(self.words.say(facts, key))})"

    def picture(self, svg: str, alt: str) -> str:
        return pictures.typeset(svg, alt, self.sheet, parts=self.booklet.large)

    def whole(self, title: str, parts: list[str]) -> str:
        """The document: its settings, its title, its parts; a blank to write a name where it is nobody's."""
        size = LARGE if self.booklet.large else USUAL
        head = [f"heading(level: 1, {quoted(title)})"]
        name, date = self.say("name"), self.say("date")
        blank = "_" * 24
        head.append(f"par({quoted(f'{name}: {self.booklet.learner or blank}    {date}: {blank[:12]}')})")
        return _SETTINGS.format(
            title=quoted(title), size=size, language=quoted(self.words.language.tag.partition("-")[0])
        ) + "\n".join(f"#{{{part}}}" for part in head + parts)


_SETTINGS = """#set document(title: {title}, date: datetime(year: 2000, month: 1, day: 1))
#set page(paper: "a4", margin: 2cm, numbering: "1 / 1")
#set text(font: "DejaVu Sans", size: {size}pt, lang: {language})
#set par(leading: 0.75em, spacing: 1em)
#set table(stroke: 0.5pt + luma(120), inset: 0.45em)
#show table: set par(justify: false)
#show table: set text(size: 0.85em)
#show heading.where(level: 2): set block(above: 1.8em, below: 0.9em, sticky: true)
#show raw: set text(font: "DejaVu Sans Mono")
"""


def question_paper(booklet: Booklet, words: Words) -> str:
    """The questions, each case once before the first question that goes by it."""
    page = _Page(booklet, words)
    marks = math.fsum(item.question.marks for item in booklet.items)
    facts = told.PaperFacts(len(booklet.items), marks, booklet.minutes)
    parts = [f"par({inline(words.say(facts, 'sum-timed' if booklet.minutes else 'sum'))})"]
    parts.append(f"block(stroke: 0.8pt, inset: 0.7em, width: 100%, par({inline(page.say('caution'))}))")
    shown = ""
    for number, item in enumerate(booklet.items, 1):
        if item.before and item.before != shown:
            shown = item.before
            parts.append(block(item.before, page.picture, level=2))
        parts.append(page.heading(number, item.question))
        parts.append(block(item.question.prompt, page.picture))
        drawn = [page.picture(svg, pictures.told(svg)) for _, svg in item.question.pictures]
        aside = [code for code in drawn if code.startswith("page(")]
        # A drawing on a page of its own comes last, so that it does not part a question from its answers.
        parts += [code for code in drawn if code not in aside]
        parts += [_asked(page, field) for field in item.question.fields]
        parts += aside
    return page.whole(booklet.title, parts)


def _asked(page: _Page, field: Field) -> str:
    if field.kind is FieldKind.BENCH:
        return f"par({inline(page.say('bench'))})"
    how = _hint(page, field)
    lead = f"par({{strong({inline(field.label)});{quoted('. ' + how)}}})"
    if not field.options:
        return lead
    options = ",".join(inline(option.text) for option in field.options)
    return f'{lead};enum(numbering: "A", spacing: 0.7em, {options})'


def _hint(page: _Page, field: Field) -> str:
    """How a field is answered on paper, in a sentence."""
    names = {FieldKind.CHOICE: "choose", FieldKind.CHOICES: "tick", FieldKind.ORDER: "order"}
    if field.kind in names:
        return page.say(names[field.kind])
    unit = page.words.say(told.UnitFacts(_sign(field.unit)), "unit")
    return f"({unit}) {page.say('open')}" if field.allow_open else f"({unit})"


def _sign(unit: str) -> str:
    from probebook.unit_table import find_unit

    found = find_unit(unit)
    return found[1].symbol if found and found[1].symbol else unit


def answer_sheet(booklet: Booklet, words: Words) -> str:
    """A line for each thing to answer, and a form for each job at the bench."""
    page = _Page(booklet, words)
    parts = []
    for number, item in enumerate(booklet.items, 1):
        parts.append(page.heading(number, item.question, "answer-to"))
        for field in item.question.fields:
            if field.kind is FieldKind.BENCH:
                parts.append(_form(page))
                continue
            unit = f" ({_sign(field.unit)})" if field.kind is FieldKind.QUANTITY else ""
            places = max(len(field.options), 1) if field.kind is FieldKind.ORDER else 1
            blanks = "   ".join(["____"] * places) if places > 1 else "_" * 20
            letters = "" if field.kind in (FieldKind.ORDER, FieldKind.QUANTITY) else _choices(field)
            parts.append(f"par({{{inline(field.label)};{quoted(f'{unit}: {letters or blanks}')}}})")
    return page.whole(f"{page.say('sheet')}: {booklet.title}", parts)


def _choices(field: Field) -> str:
    return "     ".join(f"[  ] {letter_of(place)}" for place in range(len(field.options)))


def _form(page: _Page) -> str:
    """A table for readings, its rows numbered so that none is without a tag, and a line for the conclusion."""
    texts = told.BenchTexts()
    keys = ("controls", "wires-off", "probes", "function", "shows", "tells")
    heads = ",".join(["[]", *(quoted(page.words.say(texts, key)) for key in keys)])
    rows = ",".join(f'"{row}",' + ",".join(["[]"] * len(keys)) for row in range(1, ROWS + 1))
    table = f"table(columns: (auto, 1fr, 1fr, 1.6fr, 1fr, 1fr, 1.6fr), rows: 2.2em, table.header({heads}),{rows})"
    caption, end = page.words.say(texts, "caption"), page.words.say(texts, "conclusion")
    return f"par({quoted(caption)});{table};par({quoted(f'{end}: ' + '_' * 40)})"


def mark_scheme(booklet: Booklet, words: Words, slips: Mapping[str, SlipNote]) -> str:
    """The key of each question, what is accepted, how it is got, what earns some marks, and the slips to look for."""
    page = _Page(booklet, words)
    parts = []
    for number, item in enumerate(booklet.items, 1):
        parts.append(page.heading(number, item.question))
        parts += [_key(page, item.question, field) for field in item.question.fields]
        parts += _method(page, item.question)
        parts += _slips(page, item.question, slips)
    return page.whole(f"{page.say('scheme')}: {booklet.title}", parts)


def _key(page: _Page, question: Question, field: Field) -> str:
    words = page.words
    lead = f"{words.say(told.SchemeTexts(), 'key')}: " if len(question.fields) == 1 else f"{field.label}: "
    answer = field.answer if field.kind is FieldKind.QUANTITY else _shown(field, field.answer)
    sentences = [f"{answer}"]
    if field.kind is FieldKind.BENCH:
        sentences = [" → ".join(field.answer)]
    if field.band is not None and math.isfinite(field.band.high):
        ends = (format_quantity(end, field.unit, 4) for end in (field.band.low, field.band.high))
        sentences.append(words.say(told.BandFacts(*ends), "accept"))
    for option, marks in field.partial:
        sentences.append(words.say(told.PartialFacts(Phrase(_shown(field, option)), marks), "partly"))
    parts = [f"par({{strong({inline(lead)});{inline('; '.join(sentences))}}})"]
    if field.before:
        texts = {each.id: Phrase(each.text) for each in field.options}
        pairs = [words.say(told.PairFacts(texts[one], texts[two]), "pair") for one, two in field.before]
        parts.append(f"par({inline(words.say(told.SchemeTexts(), 'any-order'))})")
        parts.append(f"list({','.join(inline(pair) for pair in pairs)})")
    return ";".join(parts)


def _shown(field: Field, response: Response) -> str:
    """An answer as it stands on paper: letters, and for one option its text."""
    if isinstance(response, list):
        return " ".join(letter(field, each) for each in response) if response else "–"
    text = {option.id: option.text for option in field.options}.get(response)
    return f"{letter(field, response)}, {text}" if text else response


def _method(page: _Page, question: Question) -> list[str]:
    texts = told.SchemeTexts()
    found = [("working", question.working), ("why", question.explanation)]
    lead = [(page.words.say(texts, key), text) for key, text in found if text]
    return [f"block({{par(strong({quoted(name)}));{block(text, page.picture)}}})" for name, text in lead]


def _slips(page: _Page, question: Question, notes: Mapping[str, SlipNote]) -> list[str]:
    if not question.slips or question.kind is Kind.BENCH:
        return []
    texts = told.SchemeTexts()
    lines = [inline(_slip(page, question, slip, notes)) for slip in question.slips]
    return [f"par(strong({quoted(page.words.say(texts, 'slips'))}));list({','.join(lines)})"]


def _slip(page: _Page, question: Question, slip: Slip, notes: Mapping[str, SlipNote]) -> str:
    field = question.field(slip.field)
    name = notes[slip.slip].name if slip.slip in notes else slip.slip
    if slip.critical:
        name = f"{name}, {page.words.say(told.SchemeTexts(), 'critical')}"
    pair = field.kind is FieldKind.ORDER and len(slip.response) == 2
    texts = {option.id: option.text for option in field.options}
    shown = [texts.get(each, each) for each in slip.response] if pair else [_shown(field, slip.response), ""]
    facts = told.SlipFacts(Phrase(shown[0]), Phrase(shown[1]), name, slip.marks, Phrase(slip.advice))
    return page.words.say(facts, "before" if pair else "slip")

"""In the pseudo-language every word bears a mark: a word without one did not pass through the words.

Population: every cell of every workbook, every question with its options, reasons, advice, explanation and working, the
text in every picture, the form and the working of every question, progress, the first practice, the preview of every
appliance. What may stand unmarked is listed here, once, with the reason.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from functools import cache
from html import unescape
from pathlib import Path

import pytest

from probebook.cases.kitchen import kitchen
from probebook.cases.library import Library
from probebook.questions.model import FieldKind, Question
from probebook.unit_table import PREFIX_LETTERS, UNITS
from probebook.words.pseudo import PSEUDO, unmarked
from probebook.workbook.build.compiling import Compiled, compile_plan
from probebook.workbook.build.files import sheet_text
from probebook.workbook.build.plan import load_plans

SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"
LIBRARY = Library(SCENARIOS, language=PSEUDO)


def _units() -> set[str]:
    """Signs and spellings of units with their prefixes: the same in every language (BIPM, SI brochure, 9th edition)."""
    signs = {
        part for row in UNITS for text in (row.symbol, row.name, row.spellings) for part in re.findall(r"\w+", text)
    }
    return signs | {prefix + sign for prefix in PREFIX_LETTERS for sign in signs} | {"μF", "degC"}


def _names() -> set[str]:
    """People, makers and their models: names are not translated."""
    setting = kitchen(SCENARIOS)
    texts = [*setting.given, *setting.family]
    for name in LIBRARY.appliance_ids:
        plate = LIBRARY.appliance(name).plate
        texts += [plate.maker, plate.designation]
    texts += [meter.title for meter in LIBRARY.meters.values()]
    return {word.strip("¤") for text in texts for word in re.findall(r"[^\W\d_]+", text)}


ALLOWED = (
    _units()
    | _names()
    # Letters of options, tags, contacts, sections, formula signs, and the mark of the metalwork.
    | set("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz") | {"ϑ", "⅓", "⅔", "PE"}
    # Colour codes of conductors (IEC 60757), and letters a dial and a display bear (common practice).
    | {"BN", "BU", "BK", "GY", "GNYE", "RD", "OFF", "COM", "OL", "CH", "IEC", "AC", "DC"}
    # Ids of alloys, as alloys.toml has them: the page is for authors.
    | {"nicr", "slow", "cooled", "fecral"}
    # The beginning of job numbers.
    | {"TR"}
)  # fmt: skip


@cache
def workbooks() -> tuple[Compiled, ...]:
    """Every workbook in the pseudo-language."""
    return tuple(compile_plan(plan, LIBRARY) for plan in load_plans(SCENARIOS, LIBRARY.words))


def texts_of(question: Question) -> Iterator[tuple[str, str]]:
    """Everything of a question that a learner reads."""
    for name in ("title", "prompt", "explanation", "working"):
        yield f"{question.id}.{name}", getattr(question, name)
    for field in question.fields:
        yield f"{question.id}.{field.key}.label", field.label
        for option in field.options:
            yield f"{question.id}.{field.key}.{option.id}", f"{option.text}\n{option.why}"
    for slip in question.slips:
        yield f"{question.id}.{slip.slip}", slip.advice
    for name, svg in question.pictures:
        yield f"{question.id}.{name}", "\n".join(re.findall(r"<(?:title|desc|text)[^>]*>(.*?)</", svg, re.DOTALL))


def bare(texts: Iterator[tuple[str, str]]) -> dict[str, list[str]]:
    """Where a word stands without its mark: place → words."""
    found = {where: unmarked(text, ALLOWED) for where, text in texts}
    return {where: words for where, words in found.items() if words}


@pytest.mark.slow
def test_every_cell_and_question_passes_through_the_words() -> None:
    """No cell, question, picture or marking sheet of any workbook holds a word that another language cannot say."""

    def all_texts() -> Iterator[tuple[str, str]]:
        for compiled in workbooks():
            for cell in compiled.cells:
                yield f"{compiled.plan.stem}/{cell.id}", cell.reads if cell.code else cell.source
            for question in compiled.questions:
                yield from ((f"{compiled.plan.stem}/{where}", text) for where, text in texts_of(question))

    assert bare(all_texts()) == {}
    assert '"language":"qps"' in sheet_text(workbooks()[0], LIBRARY).replace(" ", "").replace("\n", "")


@pytest.mark.slow
def test_forms_progress_and_verdicts_pass_through_the_words() -> None:
    """What a form shows unanswered, answered with the key and with a slip, and the table of progress, bear the mark."""
    from probebook.workbook.forms.form import Form
    from probebook.workbook.progress import progress_html, progress_rows

    def form_texts() -> Iterator[tuple[str, str]]:
        for compiled in workbooks():
            for question in compiled.questions:
                if any(field.kind is FieldKind.BENCH for field in question.fields):
                    continue
                where = f"{compiled.plan.stem}/{question.id}"
                form = Form(question, LIBRARY.words)
                for number, response in enumerate(({}, question.key(), *_slips(question))):
                    form.set(response)
                    form.check()
                    shown = [form.model.verdict, form.model.state, form.model.view if not number else {}]
                    yield f"{where}#{number}", unescape(re.sub(r"<[^>]+>", " ", "\n".join(shown_texts(shown))))
            titles = {outcome.id: outcome.title for outcome in LIBRARY.outcomes.values()}
            rows = progress_rows(compiled.questions, lambda _: (), LIBRARY.words, titles)
            yield f"{compiled.plan.stem}/progress", progress_html(rows, LIBRARY.words)

    assert bare(form_texts()) == {}


def shown_texts(held: object, name: str = "") -> Iterator[str]:
    """Every text in plain data that a page shows: not its keys, nor what tells the page what to draw."""
    if isinstance(held, str) and name not in ("kind", "tone", "language"):
        yield held
    elif isinstance(held, dict):
        for key, value in held.items():
            yield from shown_texts(value, key)
    elif isinstance(held, list):
        for value in held:
            yield from shown_texts(value)


def _slips(question: Question) -> list[dict[str, object]]:
    return [
        {**question.key(), slip.field: slip.response} for slip in question.slips[:1] if isinstance(slip.response, str)
    ]


@pytest.mark.slow
@pytest.mark.parametrize("name", LIBRARY.appliance_ids)
def test_the_preview_passes_through_the_words(name: str) -> None:
    """The page an author looks at bears the mark, too."""
    from probebook.workbook.preview import preview

    html = preview(LIBRARY.appliance(name), LIBRARY)
    html = re.sub(r"<style>.*?</style>", "", html, flags=re.DOTALL)
    html = re.sub(r"(?<=<metadata>)[^<]*", _embedded, html)
    assert unmarked(unescape(html), ALLOWED) == []


def _embedded(found: re.Match[str]) -> str:
    """What a reader is told of a drawing, without the names of its data and the marks of what is drawn."""
    data = json.loads(unescape(found[0]))
    said = [
        {key: text for key, text in each.items() if key in ("title", "told", "label")}
        for reading in data["readings"]
        for each in (reading, *reading["loads"])
    ]
    return "\n".join(shown_texts([data["words"], said]))

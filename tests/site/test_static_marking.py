"""Static pages mark as the core does: every option, numbers as people type them, orders, ticks; compared in node."""

from __future__ import annotations

import json
import random
import shutil
import subprocess
from dataclasses import replace
from itertools import permutations
from pathlib import Path
from typing import Any

import pytest

from english import WORDS
from probebook.questions.codec import read_sheet
from probebook.questions.marking import mark
from probebook.questions.model import Field, FieldKind, Question
from probebook.site.marking import marking_words, question_table
from probebook.workbook.forms.verdict import score_words, verdict
from probebook.workbook.forms.view import asked, shown_options, to_response

ROOT = Path(__file__).resolve().parents[2]
RUNNER = ROOT / "tests" / "browser_code" / "mark_static.js"
SHEETS = sorted((ROOT / "answer_keys").glob("*.json"))
OWNERS = ("14-what-is-safe-to-look-at", "15-what-readings-mean-and-when-to-stop")

#: What people type into a box for a number; {n} is a number near the key, {u} its unit.
TYPED = (
    "", "  ", "{n}", "{n} {u}", "{n}{u}", "{n}.0", "1,200 W", "1,2 k{u}", "1.2k", "1k2 {u}", "2k2", "4R7", "R47",
    "47M", "0.047 kΩ", "OL", "open", "∞ ohm", "> 200 MΩ", "> 2 kΩ", "< 3", "47 ± 2", "47²", "230 V AC", "230 V~", "x",
    "12 parsec", "-3", "- 3 {u}", "−3 {u}", "180 C", "356 °F", "180°", "453.15 K", "5½ {u}", "1.2 × 10³ {u}", "1.2e3",
    "1 000", "1 0000", "1,20,0", "R = 47 ohm", "I= {n} {u}", "{n} {u}.", "0L", "m", "5 m", "47 mohm", "47 Mohm", "5 %",
    "0.05", "12 min", "0.2 h", "720 s", "1e400", "9" * 70, "47 meg", "3 amps", "3 AMPS", "{n} WATTS", "1.5 kw",
    "<b>7</b>", "7 & 8", "½",
)  # fmt: skip

pytestmark = pytest.mark.skipif(shutil.which("node") is None, reason="needs node")


def typed(field: Field) -> list[str]:
    """Answers to a field for a number: the key, each slip's band, and what people type."""
    assert field.band is not None
    key = str(field.answer)
    number, _, unit = key.partition(" ")
    return [key, *(text.format(n=number or "1", u=unit or field.unit) for text in TYPED)]


def of_field(field: Field, rng: random.Random) -> list[Any]:
    """Answers to one field, as a page holds them."""
    count = len(field.options)
    if field.kind is FieldKind.QUANTITY:
        return list(typed(field))
    if field.kind is FieldKind.CHOICE:
        return [None, *range(count)]
    if field.kind is FieldKind.CHOICES:
        return [[], *([place for place in range(count) if rng.random() < 0.5] for _ in range(20)), list(range(count))]
    orders = list(permutations(range(count))) if count < 5 else [rng.sample(range(count), count) for _ in range(40)]
    place = {option.id: number for number, option in enumerate(shown_options(field))}
    return [[], [place[step] for step in field.answer], *map(list, orders)]


def answers_to(question: Question, slips: bool = True) -> list[list[Any]]:
    """Answers to a question: each field goes through all of its own, the others by chance."""
    rng = random.Random(question.id)
    fields = asked(question)
    each = [of_field(field, rng) for field in fields]
    if slips:
        for place, field in enumerate(fields):
            bands = [slip.band for slip in question.slips if slip.field == field.key and slip.band is not None]
            if field.kind is FieldKind.QUANTITY:
                each[place] += [f"{(band.low + band.high) / 2:.9g}" for band in bands]
    found = []
    for place, given in enumerate(each):
        found += [[one if here == place else rng.choice(others) for here, others in enumerate(each)] for one in given]
    return found


def by_core(question: Question, answer: list[Any]) -> dict[str, Any]:
    """What the form of a notebook would show."""
    response = {field.key: to_response(field, given) for field, given in zip(asked(question), answer, strict=True)}
    marked = mark(question, response, WORDS)
    is_right = str(marked.standing) == "right"
    told = verdict(question, marked, WORDS, is_earned=is_right)
    score = score_words(question, marked if marked.scored else None, 1, WORDS)
    return {"verdict": told, "score": str(score)}


def questions_of(name: str) -> tuple[Question, ...]:
    """The questions of a sheet that need no bench."""
    return tuple(q for q in read_sheet(ROOT / "answer_keys" / f"{name}.json").questions if not q.bench)


@pytest.mark.parametrize("name", [path.stem for path in SHEETS])
def test_a_static_page_says_what_the_core_says(name: str, tmp_path: Path) -> None:
    """Verdict, sentence, parts, advice what to do next, marks: the same for every answer tried."""
    questions = questions_of(name)
    answers = [answers_to(question) for question in questions]
    told = {
        "words": marking_words(WORDS),
        "asked": [
            {"table": question_table(question, WORDS), "answers": given}
            for question, given in zip(questions, answers, strict=True)
        ],
    }
    path = tmp_path / "told.json"
    path.write_text(json.dumps(told), encoding="utf-8")
    done = subprocess.run(["node", str(RUNNER), str(path)], capture_output=True, check=True, timeout=120)
    for question, given, found in zip(questions, answers, json.loads(done.stdout), strict=True):
        for answer, page in zip(given, found, strict=True):
            core = json.loads(json.dumps(by_core(question, answer)))
            assert page == core, (question.id, answer)


def test_a_critical_slip_takes_all_marks_on_a_page_too() -> None:
    """The tables of the owners' workbooks hold at least one answer that could kill, and it earns nothing."""
    tables = [question_table(question, WORDS) for name in OWNERS for question in questions_of(name)]
    critical = [
        outcome
        for table in tables
        for field in table["fields"]
        for outcome in (*field.get("outcomes", ()), *(slip["outcome"] for slip in field.get("slips", ())))
        if outcome.get("critical")
    ]
    assert critical
    assert all(outcome["marks"] == 0.0 for outcome in critical)


def test_a_table_is_of_the_question_as_it_is_asked() -> None:
    """Options are marked by their numbers in the order shown: the right one is the key's."""
    question = next(
        q for q in questions_of("05-parallel-paths") if len(q.fields) == 1 and q.fields[0].kind is FieldKind.CHOICE
    )
    table = question_table(replace(question), WORDS)
    outcomes = table["fields"][0]["outcomes"]
    right = [place for place, outcome in enumerate(outcomes) if outcome["standing"] == "right"]
    assert [table["fields"][0]["ids"][place] for place in right] == [question.fields[0].answer]

"""What the tests of item packages share: packages made once, answers to try, and an answer as a player takes it."""

from __future__ import annotations

import functools
import itertools
import math
import random
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from probebook.api import load_library
from probebook.api.exporting import bank
from probebook.cases.library import Library
from probebook.publish.booklet import Booklet
from probebook.publish.package.gathering import Gathered, gather
from probebook.publish.package.packing import package_files
from probebook.publish.package.standards import STANDARDS
from probebook.questions.marking import mark, read_quantity
from probebook.questions.model import Band, Field, FieldKind, Marked, Question, Response

ROOT = Path(__file__).resolve().parents[2]
BOOKS = sorted(path.stem for path in (ROOT / "answer_keys").glob("*.json"))
VERSIONS = tuple(STANDARDS)
#: All workbooks as parameters, a few of them quick.
EACH_BOOK = [*BOOKS[:3], *(pytest.param(book, marks=pytest.mark.slow) for book in BOOKS[3:])]
#: SI per unit beside the box, and what is added, of the units that questions ask for (SI brochure, 9th edition).
UNITS = {"ohm": (1, 0), "W": (1, 0), "A": (1, 0), "V": (1, 0), "%": (0.01, 0), "min": (60, 0), "degC": (1, 273.15)}
#: Ticks are tried in every combination up to so many options; orders at random.
ALL_TICKS, ORDERS = 6, 25


@functools.cache
def library() -> Library:
    """The trade, from the scenarios of this checkout."""
    return load_library(ROOT / "scenarios")


@functools.cache
def gathered(book: str) -> tuple[Booklet, Gathered]:
    """A workbook, and the package of its questions."""
    (booklet,) = bank([book], ROOT)
    return booklet, gather(book, [booklet], lambda _language: library().words)


@functools.cache
def files_of(book: str, version: str) -> dict[str, bytes]:
    """The files of the package of a workbook."""
    return package_files(gathered(book)[1].package, STANDARDS[version])


@dataclass(frozen=True)
class Asked:
    """A question, and the file of its item."""

    question: Question
    data: bytes


def asked(book: str, version: str) -> list[Asked]:
    """The questions of a workbook that are in its package."""
    booklet, found = gathered(book)
    files, questions = files_of(book, version), {item.id: item.question for item in booklet.items}
    return [Asked(questions[each.question], files[f"items/{each.item}.xml"]) for each in found.carried]


def marked(question: Question, response: dict[str, Response]) -> Marked:
    """What marking says at the end of a paper."""
    return mark(question, response, library().words, final=True)


# ---------------------------------------------------------------- answers to try


def answers(question: Question, rng: random.Random) -> Iterator[dict[str, Response]]:
    """The key, nothing, every answer to one field with the key in the others, and answers at random."""
    key = {field.key: bare(field) for field in question.fields}
    yield key
    yield {}
    tried = {field.key: list(field_answers(question, field, rng)) for field in question.fields}
    for field in question.fields:
        for each in tried[field.key]:
            yield {**key, field.key: each}
    if len(question.fields) > 1:
        for _ in range(12):
            yield {name: rng.choice([*given, ""]) for name, given in tried.items()}


def bare(field: Field) -> Response:
    """The key as it is given in a player: a quantity as a bare number in the unit beside the box, or OL."""
    if field.kind is not FieldKind.QUANTITY:
        return field.answer
    factor, offset = UNITS[field.unit]
    value = read_quantity(field, str(field.answer))
    return "OL" if math.isinf(value) else f"{(value - offset) / factor:.10g}"


def field_answers(question: Question, field: Field, rng: random.Random) -> Iterator[Response]:
    """Answers to one field: every option, every slip, the edges of every band, ticks and orders."""
    slips = [slip for slip in question.slips if slip.field == field.key]
    names = [option.id for option in field.options]
    if field.kind is FieldKind.CHOICE:
        yield from names
    elif field.kind is FieldKind.CHOICES:
        sizes = range(1, len(names) + 1) if len(names) <= ALL_TICKS else (1, 2, len(names))
        yield from (list(each) for size in sizes for each in itertools.combinations(names, size))
        yield from (list(slip.response) for slip in slips if isinstance(slip.response, list))
    elif field.kind is FieldKind.ORDER:
        for slip in slips:
            later, earlier = slip.response
            order = [name for name in field.answer if name != later]
            yield [*order[: order.index(earlier)], later, *order[order.index(earlier) :]]
        yield list(reversed(field.answer))
        yield from (rng.sample(names, len(names)) for _ in range(ORDERS))
    else:
        bands = [field.band, *(slip.band for slip in slips)]
        yield from (repr(each) for band in bands if band for each in edge_numbers(field, band))
        yield from ("0", "1", "123456.75", repr(rng.uniform(0, 1000)))
        if field.allow_open:
            yield "OL"


def edge_numbers(field: Field, band: Band) -> Iterator[float]:
    """Numbers that are typed at the ends of a band: the floats on either side, short decimals, and the middle."""
    factor, offset = UNITS[field.unit]
    ends = [end for end in (band.low, band.high) if math.isfinite(end)]
    for end in ends:
        typed = (end - offset) / factor
        near = [typed]
        for way in (-math.inf, math.inf):
            step = typed
            for _ in range(3):
                step = math.nextafter(step, way)
                near.append(step)
        near += [float(f"{typed:.{digits}g}") for digits in (2, 3, 4, 6)]
        yield from (each for each in near if each >= 0 or field.unit == "degC")
    if len(ends) == 2:
        yield (sum(ends) / 2 - offset) / factor


# ---------------------------------------------------------------- an answer as a player takes it


def given(
    question: Question, response: dict[str, Response], choices: dict[str, dict[str, str]]
) -> dict[str, list[str]]:
    """The answer by response of the item; ``choices`` says which identifier each option's text has, by response."""
    found: dict[str, list[str]] = {}
    for number, field in enumerate(question.fields, 1):
        answer, name = response.get(field.key, ""), f"RESPONSE_{number}"
        if field.kind is FieldKind.QUANTITY:
            is_open = answer == "OL"
            found[name] = [str(answer)] if answer and not is_open else []
            if is_open:
                found[f"OPEN_{number}"] = ["OL"]
            continue
        texts = {option.id: plain(option.text) for option in field.options}
        chosen = [answer] if isinstance(answer, str) else answer
        found[name] = [choices[name][texts[each]] for each in chosen if each]
    return found


def plain(text: str) -> str:
    """A text without the marks of Markdown, blanks made one."""
    return " ".join(re.sub(r"\*\*|__|`|\*|\\", "", text).split())

"""Hints to a question, step by step: how to go about it, the figures put in, one thing that it is not.

They are derived from what the question knows of itself, and none gives the answer: a line of the working stops before
its result, a number that would be accepted is never told, nor is the option that is right. Of a number of ticks it is
told how many there are, and of an order one pair.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator
from typing import TYPE_CHECKING

from probebook.errors import ScenarioError
from probebook.questions.model import Field, FieldKind, Question
from probebook.words import Phrase
from probebook.workbook.forms.hint_facts import (
    BeforeHint,
    BenchHint,
    FiguresHint,
    FormulaHint,
    HintButton,
    MethodHints,
    NotThisHint,
    SoManyHint,
)
from probebook.workbook.markup import plain

if TYPE_CHECKING:
    from probebook.words import Words

__all__ = ["HINT", "button_words", "hint_id", "hints"]

#: Under this, before a question's id, a journal keeps that a hint to it was read.
HINT = "hint/"
#: Of fewer options none is ruled out: little would be left to answer.
FEWEST = 4
#: Prefixes that a number in a working may stand without, as factors, and per cent.
SCALES = (1.0, 1e-3, 1e3, 1e-6, 1e6, 1e9, 1e-2, 60.0)

_NUMBER = re.compile(r"(?<![\w.])\d[\d  ]*(?:\.\d+)?")
_SYMBOLS = re.compile(r"[A-Z]\w*(?:²| \w+)? = [^=0-9]*[A-Z][^=0-9]*")


def hint_id(question_id: str) -> str:
    """What a journal calls the hints to a question."""
    return f"{HINT}{question_id}"


def button_words(words: Words) -> str:
    """What the button is called; empty in a marking sheet of an older build, which carries no hints."""
    try:
        return words.say(HintButton(), "hint") if words.has(HintButton, "hint") else ""
    except ScenarioError:
        return ""


def hints(question: Question, words: Words) -> tuple[str, ...]:
    """The hints in order, as Markdown; at least one."""
    found = [_method(question, words), *_figures(question, words)]
    for field in question.fields:
        found += _of_field(question, field, words)
    if question.bench:
        found.append(words.say(BenchHint(), "bench-more"))
    return tuple(dict.fromkeys(hint for hint in found if not _tells(question, hint)))


def _method(question: Question, words: Words) -> Phrase:
    """Which formula, where the working has one; else how to go about a question of the kind."""
    for line in question.working.splitlines():
        formula = _SYMBOLS.match(line)
        if formula is not None:
            return words.say(FormulaHint(Phrase(formula[0].strip())), "formula")
    kind, field = str(question.kind), question.fields[0].kind.value
    for key in (f"{kind}-{question.outcome}-{field}", f"{kind}-{field}", kind):
        if words.has(MethodHints, key):
            return words.say(MethodHints(), key)
    return words.say(MethodHints(), "other")


def _figures(question: Question, words: Words) -> Iterator[Phrase]:
    """Each line of a sum up to its result."""
    for line in question.working.splitlines():
        put_in, _, result = line.rpartition("=")
        if len(_NUMBER.findall(put_in)) >= 2 and _NUMBER.search(result):
            yield words.say(FiguresHint(Phrase(f"{put_in.strip()} =")), "figures")


def _of_field(question: Question, field: Field, words: Words) -> Iterator[Phrase]:
    texts = {option.id: Phrase(plain(option.text)) for option in field.options}
    if field.kind is FieldKind.CHOICE and len(texts) >= FEWEST:
        earning = {field.answer if isinstance(field.answer, str) else "", *(name for name, _ in field.partial)}
        wrong = [name for name in texts if name not in earning]
        if len(wrong) > 1:
            # Which one is a matter of the question alone; the digest decides, then the id.
            name = min(wrong, key=lambda name: (_digest(question.id, field.key, texts[name]), name))
            yield words.say(NotThisHint(Phrase(plain(field.label)), texts[name]), "not-this")
    elif field.kind is FieldKind.CHOICES and 0 < len(field.answer) < len(texts):
        yield words.say(SoManyHint(len(field.answer), len(texts)), "so-many")
    elif field.kind is FieldKind.ORDER and len(texts) >= FEWEST:
        critical = [tuple(slip.response)[::-1] for slip in question.slips if slip.critical and len(slip.response) == 2]
        pair = next((pair for pair in critical if pair in field.before), next(iter(field.before), None))
        if pair is not None:
            yield words.say(BeforeHint(texts[pair[0]], texts[pair[1]]), "before")


def _digest(*parts: str) -> str:
    return hashlib.sha256("/".join(parts).encode()).hexdigest()


def _tells(question: Question, hint: str) -> bool:
    """Whether a hint holds an answer that would be accepted."""
    numbers = [float(re.sub(r"[^\d.]", "", number)) for number in _NUMBER.findall(hint)]
    for field in question.fields:
        if field.band is not None and any(field.band.holds(number * scale) for number in numbers for scale in SCALES):
            return True
        if field.kind is FieldKind.CHOICE:
            right = next((plain(option.text) for option in field.options if option.id == field.answer), "")
            if right and right.casefold() in hint.casefold():
                return True
    return False

"""Words of the trade that a workbook uses, explained: which of them its lessons hold, and what they mean here."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from probebook.errors import ScenarioError
from probebook.memo import memo_by_identity
from probebook.regions.facts import region_facts
from probebook.words import Phrase
from probebook.workbook.pages.lesson_facts import GlossaryHead, TermLine

if TYPE_CHECKING:
    from probebook.cases.library import Library

__all__ = ["Term", "first_met", "glossary", "glossary_page", "terms_in"]


@dataclass(frozen=True, slots=True)
class Term:
    """A word, how it may stand in a lesson, what it means; in a language, with the words of a region."""

    word: str
    forms: tuple[str, ...]
    text: str


@memo_by_identity(16)
def glossary(library: Library) -> tuple[Term, ...]:
    """All words that are explained, in the order of their file.

    Raises
    ------
    ScenarioError
        The file is bad, or two words share a form.
    """
    from probebook.scenario_layers import load_joined
    from probebook.workbook.build.formats import GlossaryText

    words, facts = library.words, region_facts(library.region, library.words)
    rows = load_joined(library.folder / "text" / "en" / "glossary.toml", GlossaryText, words).term
    found, met = [], dict[str, str]()
    for row in rows:

        def said(text: str, where: str = f"glossary.toml: {row.id}") -> str:
            return words.say_text(facts, text, where)

        term = Term(said(row.word), tuple(dict.fromkeys(said(form) for form in row.forms)), said(row.text))
        for form in term.forms:
            if form in met:
                raise ScenarioError(
                    f"the form '{form}' belongs to '{met[form]}' too",
                    where=f"glossary.toml: {row.id}.forms",
                    remedy="take it out of one of the two",
                )
            met[form] = row.id
        found.append(term)
    return tuple(found)


@lru_cache(maxsize=512)
def _pattern(forms: tuple[str, ...]) -> re.Pattern[str]:
    """Matches a form as a word of its own, the longest first; capitals matter only in forms that have no others."""
    longest = ((re.escape(form), form.isupper()) for form in sorted(forms, key=len, reverse=True))
    spelt = (form if is_upper else f"(?i:{form})" for form, is_upper in longest)
    return re.compile(rf"(?<![\w-])(?:{'|'.join(spelt)})(?![\w-])")


def first_met(text: str, terms: Iterable[Term]) -> Iterator[tuple[int, int, Term]]:
    """Where a text first holds each of the terms: (start, end, term), in order, none within another."""
    hits = []
    for number, term in enumerate(terms):
        found = _pattern(term.forms).search(text)
        if found is not None:
            hits.append((found.start(), -found.end(), number, term))
    end = 0
    for start, negative, _, term in sorted(hits, key=lambda hit: hit[:3]):
        if start >= end:
            end = -negative
            yield start, end, term


def terms_in(texts: Sequence[str], library: Library) -> tuple[Term, ...]:
    """The terms that lessons use, by their words in order."""
    whole = "\n".join(texts)
    used = [term for term in glossary(library) if _pattern(term.forms).search(whole)]
    return tuple(sorted(used, key=lambda term: term.word.casefold()))


def glossary_page(terms: Sequence[Term], library: Library) -> Phrase:
    """The terms as the last pages of a workbook have them; empty for none."""
    words = library.words
    lines = tuple(str(words.say(TermLine(term.word, term.text), "line")) for term in terms)
    return words.say(GlossaryHead(lines), "head") if lines else Phrase("")

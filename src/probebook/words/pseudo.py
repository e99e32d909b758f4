"""The pseudo-language ``qps``: English in which every word bears a mark, so that what was not said by it shows.

The mark is put behind each word. Numbers, marks of parts, code, links, tags of a page and formulae are no words and
stay as they are.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from probebook.words.language import Language
from probebook.words.templates import Segment

__all__ = ["MARK", "PSEUDO", "marked", "marked_language", "marked_segments", "unmarked"]

PSEUDO = "qps"
#: Stands behind every word that passed through the words.
MARK = "¤"

# What is left alone: holes of a template, tags and entities of a page, code, links, formulae, file names, and anything
# with a figure in it.
_ALONE = (
    r"\{\{[^{}]*\}\}|"
    r"<[^<>\n]*>|&\#?\w+;|```.*?```|`[^`\n]*`|\$[^$\n]+\$|\]\([^)\s]*\)|https?://\S+"
    r"|[\w.-]*\.(?:toml|ipynb|jsonl|json|md|svg|html|py)\b|[^\W_]*[0-9][\w.]*"
)
_WORD = r"[^\W\d_]+(?:[’'][^\W\d_]+)*"
_TOKENS = re.compile(f"({_ALONE})|({_WORD})({MARK}?)", re.DOTALL)


def marked(text: str) -> str:
    """Return the text with a mark behind each word; a word that bears one is left as it is."""
    return _TOKENS.sub(lambda m: m[1] if m[1] is not None else f"{m[2]}{MARK}", text)


def marked_segments(segments: list[Segment]) -> list[Segment]:
    """Return a sentence with the words of its texts, and of the texts given to its ways, marked."""
    return [marked(s) if isinstance(s, str) else [s[0], *(_marked_way(way) for way in s[1:])] for s in segments]


_SPOKEN = frozenset(("plural", "choose", "gender"))
_WRAPPING = frozenset(("join", "each"))


def _marked_way(way: list[Any]) -> list[Any]:
    name, args, named = way
    if name in _SPOKEN:
        return [name, args, {key: marked(text) if isinstance(text, str) else text for key, text in named.items()}]
    if name in _WRAPPING:
        return [name, [marked(arg) if isinstance(arg, str) else arg for arg in args], named]
    return way


def marked_language(language: Language) -> Language:
    """Return the language with the words of its lists, articles, months and numerals marked."""
    return replace(
        language,
        both=marked(language.both),
        last=marked(language.last),
        either=marked(language.either),
        either_last=marked(language.either_last),
        articles={w: {k: marked(t) for k, t in table.items()} for w, table in language.articles.items()},
        months=tuple(marked(month) for month in language.months),
        numerals=tuple(marked(numeral) for numeral in language.numerals),
    )


def unmarked(text: str, allowed: Iterable[str] = ()) -> list[str]:
    """Return the words of a text that bear no mark, each once and in order, but for those allowed."""
    fine = set(allowed)
    found = [m[2] for m in _TOKENS.finditer(text) if m[1] is None and not m[3] and m[2] not in fine]
    return list(dict.fromkeys(found))

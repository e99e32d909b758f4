"""A language: how it lists things, writes numbers, counts, and puts an article before a noun."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields
from functools import cached_property
from typing import Any

from probebook.words.nouns import Noun

__all__ = ["CATEGORIES", "Language"]

#: The plural categories of Unicode's rules, in their order.
CATEGORIES = ("zero", "one", "two", "few", "many", "other")
_COUNTED = 200  # rules for whole numbers go by the last two figures, and some languages treat nought to nineteen alone


@dataclass(frozen=True)
class Language:
    """What a language needs beyond its sentences, from ``text/<language>/language.toml``.

    Attributes
    ----------
    id, title, locale
        Name of the folder, name for people, and the locale whose rules of number and plural hold.
    between, both, last, either, either_last
        What stands between items of a list: between all but the last two, between only two, before the last of more;
        and the same two for a choice.
    decimal, thousands
        The signs in numbers.
    plurals
        A figure for each count from 0 to 199: the index in :data:`CATEGORIES`. Empty is one for 1, else other.
    articles
        ``the`` and ``a``: texts by case and gender (``accusative.m``, ``many``, ``default``; ``vowel`` where the
        noun begins with one).
    vowels
        Letters before which the ``vowel`` article stands.
    possessive
        Endings of a possessor: ``default`` and one after ``s``.
    months
        Names of the twelve months.
    numerals
        Small numbers in words, from nought.
    cases
        Cases in which composed names have forms of their own.
    """

    id: str
    title: str = ""
    locale: str = ""
    between: str = ", "
    both: str = " and "
    last: str = " and "
    either: str = " or "
    either_last: str = " or "
    decimal: str = "."
    thousands: str = ","
    plurals: str = ""
    articles: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    vowels: str = ""
    possessive: Mapping[str, str] = field(default_factory=dict)
    months: tuple[str, ...] = ()
    numerals: tuple[str, ...] = ()
    cases: tuple[str, ...] = ()

    @property
    def tag(self) -> str:
        """The language as the ``lang`` attribute of a page names it: ``en-GB``."""
        return (self.locale or self.id).replace("_", "-")

    # ---------------------------------------------------------------- lists and numbers

    def listed(self, items: Sequence[str]) -> str:
        """Return ``a``, ``a and b``, ``a, b and c``; nothing of nothing."""
        return self._joined(items, self.both, self.last)

    def alternatives(self, items: Sequence[str]) -> str:
        """Return ``a``, ``a or b``, ``a, b or c``; nothing of nothing."""
        return self._joined(items, self.either, self.either_last)

    def _joined(self, items: Sequence[str], two: str, last: str) -> str:
        if len(items) < 2:
            return items[0] if items else ""
        if len(items) == 2:
            return two.join(items)
        return f"{self.between.join(items[:-1])}{last}{items[-1]}"

    def number(self, text: str) -> str:
        """Return a number written with point and comma (Python's way) with the signs of the language."""
        if self.decimal == "." and self.thousands == ",":
            return text
        return text.translate({ord("."): self.decimal, ord(","): self.thousands})

    def category(self, number: float) -> str:
        """Return the plural category of a number; what is no whole number is 'other'."""
        count = abs(int(number))
        if count != abs(number):
            return "other"
        if not self.plurals:
            return "one" if count == 1 else "other"
        place = count if count < _COUNTED else 100 + count % 100
        return CATEGORIES[int(self.plurals[place])]

    @cached_property
    def categories(self) -> tuple[str, ...]:
        """The plural categories that a text has to provide for."""
        used = {self.category(n) for n in range(_COUNTED)} | {"other"}
        return tuple(c for c in CATEGORIES if c in used)

    # ---------------------------------------------------------------- nouns

    def with_article(self, which: str, noun: Noun, case: str = "") -> str:
        """Return the noun, in a case, behind its article ('the' or 'a'); bare where the language has none."""
        text = noun.form(case) if case else noun.text
        table = self.articles.get(which, {})
        article = noun.article if which == "a" and not case else ""
        article = article or self._article(table, noun, text, case)
        return f"{article} {text}" if article else text

    def _article(self, table: Mapping[str, str], noun: Noun, text: str, case: str) -> str:
        kind = "many" if noun.number == "many" else noun.gender
        if "vowel" in table and text[:1].lower() in self.vowels:
            return table["vowel"]
        for key in (f"{case}.{kind}", case, kind, "default"):
            if key and key in table:
                return table[key]
        return ""

    def owner(self, text: str) -> str:
        """Return a name as a possessor: ``the meter’s``, ``the leads’``."""
        ending = self.possessive.get(text[-1:].lower(), self.possessive.get("default", ""))
        return f"{text}{ending}"

    # ---------------------------------------------------------------- reading and carrying

    def to_data(self) -> dict[str, Any]:
        """Return the language as JSON can hold it."""
        return {f.name: getattr(self, f.name) for f in fields(self) if getattr(self, f.name) != f.default}

    @classmethod
    def from_data(cls, data: Mapping[str, Any]) -> Language:
        """Make a language from :meth:`to_data` or from the text file's table.

        KeyError for an unknown key; TypeError, with the key, where a value is not of the sort that its default is.
        """
        known = {f.name for f in fields(cls)}
        unknown = sorted(set(data) - known)
        if unknown:
            raise KeyError(unknown[0])
        values: dict[str, Any] = {key: tuple(v) if isinstance(v, list) else v for key, v in data.items()}
        for key, value in values.items():
            if not isinstance(value, type(getattr(_PLAIN, key))) or not all(isinstance(each, str) for each in value):
                raise TypeError(key)
        if not all(
            isinstance(table, dict) and all(isinstance(article, str) for article in table.values())
            for table in values.get("articles", {}).values()
        ):
            raise TypeError("articles")
        return cls(**values)


_PLAIN = Language(id="")


def babel_rules(locale: str) -> dict[str, str]:
    """Return ``decimal``, ``thousands`` and ``plurals`` of a locale as Babel knows them; ValueError for none."""
    from babel import Locale, UnknownLocaleError
    from babel.numbers import get_decimal_symbol, get_group_symbol

    try:
        found = Locale.parse(locale, sep="-" if "-" in locale else "_")
    except UnknownLocaleError as error:
        raise ValueError(locale) from error
    plurals = "".join(str(CATEGORIES.index(found.plural_form(n))) for n in range(_COUNTED))
    return {"decimal": get_decimal_symbol(found), "thousands": get_group_symbol(found), "plurals": plurals}

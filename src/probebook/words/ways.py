"""Ways of saying a fact: ``{{ fact|way(arguments) }}``.

Each way is made once for a language and its arguments, and is then a plain function of the value. Of a tuple, a way
for single values says each item. Numbers have their ways in :mod:`probebook.words.number_ways`.
"""

from __future__ import annotations

from typing import Any

import probebook.words.number_ways  # noqa: F401 - enters its ways
from probebook.words.language import CATEGORIES, Language
from probebook.words.nouns import Noun
from probebook.words.way_registry import WAYS, ArgumentsError, Said, Way, text_of, way

__all__ = ["WAYS", "ArgumentsError", "Said", "Way", "choice_key", "make_way"]


def make_way(language: Language, name: str, args: tuple[Any, ...], named: dict[str, Any]) -> Said:
    """Return the function that says a value in this way.

    Raises
    ------
    KeyError
        There is no such way.
    ArgumentsError
        The arguments do not suit it.
    """
    found = WAYS[name]
    try:
        say = found.make(language, *args, **named)
    except ArgumentsError:
        raise
    except TypeError as error:
        raise ArgumentsError(f"the way '{name}' takes other arguments than these") from error
    if found.whole:
        return say

    def say_each(value: Any) -> Any:
        return tuple([say(v) for v in value]) if value.__class__ is tuple else say(value)

    return say_each


# ---------------------------------------------------------------- text and lists


@way("capital", "text thing")
def _capital(language: Language) -> Said:
    del language

    def say(value: Any) -> str:
        text = str(value)
        return f"{text[:1].upper()}{text[1:]}"

    return say


@way("lower", "text thing")
def _lower(language: Language) -> Said:
    del language

    def say(value: Any) -> str:
        text = str(value)
        return f"{text[:1].lower()}{text[1:]}"

    return say


@way("possessive", "text thing")
def _possessive(language: Language) -> Said:
    return lambda value: language.owner(str(value))


def _strings(items: Any) -> list[str]:
    return [str(item) for item in items]


@way("list", "many", whole=True)
def _list(language: Language) -> Said:
    return lambda items: language.listed(_strings(items))


@way("either", "many", whole=True)
def _either(language: Language) -> Said:
    return lambda items: language.alternatives(_strings(items))


@way("commas", "many", whole=True)
def _commas(language: Language) -> Said:
    return lambda items: language.between.join(_strings(items))


@way("join", "many", whole=True)
def _join(language: Language, separator: str) -> Said:
    del language
    text_of(separator)
    return lambda items: separator.join(_strings(items))


@way("each", "many text thing count", gives="each")
def _each(language: Language, before: str, after: str = "") -> Said:
    del language
    text_of(before)
    text_of(after)
    return lambda item: f"{before}{item}{after}"


@way("count", "many", whole=True)
def _count(language: Language) -> Said:
    del language
    return lambda items: str(len(items))


# ---------------------------------------------------------------- choosing


@way("plural", "count number many thing", whole=True)
def _plural(language: Language, **forms: str) -> Said:
    if not forms or not set(forms) <= set(CATEGORIES) or not all(isinstance(f, str) for f in forms.values()):
        raise ArgumentsError(f"forms are texts named {', '.join(language.categories)}")
    missing = [c for c in language.categories if c not in forms]
    if missing:
        raise ArgumentsError(f"the plural form '{missing[0]}' is missing")

    def say(value: Any) -> str:
        if isinstance(value, Noun):
            return forms["other" if value.number == "many" else "one"]
        return forms[language.category(value if isinstance(value, int | float) else len(value))]

    return say


@way("choose", "choice", whole=True)
def _choose(language: Language, **texts: str) -> Said:
    del language
    if not texts or not all(isinstance(t, str) for t in texts.values()):
        raise ArgumentsError("name a text for each thing that may be chosen")
    by_value: dict[Any, str] = dict(texts)
    if "yes" in texts:
        by_value[True] = texts["yes"]
    if "no" in texts:
        by_value[False] = texts["no"]

    def say(value: Any) -> str:
        found = by_value.get(value)
        return by_value[choice_key(value)] if found is None else found

    return say


def choice_key(value: Any) -> str:
    """Return a value of a Literal, an enum or a bool as a template names it: ``up-side`` is ``up_side``."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    text = "".join(c if c.isalnum() else "_" for c in str(value))
    return text if not text[:1].isdigit() else f"_{text}"


# ---------------------------------------------------------------- nouns


@way("the", "thing")
def _the(language: Language, case: str = "") -> Said:
    text_of(case)
    return lambda noun: language.with_article("the", noun, case)


@way("a", "thing")
def _a(language: Language, case: str = "") -> Said:
    text_of(case)
    return lambda noun: language.with_article("a", noun, case)


@way("many", "thing")
def _many(language: Language) -> Said:
    del language
    return lambda noun: noun.plural or noun.text


@way("form", "thing")
def _form(language: Language, case: str) -> Said:
    del language
    text_of(case)
    return lambda noun: noun.form(case)


@way("gender", "thing")
def _gender(language: Language, **texts: str) -> Said:
    del language
    if not texts or not all(isinstance(t, str) for t in texts.values()):
        raise ArgumentsError("name a text for each gender")
    other = texts.get("other", next(iter(texts.values())))

    def say(noun: Noun) -> str:
        return texts.get("many" if noun.number == "many" else noun.gender, other)

    return say

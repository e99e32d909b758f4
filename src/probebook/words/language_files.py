"""The files of a language beside its sentences: ``language.toml`` and ``nouns.toml``."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from probebook.errors import ScenarioError
from probebook.scenario_layers import joined_data, joined_files
from probebook.words.language import Language, babel_rules
from probebook.words.nouns import Noun
from probebook.words.sources import flat

__all__ = ["noun_of", "read_language", "read_nouns"]


def read_language(folder: Path, language_id: str, *, english: bool) -> Language:
    """Read how a language lists, counts and writes numbers.

    Parameters
    ----------
    folder
        The language's folder in ``text``.
    language_id
        What the language goes by.
    english
        Whether its numbers and plurals are those of English, for which Babel is not asked.

    Raises
    ------
    ScenarioError
        The file is bad, or names a locale that Babel does not know.
    """
    name = f"text/{folder.name}/language.toml"
    data = joined_data(folder / "language.toml", name)
    data["id"] = language_id
    articles = data.get("articles", {})
    if not isinstance(articles, dict) or not all(isinstance(table, dict) for table in articles.values()):
        raise ScenarioError("this is no table of articles", where=f"{name}: articles", remedy="write [articles.the]")
    data["articles"] = {which: dict(flat(table)) for which, table in articles.items()}
    if not english:
        try:
            data = {**babel_rules(data.get("locale", language_id)), **data}
        except ValueError as error:
            raise ScenarioError(
                "this locale is not known", where=f"{name}: locale", remedy="write one such as pl or pt_BR"
            ) from error
    try:
        return Language.from_data(data)
    except KeyError as error:
        raise ScenarioError("this key is not known here", where=f"{name}: {error.args[0]}") from error
    except TypeError as error:
        raise ScenarioError(
            "this is the wrong kind of value",
            where=f"{name}: {error.args[0]}",
            remedy="write texts, as English has them",
        ) from error


def read_nouns(folder: Path) -> dict[str, Noun]:
    """Read the nouns of a language, by text and by id, the id going first; none where there is no file.

    Raises
    ------
    ScenarioError
        The file is bad, or a noun is not a table of texts that nouns have.
    """
    name = f"text/{folder.name}/nouns.toml"
    path = folder / "nouns.toml"
    if not joined_files(path):
        return {}
    found: dict[str, Noun] = {}
    by_text: dict[str, Noun] = {}
    for noun_id, row in joined_data(path, name).items():
        try:
            noun = noun_of(noun_id, row)
        except (TypeError, ValueError) as error:
            raise ScenarioError(
                "this is no noun",
                where=f"{name}: {noun_id}",
                remedy="it has text, plural, article, gender, forms",
            ) from error
        found[noun_id] = noun
        by_text.setdefault(noun.text, noun)
    return {**by_text, **found}


def noun_of(noun_id: str, row: Mapping[str, Any]) -> Noun:
    """Return a noun from a table of texts; TypeError or ValueError when it is none."""
    keys = dict(row)
    forms = tuple(dict(keys.pop("forms", {})).items())
    keys.setdefault("id", noun_id)
    keys.setdefault("text", noun_id)
    noun = Noun(forms=forms, **keys)
    texts = (*(value for key, value in vars(noun).items() if key != "forms"), *dict(noun.forms).values())
    if not all(isinstance(text, str) for text in texts):
        raise TypeError(noun_id)
    return noun

"""Names of scenario files in the Markdown of a workbook: a star or a stroke in them is a letter, and marks nothing."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import fields, is_dataclass, replace
from typing import TYPE_CHECKING, Any

from probebook.cases.kitchen import kitchen

if TYPE_CHECKING:
    from probebook.cases.library import Library
    from probebook.questions.model import Question

__all__ = ["Letters", "letters_of"]

#: What Markdown makes something of inside a line; tags and links are seen to when the notebook is written.
_SIGNS = "*_`|~$\\&"
_SIGNED = re.compile(r"(?=.*\w)(?:.*[*_`|~$\\]|.*&#?\w+;)", re.DOTALL)
_ENTITIES = str.maketrans({sign: f"&#{ord(sign)};" for sign in _SIGNS})


class Letters:
    """Puts entities for the signs of Markdown in certain names, wherever those stand in a text."""

    def __init__(self, names: Iterable[str]) -> None:
        found = {form for name in names for form in (name, name[:1].upper() + name[1:])}
        self._names = sorted(found, key=lambda name: (-len(name), name))

    def __bool__(self) -> bool:
        return bool(self._names)

    def text(self, markdown: str) -> str:
        """The Markdown with every sign in those names as a letter."""
        for name in self._names:
            markdown = markdown.replace(name, name.translate(_ENTITIES))
        return markdown

    def question(self, question: Question) -> Question:
        """The question with its Markdown so written; labels and options are plain text as they are."""
        told = {name: self.text(getattr(question, name)) for name in ("prompt", "explanation", "working")}
        slips = tuple(replace(slip, advice=self.text(slip.advice)) for slip in question.slips)
        return replace(question, slips=slips, **told)


def letters_of(library: Library, title: str, appliances: Iterable[str]) -> Letters:
    """The names that a workbook of that title draws on and that hold a sign of Markdown: hardly ever any."""
    held: list[object] = [title, *(library.appliance(each) for each in sorted(set(appliances)))]
    setting = kitchen(library.folder, library.words)
    held += [setting.given, setting.family, setting.premises, setting.days, setting.since, setting.manners]
    return Letters(text for each in held for text in _texts(each) if _SIGNED.match(text))


def _texts(held: Any) -> Iterator[str]:
    """Every text in plain data and in the dataclasses of the trade."""
    if isinstance(held, str):
        yield str(held)
    elif is_dataclass(held):
        for each in fields(held):
            yield from _texts(getattr(held, each.name))
    elif isinstance(held, Mapping):
        for value in held.values():
            yield from _texts(value)
    elif isinstance(held, (tuple, list, frozenset)):
        for value in held:
            yield from _texts(value)

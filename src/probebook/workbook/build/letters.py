"""Names of scenario files in the Markdown of a workbook: a star or a stroke in them is a letter, and marks nothing."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import fields, is_dataclass, replace
from typing import TYPE_CHECKING, Any

from probebook.cases.kitchen import kitchen
from probebook.workbook.pages.tables import cell

if TYPE_CHECKING:
    from probebook.cases.library import Library
    from probebook.questions.model import Question

__all__ = ["Letters", "letters_of"]

#: What Markdown makes something of inside a line; tags and links are seen to when the notebook is written.
_SIGNS = "*_`|~$\\&"
_SIGNED = re.compile(r"(?=.*\w)(?:.*[*_`|~$\\]|.*&#?\w+;)", re.DOTALL)
#: Fields of an appliance, its plate, parts, wires, positions and faults that hold what people read; the rest are marks,
#: keys and names of branches.
_READ = frozenset((
    "title", "short", "maker", "designation", "protection", "cover", "note", "basis", "looks", "mend", "fit", "source",
    "text", "thing",
))  # fmt: skip
_ENTITIES = str.maketrans({sign: f"&#{ord(sign)};" for sign in _SIGNS})


class Letters:
    """Puts entities for the signs of Markdown in certain names, wherever those stand in a text."""

    def __init__(self, names: Iterable[str]) -> None:
        forms = {form for name in names for form in (name, name[:1].upper() + name[1:])}
        # Longest first: a name within another is a part of it. In a table a cell has its strokes escaped already.
        self._written = {
            written: form.translate(_ENTITIES)
            for form in sorted(forms, key=lambda form: (-len(form), form))
            for written in (cell(form), form)
        }

    def __bool__(self) -> bool:
        return bool(self._written)

    def text(self, markdown: str) -> str:
        """The Markdown with every sign in those names as a letter."""
        for written, letters in self._written.items():
            markdown = markdown.replace(written, letters)
        return markdown

    def question(self, question: Question) -> Question:
        """The question with its Markdown so written; labels and options are plain text as they are."""
        return replace(
            question,
            prompt=self.text(question.prompt),
            explanation=self.text(question.explanation),
            working=self.text(question.working),
            slips=tuple(replace(slip, advice=self.text(slip.advice)) for slip in question.slips),
        )


def letters_of(library: Library, title: str, appliances: Iterable[str]) -> Letters:
    """The names that a workbook of that title draws on and that hold a sign of Markdown: hardly ever any."""
    setting = kitchen(library.folder, library.words)
    names = (title, setting.given, setting.family, setting.premises, setting.days, setting.since)
    trade = (*(library.appliance(each) for each in sorted(set(appliances))), *setting.manners.values())
    texts = (*_texts(names, is_read=True), *_texts(trade, is_read=False))
    return Letters(text for text in texts if _SIGNED.match(text))


def _texts(held: Any, *, is_read: bool) -> Iterator[str]:
    """What people read in plain data and in the dataclasses of the trade."""
    if isinstance(held, str):
        if is_read:
            yield str(held)
    elif is_dataclass(held):
        for each in fields(held):
            yield from _texts(getattr(held, each.name), is_read=each.name in _READ)
    elif isinstance(held, Mapping):
        for value in held.values():
            yield from _texts(value, is_read=is_read)
    elif isinstance(held, (tuple, list, frozenset)):
        for value in held:
            yield from _texts(value, is_read=is_read)

"""Words that are explained where a lesson first uses them: a button in the text, and what it opens.

What opens is a popover of HTML, which needs no script: a keyboard reaches the button, Escape closes what it opened.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from probebook.workbook.markup import inline, safe
from probebook.workbook.pages.glossary import Term, first_met

if TYPE_CHECKING:
    from markdown_it.token import Token

__all__ = ["Marker", "read_terms"]

#: More words than these are not taken from a notebook.
MOST = 200
#: Where no word is marked: it is code there, or stands for something already.
_INSIDE = {"strong_open": 1, "strong_close": -1, "em_open": 1, "em_close": -1}


def read_terms(data: object) -> tuple[Term, ...]:
    """The words that a notebook's metadata name; those that are spelt otherwise than we write them are left out."""
    found = []
    for row in data[:MOST] if isinstance(data, list) else ():
        if isinstance(row, list) and len(row) == 3:
            word, forms, text = row
            fine = isinstance(word, str) and isinstance(text, str) and isinstance(forms, list) and forms
            if fine and all(isinstance(form, str) and form for form in forms):
                found.append(Term(word, tuple(forms), text))
    return tuple(found)


class Marker:
    """Marks each word at its first use in the lessons of one workbook."""

    def __init__(self, terms: Iterable[Term]) -> None:
        self._terms = list(terms)
        self._numbers = {term: number for number, term in enumerate(self._terms)}

    def mark(self, tokens: Sequence[Token]) -> str:
        """Put buttons into a lesson that was read; what they open, as HTML to stand behind it."""
        met: list[Term] = []
        is_heading = False
        for token in tokens:
            if token.type in ("heading_open", "heading_close"):
                is_heading = token.type == "heading_open"
            elif token.type == "inline" and not is_heading:
                met += self._mark_line(token)
        return "".join(
            f'<div class="pb-explained" id="term-{self._numbers[term]}" popover>'
            f"<p><b>{safe(term.word)}</b>: {inline(term.text)}</p></div>\n"
            for term in met
        )

    def _mark_line(self, line: Any) -> list[Term]:
        depth, children, met = 0, [], list[Term]()
        for child in line.children or []:
            depth += _INSIDE.get(child.type, 0)
            if child.type != "text" or depth:
                children.append(child)
                continue
            end = 0
            for start, after, term in list(first_met(child.content, self._terms)):
                children += [_text(child, child.content[end:start]), self._button(child, start, after, term)]
                end = after
                met.append(term)
                self._terms.remove(term)
            children.append(_text(child, child.content[end:]))
        line.children = children
        return met

    def _button(self, child: Token, start: int, end: int, term: Term) -> Token:
        shown = safe(child.content[start:end])
        button = child.copy()
        button.type = "html_inline"
        button.content = (
            f'<button type="button" class="pb-term" popovertarget="term-{self._numbers[term]}">{shown}</button>'
        )
        return button


def _text(child: Token, content: str) -> Token:
    piece = child.copy()
    piece.content = content
    return piece

"""The little Markdown of questions as HTML. Everything is escaped: no text brings a tag, a link or a picture along."""

from __future__ import annotations

import functools
import re
from collections.abc import Collection
from html import escape
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from markdown_it import MarkdownIt

__all__ = ["aligned", "block", "inline", "plain", "printable", "safe", "tame"]

#: What would begin a tag, and what would end the text of a link or a picture.
_ACTIVE = re.compile(r"<(?=[A-Za-z/!?])|\](?=[(\[:])")

_ALIGNED = re.compile(r'(?<=<t[hd]) style="text-align:(?P<side>left|center|right)"')


@functools.cache
def _reader() -> MarkdownIt:
    from markdown_it import MarkdownIt

    reader = MarkdownIt("commonmark", {"html": False, "breaks": False}).enable("table")
    return reader.disable(["image", "link", "autolink", "html_block", "html_inline", "reference"])


def block(text: str) -> str:
    """Paragraphs, lists and tables."""
    return aligned(str(_reader().render(printable(text))))


def aligned(html: str) -> str:
    """Rendered Markdown with the alignment of tables' columns as classes: a page may forbid styles in attributes."""
    return _ALIGNED.sub(lambda found: ' class="pb-figure"' if found["side"] == "right" else "", html)


def inline(text: str) -> str:
    """A sentence: bold, italic and code only."""
    return str(_reader().renderInline(printable(text)))


def plain(text: str) -> str:
    """A sentence without its marks, for the places that show plain text only (labels, options)."""
    return re.sub(r"(\*\*|__|`)(.+?)\1", r"\2", printable(text)).strip()


def safe(text: str) -> str:
    """Text as it stands, escaped."""
    return escape(printable(text))


def tame(text: str, drawings: Collection[str] = ()) -> str:
    """Markdown of a notebook's cell in which tags, links and pictures stay the letters they are.

    ``drawings`` are the names of the cell's own pictures (``attachment:NAME``), which are shown. What is escaped is
    written as an entity: whatever stands before it, no reader of Markdown takes that for a sign.
    """

    def letter(found: re.Match[str]) -> str:
        ours = any(text.startswith(f"](attachment:{name})", found.start()) for name in drawings)
        return "&lt;" if found[0] == "<" else found[0] if ours else "&#93;"

    return _ACTIVE.sub(letter, text)


def printable(text: str) -> str:
    """The text without halves of surrogate pairs, which no page can hold."""
    return text.encode("utf-8", "replace").decode("utf-8")

"""Tables of the start page and of the record of practice."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from probebook.page.start.facts import OfMarks
from probebook.words import Words
from probebook.workbook.markup import safe

__all__ = ["cell", "marks_of", "table"]


def cell(html: str, *, figure: bool = False) -> str:
    """A cell that holds HTML; figures are set to the right."""
    return f'<td class="pb-figure">{html}</td>' if figure else f"<td>{html}</td>"


def marks_of(marks: float, out_of: float, words: Words) -> str:
    """Marks out of how many, as HTML."""
    return safe(words.say(OfMarks(marks, out_of), "of"))


def table(caption: str, heads: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A table in a frame that scrolls by itself; caption and heads are HTML, ``#`` before a head marks figures.

    The first item of a row is its heading as text; the others are cells.
    """
    head = "".join(f'<th scope="col"{_FIGURE * name.startswith("#")}>{name.removeprefix("#")}</th>' for name in heads)
    body = "".join(f'<tr><th scope="row">{safe(first)}</th>{"".join(rest)}</tr>\n' for first, *rest in rows)
    return (
        f'<div class="pb-wide" tabindex="0" role="region" aria-label="{caption}"><table>'
        f'<caption class="pb-unseen">{caption}</caption><thead><tr>{head}</tr></thead>\n'
        f"<tbody>{body}</tbody></table></div>\n"
    )


_FIGURE = ' class="pb-figure"'

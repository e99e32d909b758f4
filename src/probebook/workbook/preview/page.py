"""The shell of a preview page: one self-contained HTML file for screen and print, light and dark, with no requests."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from probebook.words import Facts, Words
from probebook.workbook.document import document
from probebook.workbook.markup import safe
from probebook.workbook.preview.facts import PageTexts
from probebook.workbook.style import style_tag

__all__ = ["Section", "figure", "heads", "page", "table"]

#: Columns whose heading starts with this hold figures and are set to the right.
FIGURES = "#"


@dataclass(frozen=True, slots=True)
class Section:
    """A section of the page: its anchor, which is also the name of its heading, and its HTML."""

    anchor: str
    html: str


def heads(words: Words, texts: Facts, *keys: str) -> list[str]:
    """Heads of a table's columns by the sentences that say them; ``#`` before a name marks figures."""
    return [FIGURES * key.startswith(FIGURES) + words.say(texts, key.removeprefix(FIGURES)) for key in keys]


def table(caption: str, head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A table with its caption; cells are HTML. The first cell of a row is its heading, and ``#`` marks figures."""
    figures = [name.startswith(FIGURES) for name in head]
    names = "".join(
        f'<th scope="col"{_figure(is_figure)}>{safe(name.removeprefix(FIGURES))}</th>'
        for name, is_figure in zip(head, figures, strict=True)
    )
    body = "".join(f"<tr>{_row(row, figures)}</tr>\n" for row in rows)
    many = ' class="many"' if len(head) > 4 else ""
    return (
        f'<div class="wide" tabindex="0" role="region" aria-label="{safe(caption)}"><table{many}><caption>'
        f"{safe(caption)}</caption>\n<thead><tr>{names}</tr></thead>\n<tbody>\n{body}</tbody></table></div>\n"
    )


def _row(row: Sequence[str], figures: Sequence[bool]) -> str:
    first, *rest = row
    cells = "".join(f"<td{_figure(is_figure)}>{cell}</td>" for cell, is_figure in zip(rest, figures[1:], strict=True))
    return f'<th scope="row"{_figure(figures[0])}>{first}</th>{cells}'


def _figure(is_figure: bool) -> str:
    return ' class="figure"' if is_figure else ""


def figure(svg: str, caption: str, summary: str = "", told: str = "") -> str:
    """A drawing with its caption, and what it says in words folded away below it, under a summary."""
    folded = f"<details><summary>{safe(summary)}</summary><p>{safe(told)}</p></details>" if told else ""
    return (
        f'<figure><div class="wide" tabindex="0" role="region" aria-label="{safe(caption)}">{svg}</div>'
        f"<figcaption>{safe(caption)}</figcaption>{folded}</figure>\n"
    )


def page(title: str, lead: str, sections: Sequence[Section], words: Words) -> str:
    """The whole page; ``lead`` is HTML."""
    texts = PageTexts()
    headings = {s.anchor: safe(words.say(texts, s.anchor)) for s in sections}
    links = "".join(f'<li><a href="#{anchor}">{heading}</a></li>' for anchor, heading in headings.items())
    body = "".join(
        f'<section id="{s.anchor}" aria-labelledby="{s.anchor}-h"><h2 id="{s.anchor}-h">{headings[s.anchor]}</h2>\n'
        f"{s.html}</section>\n"
        for s in sections
    )
    whole = (
        f"<header><h1>{safe(title)}</h1>\n{lead}</header>\n"
        f'<nav aria-label="{safe(words.say(texts, "contents"))}"><ul>{links}</ul></nav>\n'
        f"<main>\n{body}</main>\n"
    )
    return document(title, words.language.tag, style_tag("preview"), whole)

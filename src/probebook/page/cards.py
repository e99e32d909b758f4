"""Tables of a workbook in the page's own dress: a card of names and values is a list, and a page has fewer elements.

In a notebook a job card and a rating plate are tables whose second column has no head, since Markdown has nothing else.
A list of names and values (HTML, 4.4.9 ``dl``) says the same with half the elements, and screen readers read each name
with its value.
"""

from __future__ import annotations

import re

__all__ = ["carded"]

_CARD = re.compile(
    r"<table>\s*<thead>\s*<tr>\s*<th>(?P<head>(?:(?!</th>).)*)</th>\s*<th></th>\s*</tr>\s*</thead>\s*"
    r"<tbody>(?P<rows>(?:(?!</tbody>).)*)</tbody>\s*</table>",
    re.DOTALL,
)
_ROW = re.compile(r"<tr>\s*<td>(?P<name>(?:(?!</td>).)*)</td>\s*<td>(?P<value>(?:(?!</td>).)*)</td>\s*</tr>", re.DOTALL)
#: A table of readings: its first column is the number of the row.
_NUMBERED = re.compile(
    r"<table>(?P<head>\s*<thead>\s*<tr>\s*)<th>#</th>\s*<th>(?P<rest>(?:(?!</table>).)*)</table>", re.DOTALL
)
_NUMBER = re.compile(r"<tr>\s*<td>(?P<number>\d+)</td>\s*<td>")
_BOLD = re.compile(r"<td(?P<more>(?: (?:role|data-)[^>]*)?)><strong>(?P<text>[^<]*)</strong></td>")
_HEAD = re.compile(r"<th[^>]*>(?P<text>.*?)</th>", re.DOTALL)
_TAG = re.compile(r"<[^>]*>")
_BODY_ROW = re.compile(r"<tr>\s*<td data-row.*?</tr>", re.DOTALL)
#: What the parts of a table are, said openly: laid out otherwise on a narrow page, some browsers forget it.
_ROLES = (
    ("<thead", "rowgroup"),
    ("<tbody", "rowgroup"),
    ("<tr", "row"),
    ("<th", "columnheader"),
    ("<td", "cell"),
)
_CELL = re.compile(r"<td(?P<more>[^>]*)>(?P<text>.*?)</td>", re.DOTALL)
#: What stands in a cell of which there is nothing to say.
_NOTHING = "–"


def carded(html: str) -> str:
    """Rendered Markdown: cards as lists, other tables in a frame that scrolls, bold cells as a class, rows numbered."""
    html = _CARD.sub(_card, html)
    html = _NUMBERED.sub(_numbered, html)
    html = _BOLD.sub(r'<td\g<more> class="pb-strong">\g<text></td>', html)
    return html.replace("<table", '<div class="pb-wide" tabindex="0"><table').replace("</table>", "</table></div>")


def _numbered(found: re.Match[str]) -> str:
    """A table in which the style sheet draws the number of a row in the first cell, which is read aloud with it."""
    rest, many = _NUMBER.subn(r'<tr><td data-row="\g<number>">', found["rest"])
    if many != found["rest"].count("<tr>"):
        return found[0]
    heads = [_TAG.sub("", head["text"]).strip() for head in _HEAD.finditer(f"<th>{rest}")]
    rest = _BODY_ROW.sub(lambda row: _named(row[0], heads), rest)
    whole = f'{found["head"]}<th data-row="#">{rest}'
    for tag, role in _ROLES:
        whole = re.sub(rf"{tag}\b", f'{tag} role="{role}"', whole)
    return f'<table class="pb-numbered" role="table">{whole}</table>'


def _named(row: str, heads: list[str]) -> str:
    """A row whose cells carry the head of their column, for a page too narrow for columns."""
    left = iter(heads)

    def cell(found: re.Match[str]) -> str:
        none = " data-none" if found["text"] == _NOTHING else ""
        return f'<td{found["more"]} data-head="{next(left, "")}"{none}>{found["text"]}</td>'

    return _CELL.sub(cell, row)


def _card(found: re.Match[str]) -> str:
    rows = "".join(f"<dt>{row['name']}</dt><dd>{row['value']}</dd>\n" for row in _ROW.finditer(found["rows"]))
    return f'<p class="pb-card-name">{found["head"]}</p>\n<dl class="pb-card">\n{rows}</dl>'

"""The little Markdown of questions as code of the typesetter. Text goes in as quoted strings only: none is code."""

from __future__ import annotations

import base64
import binascii
import functools
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from markdown_it import MarkdownIt
    from markdown_it.tree import SyntaxTreeNode

__all__ = ["Picture", "block", "inline", "join", "quoted"]

#: Makes the code that shows a picture: from its SVG and what it says in words.
Picture = Callable[[str, str], str]

DATA = "data:image/svg+xml;base64,"


def quoted(text: str) -> str:
    """A text as a string of the typesetter."""
    plain = "".join(c if c == "\n" or c.isprintable() or c in "\u00a0\u202f\u2009" else " " for c in text)
    return '"' + plain.replace("\\", "\\\\").replace('"', '\\"').replace("\n", " ") + '"'


def join(parts: Sequence[str]) -> str:
    """Pieces of content one after the other."""
    return "{" + ";".join(parts) + "}" if parts else "[]"


@functools.cache
def _reader() -> MarkdownIt:
    from markdown_it import MarkdownIt

    reader = MarkdownIt("commonmark", {"html": False, "breaks": False}).enable("table")
    reader = reader.disable(["link", "autolink", "html_block", "html_inline", "reference"])
    reader.validateLink = lambda url: url.startswith(DATA)  # type: ignore[method-assign]
    return reader


def block(text: str, picture: Picture, level: int = 3) -> str:
    """Paragraphs, lists, tables and pictures; headings of the text come at ``level``."""
    from markdown_it.tree import SyntaxTreeNode

    return _Writer(picture, level).nodes(SyntaxTreeNode(_reader().parse(text)).children)


def inline(text: str) -> str:
    """A sentence: bold, italic and code only."""
    from markdown_it.tree import SyntaxTreeNode

    return _Writer(lambda _svg, alt: quoted(alt), 3).nodes(SyntaxTreeNode(_reader().parseInline(text)).children)


class _Writer:
    """Writes a tree of Markdown as code."""

    def __init__(self, picture: Picture, level: int) -> None:
        self.picture = picture
        self.level = level

    def nodes(self, found: Sequence[SyntaxTreeNode]) -> str:
        return join([self.node(each) for each in found])

    def node(self, node: SyntaxTreeNode) -> str:
        kind = node.type
        if kind in ("text", "code_inline", "fence", "code_block"):
            content = quoted(node.content.rstrip("\n"))
            return content if kind == "text" else f"raw({content})"
        if kind in ("softbreak", "hardbreak"):
            return '" "' if kind == "softbreak" else "linebreak()"
        if kind == "hr":
            return "v(0.5em)"
        if kind == "image":
            return self._image(node)
        if kind == "table":
            return self._table(node)
        inside = self.nodes(node.children)
        if kind in ("bullet_list", "ordered_list"):
            items = ",".join(self.nodes(item.children) for item in node.children)
            start = node.attrs.get("start", 1)
            return f"list({items})" if kind == "bullet_list" else f"enum(start: {int(start)},{items})"
        wraps = {
            "strong": "strong",
            "em": "emph",
            "blockquote": "block",
            "heading": f"heading.with(level: {self.level})",
        }
        if kind == "paragraph":
            only_picture = [c.type for child in node.children for c in child.children] == ["image"]
            return inside if only_picture else f"par({inside})"
        return f"{wraps[kind]}({inside})" if kind in wraps else inside

    def _image(self, node: SyntaxTreeNode) -> str:
        source = str(node.attrs.get("src", ""))
        alt = "".join(child.content for child in node.children) or node.content
        try:
            svg = base64.b64decode(source.removeprefix(DATA), validate=True).decode("utf-8")
        except (binascii.Error, ValueError):
            return quoted(alt)
        return self.picture(svg, alt) if source.startswith(DATA) else quoted(alt)

    def _table(self, node: SyntaxTreeNode) -> str:
        rows = [[self.nodes(cell.children) for cell in row.children] for part in node.children for row in part.children]
        head, *body = rows
        cells = ",".join(cell for row in body for cell in row)
        widths = "(auto," + "1fr," * (len(head) - 1) + ")" if len(head) <= 3 else f"(auto,) * {len(head)}"
        return f"table(columns: {widths}, table.header({','.join(head)}),{cells})"

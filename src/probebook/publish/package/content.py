"""The little Markdown of questions as content of an item. Text goes in as text only: none of it becomes an element."""

from __future__ import annotations

import base64
import binascii
import functools
import hashlib
import re
from collections.abc import Sequence
from typing import TYPE_CHECKING
from xml.etree import ElementTree

from probebook.publish.package.model import Content, Element
from probebook.publish.pictures import told

if TYPE_CHECKING:
    from markdown_it import MarkdownIt
    from markdown_it.tree import SyntaxTreeNode

__all__ = ["Pictures", "UnsafeDrawingError", "block", "inline", "line", "text"]

DATA = "data:image/svg+xml;base64,"
SVG = "{http://www.w3.org/2000/svg}"
#: The folder of pictures, beside the items.
FOLDER = "pictures"
#: What no XML 1.0 file can hold: control characters, halves of surrogate pairs, two non-characters.
_UNWRITABLE = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
#: What a drawing is made of; whatever else could run or load something in somebody's page.
_DRAWN = frozenset(
    (
        "circle", "clipPath", "defs", "desc", "ellipse", "g", "line", "marker", "metadata", "path", "pattern",
        "polygon", "polyline", "rect", "style", "svg", "text", "title", "tspan", "use",
    )
)  # fmt: skip
#: Name spaces in which a drawing says what it is, by whom and when: RDF, licence, Dublin Core. Nothing of theirs runs.
_ABOUT = (
    "{http://www.w3.org/1999/02/22-rdf-syntax-ns#}",
    "{http://creativecommons.org/ns#}",
    "{http://purl.org/dc/elements/1.1/}",
)
#: What loads something in a style, in any case of letters; a backslash could hide it (CSS Syntax 3, section 4.3.7).
_LOADS = re.compile(r"\\|@import|url\((?!#)", re.IGNORECASE)
#: Elements of Markdown that are the same in HTML.
_SAME = {
    "paragraph": "p", "strong": "strong", "em": "em", "bullet_list": "ul", "ordered_list": "ol", "list_item": "li",
    "blockquote": "blockquote", "thead": "thead", "tbody": "tbody", "tr": "tr", "th": "th", "td": "td",
    "table": "table",
}  # fmt: skip


class UnsafeDrawingError(ValueError):
    """A drawing that is none, or holds more than a drawing."""


class Pictures:
    """The pictures of one item: each becomes a file once, named after its bytes."""

    def __init__(self) -> None:
        self.files: dict[str, bytes] = {}

    def image(self, svg: str, alt: str = "") -> Element:
        """The element that shows a drawing, with ``alt`` or what the drawing says of itself in words.

        Raises
        ------
        UnsafeDrawingError
            It is no drawing, says nothing in words, or holds something that runs or loads.
        """
        written = text(svg)
        said = " ".join((alt.strip() or _said(written)).split())
        _check_drawing(written)
        if not said:
            raise UnsafeDrawingError
        data = written.encode("utf-8")
        name = f"{FOLDER}/{hashlib.sha256(data).hexdigest()[:16]}.svg"
        self.files[name] = data
        return Element("img", (), (("src", name), ("alt", said)))


def text(written: str) -> str:
    """The text with a mark for every character that no XML file can hold."""
    return _UNWRITABLE.sub("\N{REPLACEMENT CHARACTER}", written)


def line(written: str) -> str:
    """The text for an attribute: on one line."""
    return " ".join(text(written).split())


def block(markdown: str, pictures: Pictures) -> tuple[Content, ...]:
    """Paragraphs, lists, tables and pictures; headings stand as bold lines, since an item has no outline of its own."""
    from markdown_it.tree import SyntaxTreeNode

    return _nodes(SyntaxTreeNode(_reader().parse(text(markdown))).children, pictures)


def inline(markdown: str) -> tuple[Content, ...]:
    """A sentence: bold, italic and code only."""
    from markdown_it.tree import SyntaxTreeNode

    return _nodes(SyntaxTreeNode(_reader().parseInline(text(markdown))).children, Pictures())


@functools.cache
def _reader() -> MarkdownIt:
    from markdown_it import MarkdownIt

    reader = MarkdownIt("commonmark", {"html": False, "breaks": False}).enable("table")
    reader = reader.disable(["link", "autolink", "html_block", "html_inline", "reference"])
    reader.validateLink = lambda url: url.startswith(DATA)  # type: ignore[method-assign]
    return reader


def _nodes(found: Sequence[SyntaxTreeNode], pictures: Pictures) -> tuple[Content, ...]:
    return tuple(each for node in found for each in _node(node, pictures))


def _node(node: SyntaxTreeNode, pictures: Pictures) -> tuple[Content, ...]:
    kind = node.type
    if kind == "text":
        return (text(node.content),) if node.content else ()
    if kind == "code_inline":
        return (Element("code", (node.content,)),)
    if kind in ("fence", "code_block"):
        return (Element("pre", (node.content.rstrip("\n"),)),)
    if kind in ("softbreak", "hardbreak"):
        return ("\n",) if kind == "softbreak" else (Element("br"),)
    if kind == "hr":
        return (Element("hr"),)
    if kind == "image":
        return (_image(node, pictures),)
    inside = _nodes(node.children, pictures)
    if kind == "heading":
        return (Element("p", (Element("strong", inside),)),)
    if kind == "paragraph" and node.hidden:
        return inside
    if kind not in _SAME:
        return inside
    if kind == "table":
        inside = _with_body(inside)
    right = "right" in str(node.attrs.get("style", ""))
    return (Element(_SAME[kind], inside, (("class", "figure"),) if right else ()),)


def _with_body(parts: tuple[Content, ...]) -> tuple[Content, ...]:
    """The parts of a table; one that is only a head has it as its body, since every table has one."""
    if any(isinstance(part, Element) and part.name == "tbody" for part in parts):
        return parts
    return tuple(Element("tbody", part.children) for part in parts if isinstance(part, Element))


def _image(node: SyntaxTreeNode, pictures: Pictures) -> Element:
    source = str(node.attrs.get("src", ""))
    alt = "".join(child.content for child in node.children) or node.content
    try:
        svg = base64.b64decode(source.removeprefix(DATA), validate=True).decode("utf-8")
    except (binascii.Error, ValueError) as error:
        raise UnsafeDrawingError from error
    return pictures.image(svg, alt)


def _said(svg: str) -> str:
    try:
        return told(svg).strip(". ")
    except ElementTree.ParseError as error:
        raise UnsafeDrawingError from error


def _check_drawing(svg: str) -> None:
    """Make sure that a drawing is one: nothing in it runs, loads or points elsewhere."""
    if "<!" in svg or "<?xml-" in svg:
        raise UnsafeDrawingError
    try:
        root = ElementTree.fromstring(svg)
    except ElementTree.ParseError as error:
        raise UnsafeDrawingError from error
    if root.tag != f"{SVG}svg" or not all(_is_drawn(part) for part in root.iter()):
        raise UnsafeDrawingError


def _is_drawn(element: ElementTree.Element) -> bool:
    tag = element.tag.removeprefix(SVG)
    if tag not in _DRAWN and not tag.startswith(_ABOUT):
        return False
    values = [*element.attrib.values(), "".join(element.itertext()) if tag == "style" else ""]
    loads = any(_LOADS.search(value) for value in values)
    points = any(
        key.rpartition("}")[2] == "href" and not value.startswith("#") for key, value in element.attrib.items()
    )
    return not loads and not points and not any(key.lower().startswith("on") for key in element.attrib)

"""What there is to read in a notebook of ours, as HTML: text and drawings, and the places of what is answered.

Nothing that was saved with a notebook is taken: no output, no state of a widget, no attachment. Only the text of its
cells is, of a notebook whose every line of code is one that we write; raw HTML, links and pictures other than our own
drawings stay the letters they are.
"""

from __future__ import annotations

import base64
import functools
import json
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from probebook.errors import UsageError
from probebook.page.cards import carded
from probebook.page.terms import Marker, read_terms
from probebook.workbook.finding import LONGEST_NOTEBOOK
from probebook.workbook.markup import aligned

if TYPE_CHECKING:
    from markdown_it import MarkdownIt
    from markdown_it.token import Token

__all__ = ["NAMED", "Part", "Reading", "is_paper", "read_notebook", "read_paper"]

#: Names that a workbook may have.
NAMED = re.compile(r"[A-Za-z0-9][A-Za-z0-9 ._-]*")

Kind = Literal["text", "ask", "progress", "practice", "reference", "head", "review", "hand-in"]


@dataclass(frozen=True, slots=True)
class _Lines:
    """The lines of code that we write in a notebook: the first, with its name; those that ask; others, by their parts.

    ``mark`` is the word of the metadata that holds the name, ``opens`` what stands where the first line does.
    """

    mark: str
    first: re.Pattern[str]
    ask: re.Pattern[str]
    others: Mapping[str, Kind]
    opens: Kind | None = None


_WORKBOOK = _Lines(
    "workbook",
    re.compile(r'from probebook\.workbook import open_workbook; book = open_workbook\("([^"\\\r\n]*)"\)'),
    re.compile(r'book\.ask\("([a-z0-9-]+)"\)'),
    {"book.progress()": "progress", "book.practice()": "practice"},
)
_PAPER = _Lines(
    "paper",
    re.compile(r'from probebook\.assessment\.sitting import open_paper; paper = open_paper\("([^"\\\r\n]*)"\)'),
    re.compile(r'paper\.ask\("([a-z0-9-]+)"\)'),
    {"paper.review()": "review", "paper.hand_in()": "hand-in"},
    "head",
)
_SIZE = re.compile(rb'<svg [^>]*?width="(\d+(?:\.\d+)?)(pt)?" height="(\d+(?:\.\d+)?)(pt)?"')
_DRAWING = re.compile(r"data:image/svg\+xml;base64,(?:[A-Za-z0-9+/]{4})*(?:[A-Za-z0-9+/]{2}==|[A-Za-z0-9+/]{3}=)?")


@dataclass(frozen=True, slots=True)
class Part:
    """A part of a page.

    Attributes
    ----------
    kind
        ``text`` to read, or the place of a question, of the progress, of fresh practice; ``reference`` is the sheet
        that has a page of its own.
    html
        Of a text, and of the sheet.
    question
        Id of the question that is asked there, or that the text belongs to; else empty.
    heading, anchor
        Of a text that begins a section: its heading, and the id that leads to it.
    """

    kind: Kind
    html: str = ""
    question: str = ""
    heading: str = ""
    anchor: str = ""


@dataclass(frozen=True, slots=True)
class Reading:
    """A workbook as something to read: its name, its title, its language (empty for English), its parts.

    ``drawings`` are SVG files; the address of a drawing in a part is ``drawing:`` and its number, for a page to put its
    own in place. So a page is small, and a browser draws what comes into view.
    """

    name: str
    title: str
    language: str
    parts: tuple[Part, ...]
    drawings: tuple[bytes, ...] = ()

    @property
    def summary(self) -> str:
        """What stands under the title, as HTML."""
        first = self.parts[0].html if self.parts and self.parts[0].kind == "text" else ""
        return first.partition("</h1>")[2] or first

    @property
    def sheet(self) -> str:
        """The reference sheet as HTML; empty where the workbook has none."""
        return next((part.html for part in self.parts if part.kind == "reference"), "")


def read_notebook(path: Path) -> Reading:
    """Read a workbook of ours.

    Raises
    ------
    UsageError
        It cannot be read, is none of ours, or holds other code than ours.
    """
    return _read(path, _WORKBOOK, "this is no workbook of ours")


def read_paper(path: Path) -> Reading:
    """Read a paper of ours; what is said of :func:`read_notebook` holds for it."""
    return _read(path, _PAPER, "this is no paper of ours")


def is_paper(path: Path) -> bool:
    """Whether a notebook says that it is a paper to be sat."""
    metadata = _data(path).get("metadata")
    mark = metadata.get("probebook") if isinstance(metadata, dict) else None
    return isinstance(mark, dict) and isinstance(mark.get(_PAPER.mark), str)


def _read(path: Path, lines: _Lines, wrong: str) -> Reading:
    data = _data(path)
    metadata = data.get("metadata")
    mark = metadata.get("probebook") if isinstance(metadata, dict) else None
    name = mark.get(lines.mark) if isinstance(mark, dict) else None
    cells = data.get("cells")
    if not isinstance(name, str) or not NAMED.fullmatch(name) or not isinstance(cells, list):
        raise UsageError(wrong, where=path.name, remedy="open it with --lab")
    language = mark.get("language", "") if isinstance(mark, dict) else ""
    title = metadata.get("title") if isinstance(metadata, dict) else None
    drawings: list[bytes] = []
    marker = Marker(read_terms(mark.get("terms") if isinstance(mark, dict) else None))
    parts = tuple(_parts(cells, name, path.name, _Found(drawings, marker, lines)))
    return Reading(name, str(title or name), language if isinstance(language, str) else "", parts, tuple(drawings))


def _data(path: Path) -> dict[str, Any]:
    if path.exists() and not path.is_file():
        raise UsageError("the notebook is no file", where=path.name, remedy="put the notebook there")
    try:
        size = path.stat().st_size
        data = json.loads(path.read_bytes()) if size <= LONGEST_NOTEBOOK else None
    except (OSError, ValueError, RecursionError) as error:
        raise UsageError(
            "the notebook cannot be read", where=path.name, remedy="run 'probebook build' again"
        ) from error
    if size > LONGEST_NOTEBOOK:
        raise UsageError("the notebook is far too large", where=path.name, remedy="run 'probebook build' again")
    return data if isinstance(data, dict) else {}


@dataclass(frozen=True, slots=True)
class _Found:
    """What is gathered while a notebook is read: drawings, what marks the words of lessons, its lines of code."""

    drawings: list[bytes]
    marker: Marker
    lines: _Lines


def _parts(cells: Sequence[Any], name: str, where: str, found: _Found) -> Iterator[Part]:
    sources = [(cell, _source(cell)) for cell in cells if isinstance(cell, dict)]
    code = [source for cell, source in sources if cell.get("cell_type") == "code"]
    lines = found.lines
    if not _is_ours(code, name, lines):
        raise UsageError(
            "the notebook holds code that is not ours", where=where, remedy="open it with --lab, or build it again"
        )
    asked = [line[1] for line in map(lines.ask.fullmatch, code) if line]
    texts = passed = 0
    for cell, source in sources:
        if cell.get("cell_type") == "markdown":
            texts += 1
            cell_id = str(cell.get("id", ""))
            question = asked[passed] if cell_id.startswith("question-") and passed < len(asked) else ""
            yield _text(source, cell_id, question or f"part-{texts}", found, question=question)
        elif cell.get("cell_type") == "code" and source in lines.others:
            yield Part(lines.others[source])
        elif cell.get("cell_type") == "code" and lines.opens and lines.first.fullmatch(source):
            yield Part(lines.opens)
        elif cell.get("cell_type") == "code" and lines.ask.fullmatch(source):
            yield Part("ask", question=asked[passed])
            passed += 1


def _is_ours(code: Sequence[str], name: str, lines: _Lines) -> bool:
    """Whether these lines of code are those that we write, to the letter, for a notebook of that name."""
    first = lines.first.fullmatch(code[0]) if code else None
    if first is None or first[1] != name:
        return False
    return all(lines.ask.fullmatch(line) is not None or line in lines.others for line in code[1:])


def _source(cell: dict[str, Any]) -> str:
    source = cell.get("source", "")
    return "".join(map(str, source)) if isinstance(source, list) else str(source)


# ---------------------------------------------------------------- text


@functools.cache
def _reader() -> MarkdownIt:
    from markdown_it import MarkdownIt

    reader = MarkdownIt("commonmark", {"html": False}).enable("table")
    reader.disable(["link", "autolink", "reference", "html_block", "html_inline"])
    reader.validateLink = _is_drawing  # type: ignore[method-assign]
    return reader


def _is_drawing(url: str) -> bool:
    return _DRAWING.fullmatch(url) is not None


def _text(source: str, cell_id: str, anchor: str, found: _Found, *, question: str) -> Part:
    """A cell as a part; a worked example stands beside the questions, whatever its heading's mark."""
    reader = _reader()
    tokens = reader.parse(source.encode("utf-8", "replace").decode("utf-8"))
    heading = ""
    for number, token in enumerate(tokens):
        if token.type == "heading_open":
            level = 3 if cell_id.startswith("example-") else min(int(token.tag[1]), 4)
            if not heading:
                heading = _plain(tokens[number + 1])
                token.attrSet("id", anchor)
                token.attrSet("tabindex", "-1")
            token.tag = tokens[number + 2].tag = f"h{level}"
        elif token.type == "inline":
            for child in token.children or []:
                if child.type == "image":
                    _draw(child, found.drawings)
    explained = found.marker.mark(tokens) if cell_id.startswith("text-") else ""
    html = carded(aligned(str(reader.renderer.render(tokens, reader.options, {}))))
    if cell_id == "reference":
        return Part("reference", html, heading=heading, anchor=anchor)
    is_section = any(token.type == "heading_open" and token.tag == "h2" for token in tokens)
    return Part("text", html + explained, question, heading if is_section or question else "", anchor)


def _draw(image: Token, drawings: list[bytes]) -> None:
    """Take a drawing out of the text; its size stays, so that nothing moves when it comes."""
    data = base64.b64decode(str(image.attrGet("src")).partition(",")[2])
    size = _SIZE.search(data[:2000])
    kept = {"width": _pixels(size[1], size[2]), "height": _pixels(size[3], size[4])} if size else {}
    told = {"alt": image.content, "loading": "lazy", **kept}
    image.attrs = {"class": "pb-drawing", "src": f"drawing:{len(drawings)}", **told}
    drawings.append(data)


def _pixels(length: bytes, unit: bytes | None) -> str:
    """A length in whole pixels, of which there are four to three points (CSS Values 4)."""
    return f"{float(length) * (4 / 3 if unit else 1):.0f}"


def _plain(token: Token) -> str:
    return "".join(child.content for child in token.children or [] if child.type in ("text", "code_inline"))

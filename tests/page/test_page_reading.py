from __future__ import annotations

import base64
import json
import re
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from probebook.errors import UsageError
from probebook.page.reading import read_notebook

ROOT = Path(__file__).resolve().parents[2]
BOOKS = sorted((ROOT / "workbooks").glob("*.ipynb"))
DRAWING = "data:image/svg+xml;base64," + base64.b64encode(b"<svg xmlns='http://www.w3.org/2000/svg'/>").decode()
ASK = 'book.ask("q01")'

#: Markdown that would load, lead or run something if a page let it, and what must not come of it.
HOSTILE = {
    "a script": "<script>alert(1)</script>",
    "a picture of somebody's": "![x](https://example.org/x.png)",
    "a picture that runs": '<img src="x:" onerror="alert(1)">',
    "a script as a picture": "![x](javascript:alert(1))",
    "HTML as a picture": "![x](data:text/html;base64,PHNjcmlwdD4=)",
    "a link": "[press](javascript:alert(1)) and [here](https://example.org)",
    "a bare link": "<https://example.org>",
    "a reference": "![x][far]\n\n[far]: https://example.org/x.png",
    "a frame": "<iframe src='https://example.org'></iframe>",
    "a picture with a title": f'![x" onload="alert(1)]({DRAWING} "y\\" onload=\\"alert(1)")',
}


class Tags(HTMLParser):
    """Collects tags with their attributes."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Keep a tag."""
        self.found.append((tag, dict(attrs)))


def tags(html: str) -> list[tuple[str, dict[str, str | None]]]:
    """All tags in a text."""
    parser = Tags()
    parser.feed(html)
    return parser.found


def cell(kind: str, source: str, cell_id: str = "text-001", **more: Any) -> dict[str, Any]:
    """A cell of a notebook."""
    return {"cell_type": kind, "id": cell_id, "source": source, "metadata": {}, **more}


def write(folder: Path, *cells: dict[str, Any], **metadata: Any) -> Path:
    """A notebook of ours with these cells after the one that opens it."""
    first = cell("code", 'from probebook.workbook import open_workbook; book = open_workbook("demo")', "open")
    mark = {"probebook": {"workbook": "demo"}, "title": "Demonstration"}
    path = folder / "demo.ipynb"
    path.write_text(json.dumps({"cells": [first, *cells], "metadata": mark | metadata}), encoding="utf-8")
    return path


@pytest.mark.parametrize("path", BOOKS, ids=lambda path: path.stem)
def test_every_workbook_is_read_whole(path: Path) -> None:
    """Each committed workbook gives all its text cells and questions in order, its title, and a summary."""
    cells = json.loads(path.read_text("utf-8"))["cells"]
    found = read_notebook(path)
    written = sum(cell["cell_type"] == "markdown" for cell in cells)
    assert sum(part.kind in ("text", "reference") for part in found.parts) == written
    assert sum(part.kind == "reference" for part in found.parts) == 1
    assert found.sheet
    asked = re.findall(r'book\.ask\(\\"(q\d+)\\"\)', path.read_text("utf-8"))
    assert [part.question for part in found.parts if part.kind == "ask"] == asked
    assert [part.question for part in found.parts if part.kind == "text" and part.question] == asked
    assert found.parts[0].html.startswith(f'<h1 id="part-1" tabindex="-1">{found.title.replace("&", "&amp;")}')
    assert found.summary.strip().startswith("<p>")
    drawings = sum("".join(cell["source"]).count("](data:image/svg+xml") for cell in cells)
    shown = [attributes for part in found.parts for tag, attributes in tags(part.html) if tag == "img"]
    assert len(shown) == len(found.drawings) == drawings
    assert [attributes["src"] for attributes in shown] == [f"drawing:{number}" for number in range(drawings)]
    assert all(attributes["width"] and attributes["height"] for attributes in shown)
    assert all(drawing.startswith(b"<svg ") for drawing in found.drawings)
    assert all(attributes["alt"] for attributes in shown)


@pytest.mark.parametrize("name", sorted(HOSTILE))
def test_text_brings_nothing_along(name: str, tmp_path: Path) -> None:
    """No text of a notebook becomes a script, a link, a frame or a picture other than a drawing as data."""
    found = read_notebook(write(tmp_path, cell("markdown", f"Before.\n\n{HOSTILE[name]}\n\nAfter.")))
    html = found.parts[0].html
    allowed = {"p", "img"}
    for tag, attributes in tags(html):
        assert tag in allowed, html
        assert not any(key.startswith("on") or key == "style" for key in attributes), html
        assert tag != "img" or attributes["src"] == "drawing:0", html
    assert "Before." in html
    assert "After." in html


def test_what_was_saved_is_not_taken(tmp_path: Path) -> None:
    """Outputs, attachments and the state of widgets leave no trace in what is read."""
    saved = {"outputs": [{"output_type": "display_data", "data": {"text/html": "TRACE"}}], "execution_count": 1}
    text = cell("markdown", "![x](attachment:x.svg)", attachments={"x.svg": {"image/svg+xml": "TRACE"}})
    widgets = {"application/vnd.jupyter.widget-state+json": {"state": "TRACE"}}
    found = read_notebook(write(tmp_path, text, cell("code", ASK, "ask-q01", **saved), widgets=widgets))
    assert "TRACE" not in repr(found)
    assert [part.kind for part in found.parts] == ["text", "ask"]


@pytest.mark.parametrize(
    "source",
    ["print(1)", ASK + " ", ASK + "; print(1)", 'book.ask("q01")\nprint(1)', "book.progress();", 'book.ask("Q01")', ""],
)
def test_other_code_is_refused(source: str, tmp_path: Path) -> None:
    """A notebook with any line of code but ours, down to a space, is not shown (as in the notebook's own judge)."""
    with pytest.raises(UsageError, match=r"demo\.ipynb: the notebook holds code that is not ours"):
        read_notebook(write(tmp_path, cell("code", source, "x")))


def test_what_is_no_workbook_is_refused(tmp_path: Path) -> None:
    """A notebook without our mark, text that is no notebook, and a missing file are each told in a sentence."""
    with pytest.raises(UsageError, match="no workbook of ours"):
        read_notebook(write(tmp_path, probebook={}))
    for content in ("[]", "{", "null", "[" * 100_000):
        (tmp_path / "demo.ipynb").write_text(content, encoding="utf-8")
        with pytest.raises(UsageError):
            read_notebook(tmp_path / "demo.ipynb")
    with pytest.raises(UsageError, match="cannot be read"):
        read_notebook(tmp_path / "none.ipynb")


def test_headings_lead_and_examples_stand_beside_questions(tmp_path: Path) -> None:
    """A section, a question and an example get headings of their level and an id that leads to them."""
    cells = (
        cell("markdown", "## How *far*", "text-001"),
        cell("markdown", "#### Worked example · One", "example-002"),
        cell("markdown", "### Question 1 · Two (2 marks)", "question-003"),
        cell("code", ASK, "ask-q01"),
    )
    section, example, question, ask = read_notebook(write(tmp_path, *cells)).parts
    assert (section.heading, section.anchor) == ("How far", "part-1")
    assert section.html.startswith('<h2 id="part-1" tabindex="-1">How <em>far</em></h2>')
    assert example.html.startswith("<h3 ")
    assert example.heading == ""
    assert question.html.startswith('<h3 id="q01" tabindex="-1">')
    assert ask.question == question.question == "q01"


def test_columns_of_figures_keep_their_side(tmp_path: Path) -> None:
    """A column set to the right is so by a class, since our pages allow no style in an attribute."""
    found = read_notebook(write(tmp_path, cell("markdown", "| a | b |\n| --- | ---: |\n| 1 | 2 |")))
    cells = [(tag, attributes) for tag, attributes in tags(found.parts[0].html) if tag in ("th", "td")]
    assert cells == [("th", {}), ("th", {"class": "pb-figure"}), ("td", {}), ("td", {"class": "pb-figure"})]

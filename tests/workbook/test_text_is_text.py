"""What a scenario file holds is text wherever it is shown: no tag, link or picture of its makes it into a notebook."""

from __future__ import annotations

import json
import re
from html import unescape
from pathlib import Path

import pytest
from markdown_it import MarkdownIt

from probebook.cases.library import Library
from probebook.drawings import schematic
from probebook.errors import ScenarioError
from probebook.scenario_layers import MARKER
from probebook.textfiles import parse_toml
from probebook.workbook.build.compiling import compile_plan
from probebook.workbook.build.files import sheet_text
from probebook.workbook.build.letters import letters_of
from probebook.workbook.build.notebook import notebook_text
from probebook.workbook.build.plan import load_plan
from probebook.workbook.markup import tame
from probebook.workbook.starts import new_files

SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"
TAG = "<img src=x onerror=alert(1)>"
LINK = "[look](http://evil.example)"
NAMED = re.compile(r'^(title|thing|looks|mend|maker) = "([^"\n]+)"', re.MULTILINE)
#: Elements that Markdown makes of text, tables and our drawings.
PLAIN = "p|h[1-6]|em|strong|code|pre|ul|ol|li|table|t[rdh]|thead|tbody|hr|br|blockquote|img"


def evil(folder: Path) -> Library:
    """A folder of one's own whose every name brings a tag and a link."""
    folder.mkdir()
    (folder / MARKER).write_text(f'base = "{SCENARIOS}"\n', "utf-8")
    for kind, name in (("appliance", "warmer"), ("workbook", "book")):
        for path, text in new_files(kind, name, Library(folder)).items():
            lesson = f"## A fault\n\n{TAG} {LINK} ![x](http://evil.example/x.png)"
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(NAMED.sub(rf'\1 = "\2 {TAG} {LINK}"', text).replace("## A fault", lesson), "utf-8")
    return Library(folder)


def test_no_tag_and_no_link_of_a_file_is_in_a_notebook(tmp_path: Path) -> None:
    """Rendered as CommonMark with raw HTML allowed, no cell has a tag, link or picture that we did not put there."""
    library = evil(tmp_path / "scenarios")
    compiled = compile_plan(load_plan(library.folder / "workbooks" / "book.toml", library.words), library)
    cells = [cell for cell in json.loads(notebook_text(compiled))["cells"] if cell["cell_type"] == "markdown"]
    reader = MarkdownIt("commonmark", {"html": True}).enable("table")
    pages = [reader.render("".join(cell["source"])) for cell in cells]
    assert sum("onerror" in page for page in pages) > 5  # it is there, as letters
    for page in pages:
        assert not re.search(rf"<(?!/?(?:{PLAIN})\b)", page)
        assert "href" not in page
        assert all(src.startswith("data:image/svg+xml;base64,") for src in re.findall(r'<img src="([^"]*)"', page))
    assert "onerror" in sheet_text(compiled, library)


SIGNS = r"*x* _a_ **b** `c` ~~d~~ $e$ \\*f\\* g|h &amp;"
PLAIN_PLAN = """
id = "plain"
number = 7
title = "Signs TOLD"
reader = "apprentice"
summary = "A summary."
seed = "test"
appliance = "kettle"

[[block]]
show = "plate"

[[block]]
show = "schematic"

[[block]]
ask = "power"
options = { form = "watts" }
"""


def test_the_signs_of_markdown_in_a_name_are_letters(tmp_path: Path) -> None:
    """Rendered with a reader of Markdown, the text of the cells holds each name to the letter, and marks none of it."""
    library = Library(tmp_path)
    (tmp_path / MARKER).write_text(f'base = "{SCENARIOS}"\n', "utf-8")
    told = json.dumps(SIGNS)[1:-1]
    kettle = (SCENARIOS / "appliances" / "kettle.toml").read_text("utf-8")
    for old in ('title = "kettle"', 'maker = "Fenner & Locke"', 'designation = "Brook 17"'):
        assert old in kettle
        kettle = kettle.replace(old, f'{old[:-1]} {told}"', 1)
    for name, text in {"appliances/kettle": kettle, "workbooks/plain": PLAIN_PLAN.replace("TOLD", told)}.items():
        (tmp_path / name).parent.mkdir()
        (tmp_path / f"{name}.toml").write_text(text, "utf-8")
    compiled = compile_plan(load_plan(tmp_path / "workbooks" / "plain.toml", library.words), library)
    cells = [cell for cell in json.loads(notebook_text(compiled))["cells"] if cell["cell_type"] == "markdown"]
    reader = MarkdownIt("commonmark", {"html": True}).enable(["table", "strikethrough"])
    pages = [reader.render("".join(cell["source"])) for cell in cells]
    shown = [unescape(re.sub(r"<[^>]+>", "", page)) for page in pages]
    for name in (f"Signs {SIGNS}", f"kettle {SIGNS}", f"Fenner & Locke {SIGNS}", f"Brook 17 {SIGNS}"):
        assert any(name in text for text in shown), name
    assert not [page for page in pages if re.search(r"<(em|s|code)>[^<]*[xabcdf]</", page)]
    assert not any("$e$" in "".join(cell["source"]) for cell in cells)  # JupyterLab would set it as mathematics
    advice = reader.render(compiled.questions[0].prompt)
    assert f"kettle {SIGNS}" in unescape(re.sub(r"<[^>]+>", "", advice))


def test_the_trade_has_no_name_with_such_a_sign() -> None:
    """The packaged files need no entity, so that what is built of them is as it was."""
    library = Library(SCENARIOS)
    assert not letters_of(library, "A title", library.appliance_ids)


def test_a_drawing_holds_names_as_letters(tmp_path: Path) -> None:
    """An SVG is well formed, and has no element of a file's making."""
    library = evil(tmp_path / "scenarios")
    svg = schematic(library.words, library.appliance("warmer"))
    assert "<img" not in svg
    assert "&lt;img" in svg


@pytest.mark.parametrize(
    ("text", "tamed"),
    [
        ("3 < 4 and <b>", "3 < 4 and &lt;b>"),
        ("<!-- x --><?php", "&lt;!-- x -->&lt;?php"),
        ("[a](b)", "[a&#93;(b)"),
        (r"[a\](b)", r"[a\&#93;(b)"),
        ("[a][b]\n\n[b]: http://x", "[a&#93;[b]\n\n[b&#93;: http://x"),
        ("![d](attachment:d.svg) ![e](attachment:e.svg)", "![d](attachment:d.svg) ![e&#93;(attachment:e.svg)"),
        ("<http://x>", "&lt;http://x>"),
    ],
)
def test_what_is_active_becomes_letters(text: str, tamed: str) -> None:
    """CommonMark 0.31, 2.5: an entity is never taken for a sign of structure."""
    assert tame(text, ["d.svg"]) == tamed


@pytest.mark.parametrize("sign", [r"\u001b[2J", r"\u0007", r"\u202e", r"\u2028", r"\u009b", r"\r"])
def test_signs_that_steer_a_terminal_are_refused(sign: str) -> None:
    """No text of a file clears a screen or turns a line round: it is refused where it stands."""
    with pytest.raises(ScenarioError, match=r"f\.toml: a\.b\[2\]: the text holds the hidden sign U\+"):
        parse_toml(f'[a]\nb = ["ok", "x{sign}y"]', "f.toml")

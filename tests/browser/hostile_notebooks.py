"""Hostile notebooks: attacks in text, in metadata, in code, in what was saved, and files that are no notebook."""

from __future__ import annotations

import base64
import json
import os
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from hostile_rows import Row, aimed, cell, notebook

__all__ = ["NOTEBOOKS", "TEXTS", "write"]

#: Markdown that would run, load or lead to something, and a word of it that must stand on our page as letters.
TEXTS: dict[str, tuple[str, str]] = {
    "script": ("<script>MARK</script>", "<script>"),
    "script-src": ('<script src="TRAP"></script>', "<script src"),
    "img-onerror": ('<img src="x:" onerror="MARK">', "onerror="),
    "img-upper": ('<IMG SRC=x: ONERROR="MARK">', "ONERROR="),
    "img-newline": ('<img\nsrc="x:"\nonerror="MARK">', "onerror="),
    "img-slash": ('<img/src="x:"/onerror="MARK">', "onerror="),
    "svg-onload": ('<svg onload="MARK"><circle r="1"/></svg>', "onload="),
    "svg-script": ("<svg><script>MARK</script></svg>", "<svg>"),
    "svg-animate": ('<svg><animate onbegin="MARK" attributeName="x" dur="1s"/></svg>', "onbegin="),
    "svg-link": ('<svg><a xlink:href="javascript:MARK"><text y="9">go</text></a></svg>', "xlink:href"),
    "svg-foreign": ('<svg><foreignObject><img src="x:" onerror="MARK"/></foreignObject></svg>', "foreignObject"),
    "math-tag": ('<math><maction actiontype="statusline" xlink:href="javascript:MARK">x</maction></math>', "<math>"),
    "details": ('<details open ontoggle="MARK"><summary>x</summary></details>', "ontoggle="),
    "focus": ('<input autofocus onfocus="MARK">', "onfocus="),
    "editable": ('<p contenteditable autofocus onfocus="MARK">x</p>', "onfocus="),
    "marquee": ('<marquee onstart="MARK">x</marquee>', "onstart="),
    "animation": ('<style>@keyframes x{}</style><b style="animation:x 1s" onanimationstart="MARK">x</b>', "@keyframes"),
    "media": ('<video poster="TRAP"><source src="x:" onerror="MARK"></video>', "<video"),
    "audio": ('<audio src="TRAP" autoplay onerror="MARK"></audio>', "<audio"),
    "frame-srcdoc": ("<iframe srcdoc='<script>MARK</script>'></iframe>", "<iframe"),
    "frame-src": ('<iframe src="TRAP"></iframe>', "<iframe"),
    "frame-script": ('<iframe src="javascript:MARK"></iframe>', "<iframe"),
    "object": ('<object data="TRAP" type="text/html"></object>', "<object"),
    "embed": ('<embed src="TRAP">', "<embed"),
    "form": ('<form action="TRAP"><button>Check</button></form>', "<form"),
    "form-action": ('<form id="f"></form><button form="f" formaction="javascript:MARK">Check</button>', "formaction"),
    "form-image": ('<form action="TRAP"><input type="image" src="TRAP"></form>', "<form"),
    "style-import": ("<style>@import url(TRAP);</style>", "@import"),
    "style-ground": ('<p style="background:url(TRAP);position:fixed;inset:0">x</p>', "position:fixed"),
    "link-sheet": ('<link rel="stylesheet" href="TRAP">', "<link"),
    "link-prefetch": ('<link rel="prefetch" href="TRAP"><link rel="dns-prefetch" href="TRAP">', "<link"),
    "meta-refresh": ('<meta http-equiv="refresh" content="0;url=TRAP">', "<meta"),
    "base": ('<base href="TRAP/">', "<base"),
    "picture": ('<picture><source srcset="TRAP 1x"><img src="TRAP" srcset="TRAP 2x"></picture>', "<picture>"),
    "image-map": ('<img src="TRAP" usemap="#m"><map name="m"><area href="javascript:MARK"></map>', "<map"),
    "ping": ('<a href="#x" ping="TRAP">x</a>', "ping="),
    "template": ('<template shadowrootmode="open"><img src="x:" onerror="MARK"></template>', "<template"),
    "dangling": ("<img src='TRAP?", "<img src="),
    "clobber": ('<form id="pb-told"><input name="textContent"></form><img name="getElementById">', "<form"),
    "clobber-ids": ('<a id="pb-contents"></a><a id="jp-main-content-panel"></a><b class="pb-form">x</b>', "<a id"),
    "comment": ("<!-- x --!><img src='x:' onerror='MARK'> -->", "<!--"),
    "cdata": ("<![CDATA[<img src='x:' onerror='MARK'>]]>", "<![CDATA["),
    "instruction": ("<?xml-stylesheet href='TRAP'?><img src='x:' onerror='MARK'>", "<?xml"),
    "md-picture": ("![x](TRAP)", "![x]"),
    "md-picture-js": ("![x](javascript:MARK)", "![x]"),
    "md-picture-break": ('![x" onerror="MARK](TRAP "y\\" onload=\\"MARK")', "![x"),
    "md-link-js": ("[press](javascript:MARK)", "[press]"),
    "md-link-entity": ("[press](java&#115;cript&colon;MARK)", "[press]"),
    "md-link": ("[press](TRAP)", "[press]"),
    "md-auto": ("<TRAP> and <javascript:MARK>", "javascript:"),
    "md-reference": ("![x][far] [y][far]\n\n[far]: TRAP", "[far]"),
    "md-data": ("[x](data:text/html;base64,PHNjcmlwdD50b3AucmFuPVsxXTwvc2NyaXB0Pg==)", "[x]"),
    "md-tex": (r"$\href{javascript:MARK}{x}$ $\style{background:url(TRAP)}{x}$", r"\href"),
    "md-diagram": (
        '```mermaid\ngraph LR\nA["<img src=x: onerror=MARK>"]\nclick A href "javascript:MARK"\n```', "graph LR",
    ),
    "md-table": ("| a |\n| --- |\n| <img src='x:' onerror='MARK'> |", "onerror="),
    "md-heading": ("## <img src='x:' onerror='MARK'>", "onerror="),
}  # fmt: skip

DRAWN = "<svg xmlns='http://www.w3.org/2000/svg' onload='MARK'><script>MARK</script><image href='TRAP'/></svg>"
#: Code that is not ours, each of which leaves a file if it is run.
LEAVE = "open('TRACE', 'w').close()"
CODES: dict[str, str] = {
    "code-own": LEAVE,
    "code-after": f'book.ask("q01"); {LEAVE}',
    "code-below": f'book.ask("q01")\n{LEAVE}',
    "code-return": f'book.ask("q01")\r{LEAVE}',
    "code-separator": f'book.ask("q01")\u2028{LEAVE}',
    "code-space": 'book.ask("q01") ',
    "code-quote": f'book.ask("q01"+str({LEAVE}))',
    "code-named": f'book.ask("q01", bench={LEAVE})',
    "code-lookalike": f"bооk = lambda: {LEAVE}; bооk()",
    "code-magic": "%%javascript\nMARK",
    "code-shell": "!touch TRACE",
    "code-empty": "",
    "code-comment": f'# book.ask("q01")\n{LEAVE}',
    "code-opens-again": f'from probebook.workbook import open_workbook; book = open_workbook("x"); {LEAVE}',
}
HTML = '<img src="x:" onerror="MARK"><script>MARK</script><form action="TRAP"><button>x</button></form>'
VIEW = "application/vnd.jupyter.widget-view+json"
#: What was saved with a line of ours: each kind of output that JupyterLab can show.
OUTPUTS: dict[str, Mapping[str, Any]] = {
    "output-js": {"application/javascript": "MARK"},
    "output-html": {"text/html": HTML},
    "output-svg": {"image/svg+xml": DRAWN},
    "output-markdown": {"text/markdown": HTML},
    "output-latex": {"text/latex": r"$\href{javascript:MARK}{x}$"},
    "output-widget": {VIEW: {"version_major": 2, "version_minor": 0, "model_id": "a" * 32}},
    "output-vega": {"application/vnd.vegalite.v5+json": {"data": {"url": "TRAP"}, "mark": "point"}},
    "output-geo": {"application/geo+json": {"type": "Point", "coordinates": [0, 0], "x": HTML}},
    "output-pdf": {"application/pdf": base64.b64encode(b"%PDF-1.4 /OpenAction << /S /JavaScript >>").decode()},
}
#: What the metadata say, with attacks in it.
METADATA: dict[str, tuple[Mapping[str, Any], str]] = {
    "meta-title": ({"title": "</title><script>MARK</script><img src='x:' onerror='MARK'>"}, "</title>"),
    "meta-title-list": ({"title": ["<img src='x:' onerror='MARK'>"]}, "<img"),
    "meta-language": ({"probebook": {"workbook": "NAME", "language": '"><img src="x:" onerror="MARK">'}}, ""),
    "meta-language-way": ({"probebook": {"workbook": "NAME", "language": "../../.."}}, ""),
    "meta-terms": (
        {"probebook": {"workbook": "NAME", "terms": [["<b>", ["summary"], "<img src='x:' onerror='MARK'>"]]}}, "",
    ),
    "meta-terms-wrong": ({"probebook": {"workbook": "NAME", "terms": [[1, {}, None], "x", ["a", [""], "b"]]}}, ""),
    "meta-widgets": ({"widgets": {"application/vnd.jupyter.widget-state+json": {"state": {"a": {"x": HTML}}}}}, ""),
    "meta-kernel": ({"kernelspec": {"name": "../../x", "display_name": "<img src='x:' onerror='MARK'>"}}, ""),
}  # fmt: skip
#: Files that hold no notebook of ours, and the words that refuse them.
WHOLE: dict[str, tuple[bytes | Callable[[Path], None], str]] = {
    "file-empty": (b"", "cannot be read"),
    "file-text": (b"MARK", "cannot be read"),
    "file-html": (b"<script>MARK</script>", "cannot be read"),
    "file-list": (b"[]", "no workbook of ours"),
    "file-null": (b"null", "no workbook of ours"),
    "file-deep": (b"[" * 200_000, "cannot be read"),
    "file-bytes": (bytes(range(256)) * 40, "cannot be read"),
    "file-digits": (b'{"cells": ' + b"9" * 50_000 + b"}", "cannot be read"),
    "file-large": (lambda path: _sparse(path, 21_000_000), "too large"),
    "file-folder": (lambda path: path.mkdir(), "no workbook"),
    "file-pipe": (lambda path: os.mkfifo(path), "no workbook"),
    "file-loop": (lambda path: path.symlink_to(path.name), "no workbook"),
    "file-cells": (
        json.dumps({"cells": 5, "metadata": {"probebook": {"workbook": "file-cells"}}}).encode(), "no workbook",
    ),
    "file-cells-odd": (
        json.dumps({"cells": [1, None, {}, []], "metadata": {"probebook": {"workbook": "file-cells-odd"}}}).encode(),
        "not ours",
    ),
    "file-other-name": (json.dumps(notebook("somebody-elses")).encode(), "under another name"),
    "file-named-markup": (json.dumps(notebook("<img src=x onerror=MARK>")).encode(), "no workbook of ours"),
    "file-unmarked": (json.dumps(notebook("file-unmarked", probebook={})).encode(), "no workbook of ours"),
}  # fmt: skip


def _sparse(path: Path, size: int) -> None:
    with path.open("wb") as stream:
        stream.truncate(size)


def write(folder: Path, row: Row, trap: str, data: Any) -> None:
    """Write the notebook of a row, its markers set."""
    text = aimed(json.dumps(data), row.name, trap).replace("NAME", row.name).replace("TRACE", f"trace-{row.name}")
    (folder / f"{row.name}.ipynb").write_text(text, "utf-8")


def _with(*cells: Mapping[str, Any], **metadata: Any) -> Callable[[Path, Row, str], None]:
    return lambda folder, row, trap: write(folder, row, trap, notebook(row.name, *cells, **metadata))


def _whole(content: bytes | Callable[[Path], None]) -> Callable[[Path, Row, str], None]:
    def lay(folder: Path, row: Row, trap: str) -> None:
        path = folder / f"{row.name}.ipynb"
        path.unlink(missing_ok=True)
        if isinstance(content, bytes):
            path.write_bytes(aimed(content.decode("latin-1"), row.name, trap).encode("latin-1"))
        else:
            content(path)

    return lay


def _saved(data: Mapping[str, Any]) -> Callable[[Path, Row, str], None]:
    """A notebook of our lines with an output at each of them, and the state of a widget."""
    state = {
        "a" * 32: {
            "model_module": "@jupyter-widgets/controls", "model_module_version": "2.0.0", "model_name": "HTMLModel",
            "state": {"value": HTML},
        }
    }  # fmt: skip

    def lay(folder: Path, row: Row, trap: str) -> None:
        found = notebook(row.name, widgets={"application/vnd.jupyter.widget-state+json": {"state": state}})
        for each in found["cells"]:
            if each["cell_type"] == "code":
                each["outputs"] = [{"output_type": "display_data", "metadata": {}, "data": dict(data)}]
        write(folder, row, trap, found)

    return lay


def _drawing(folder: Path, row: Row, trap: str) -> None:
    """A drawing as data that holds a script, which is shown as a picture."""
    data = base64.b64encode(aimed(DRAWN, row.name, trap).encode()).decode()
    write(
        folder, row, trap, notebook(row.name, cell("markdown", f"![d](data:image/svg+xml;base64,{data})", "text-001"))
    )


def _attached(folder: Path, row: Row, trap: str) -> None:
    """A picture that hangs on its cell and is a page."""
    hung = {"x.svg": {"image/svg+xml": DRAWN, "text/html": HTML}}
    write(
        folder, row, trap, notebook(row.name, cell("markdown", "![d](attachment:x.svg)", "text-001", attachments=hung))
    )


NOTEBOOKS: tuple[Row, ...] = (
    *(
        Row(name, says=says, lay=_with(cell("markdown", text, "text-001")))
        for name, (text, says) in TEXTS.items()
    ),
    Row("drawing-script", lab="ours", lay=_drawing),
    Row("drawing-attached", says="attachment:x.svg", lab="ours", lay=_attached),
    *(
        Row(name, "refused", "not ours", "altered", lay=_with(cell("code", text, "own")))
        for name, text in CODES.items()
    ),
    Row("code-list", "refused", "not ours", "altered", lay=_with(cell("code", ['book.ask("q01")\n', LEAVE], "own"))),
    Row("code-raw", lab="ours", lay=_with(cell("raw", LEAVE, "own"))),
    *(Row(name, lab="ours", lay=_saved(data)) for name, data in OUTPUTS.items()),
    *(Row(name, says=says, lab="ours", lay=_with(**told)) for name, (told, says) in METADATA.items()),
    *(Row(name, "refused", says, lay=_whole(content)) for name, (content, says) in WHOLE.items()),
)  # fmt: skip

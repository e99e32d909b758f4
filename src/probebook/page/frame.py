"""The frame of our pages: head, style sheets, data for the page's code. No script and no style stands in the page."""

from __future__ import annotations

import json
from base64 import b64encode
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from importlib.resources import files
from importlib.resources.abc import Traversable

from probebook.workbook.markup import safe

__all__ = ["BUNDLE", "KINDS", "POLICY", "Frame", "framed", "static_file", "version"]

#: The one style that may stand in an attribute: the size of our drawings, which a component reads as text.
DRAWN = b64encode(sha256(b"max-width:100%;height:auto").digest()).decode("ascii")
#: What our pages may load: files of this server, drawings as data, and nothing else; no script in a page itself.
POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        f"style-src 'self' 'unsafe-hashes' 'sha256-{DRAWN}'",
        "img-src 'self' data:",
        "connect-src 'self'",
        "base-uri 'none'",
        "form-action 'none'",
        "frame-ancestors 'none'",
    )
)

#: Kinds of files that are served.
KINDS = {".js": "text/javascript", ".css": "text/css", ".svg": "image/svg+xml"}
#: The style sheets of the page of a workbook and of the components it always holds, as one file.
BUNDLE = "page/bundle.css"
BUNDLED = (
    "page/static/page.css",
    "page/static/workbook.css",
    "page/static/lessons.css",
    "workbook/static/page.css",
    "workbook/static/form.css",
    "workbook/static/practice.css",
    "workbook/static/drawing.css",
)
#: Folders that files are served from.
PLACES = ("page/static", "workbook/static")


@dataclass(frozen=True, slots=True)
class Frame:
    """Where our pages stand: the address of the server's root, with a slash at its end, and the language of a page."""

    base: str
    language: str

    @property
    def static(self) -> str:
        """The address of our files, with a slash at its end."""
        return f"{self.base}probebook/static/{version()}/"

    @property
    def home(self) -> str:
        """The address of the start page."""
        return f"{self.base}probebook/"


def _walk(folder: Traversable, path: str) -> list[tuple[str, Traversable]]:
    found: list[tuple[str, Traversable]] = []
    for item in folder.iterdir():
        where = f"{path}/{item.name}"
        if item.is_dir():
            found += _walk(item, where)
        elif item.is_file() and f".{item.name.rpartition('.')[2]}" in KINDS:
            found.append((where, item))
    return found


@cache
def _static() -> dict[str, bytes]:
    package = files("probebook")
    found = [pair for place in PLACES for pair in _walk(package.joinpath(*place.split("/")), place)]
    served = {path: item.read_bytes() for path, item in sorted(found, key=lambda pair: pair[0])}
    # What the page of a workbook always needs comes in one file.
    return served | {BUNDLE: b"\n".join(served[path] for path in BUNDLED)}


@cache
def version() -> str:
    """What the files are called by in addresses: other files, other addresses."""
    return sha256(repr(list(_static().items())).encode()).hexdigest()[:12]


def static_file(path: str) -> bytes | None:
    """A file that pages load, by its path in the package; None where there is none of that name."""
    return _static().get(path)


def framed(
    frame: Frame,
    title: str,
    body: str,
    *,
    sheets: Sequence[str],
    entry: str = "",
    told: Mapping[str, object] | None = None,
) -> str:
    """A whole page.

    Parameters
    ----------
    frame, title, body
        Where it stands; its title as text; what is in it, as HTML.
    sheets
        Style sheets, by their paths in the package.
    entry
        The module that makes it alive, by its path in the package; none when empty.
    told
        What that module is told, as JSON data.
    """
    links = "".join(f'<link rel="stylesheet" href="{frame.static}{sheet}">\n' for sheet in sheets)
    script = ""
    if entry:
        data = json.dumps(told or {}, ensure_ascii=False).replace("<", "\\u003c")
        modules = (path for path in _static() if path.endswith(".js") and path.startswith(f"{PLACES[0]}/"))
        preloads = "".join(f'<link rel="modulepreload" href="{frame.static}{path}">\n' for path in modules)
        script = (
            f'{preloads}<script type="application/json" id="pb-told">{data}</script>\n'
            f'<script type="module" src="{frame.static}{entry}"></script>\n'
        )
    return (
        f'<!DOCTYPE html>\n<html lang="{safe(frame.language)}">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        '<meta name="color-scheme" content="light dark">\n'
        f'<title>{safe(title)}</title>\n<link rel="icon" href="{frame.static}page/static/icon.svg">\n'
        f"{links}{script}</head>\n<body>\n{body}</body>\n</html>\n"
    )

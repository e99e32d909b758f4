"""The frame of a static page: one file with its style, code and data, and a policy that lets nothing else in."""

from __future__ import annotations

import json
from base64 import b64encode
from collections.abc import Mapping
from functools import cache
from hashlib import sha256
from importlib.resources import files

from probebook.page.frame import DRAWN
from probebook.workbook.forms.bundle import script
from probebook.workbook.markup import safe

__all__ = ["framed", "policy"]

#: The style of every page, in order.
SHEETS = (
    "page/static/page.css",
    "page/static/workbook.css",
    "page/static/lessons.css",
    "workbook/static/page.css",
    "workbook/static/form.css",
    "workbook/static/drawing.css",
    "workbook/static/bench.css",
    "workbook/static/bench-supply.css",
    "workbook/static/bench-meter.css",
    "workbook/static/bench-drawing.css",
    "workbook/static/bench-end.css",
    "workbook/static/bench-curve.css",
    "site/static/site.css",
)
ENTRY = "site/static/site.js"


@cache
def _style() -> str:
    package = files("probebook")
    return "\n".join(package.joinpath(*path.split("/")).read_text(encoding="utf-8") for path in SHEETS)


@cache
def policy() -> str:
    """What a page may do: run its own code, wear its own style, show drawings that it holds. Nothing leaves it."""
    return "; ".join(
        (
            "default-src 'none'",
            f"script-src '{_digest(script(ENTRY))}'",
            f"style-src '{_digest(_style())}' 'unsafe-hashes' 'sha256-{DRAWN}'",
            "img-src data:",
            "base-uri 'none'",
            "form-action 'none'",
        )
    )


def _digest(text: str) -> str:
    return f"sha256-{b64encode(sha256(text.encode()).digest()).decode('ascii')}"


def framed(language: str, title: str, body: str, told: Mapping[str, object]) -> str:
    """A whole page; ``told`` is what its code is told, as JSON data."""
    data = json.dumps(told, ensure_ascii=False, separators=(",", ":")).replace("<", "\\u003c")
    return (
        f'<!DOCTYPE html>\n<html lang="{safe(language)}">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{safe(policy())}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        '<meta name="color-scheme" content="light dark">\n<meta name="referrer" content="no-referrer">\n'
        f'<title>{safe(title)}</title>\n<link rel="icon" href="data:,">\n<style>{_style()}</style>\n</head>\n'
        f'<body>\n{body}<script type="application/json" id="pb-told">{data}</script>\n'
        f"<script>{script(ENTRY)}</script>\n</body>\n</html>\n"
    )

from __future__ import annotations

import json
import re
from base64 import b64encode
from hashlib import sha256
from pathlib import Path

import pytest

from probebook.drawings.svg import Box, document
from probebook.page.frame import DRAWN, PLACES, POLICY, Frame, framed, static_file, version

PACKAGE = Path(__file__).resolve().parents[2] / "src" / "probebook"


def test_all_that_pages_load_is_served() -> None:
    """Every module, style sheet and sign of the two folders is served as it lies there."""
    for place in PLACES:
        files = [path for path in (PACKAGE / place).rglob("*") if path.suffix in (".js", ".css", ".svg")]
        assert files
        for path in files:
            assert static_file(path.relative_to(PACKAGE).as_posix()) == path.read_bytes()


@pytest.mark.parametrize(
    "path",
    [
        "page/handlers.py", "page/static/../handlers.py", "../../pyproject.toml", "workbook/player.py", "",
        "page/static", "page/static/told.d.ts", "/etc/passwd", "workbook/static/form/../../player.py",
    ],
)  # fmt: skip
def test_nothing_else_is(path: str) -> None:
    """Code of the package, and what lies beside or above the two folders, cannot be asked for."""
    assert static_file(path) is None


def test_data_cannot_leave_its_place() -> None:
    """Whatever is told to a page stays data: no text in it ends the element that holds it."""
    told = {"x": "</script><script>alert(1)</script><!--", "y": "]]>&"}
    page = framed(Frame("/", "en"), "T<", "<main></main>", sheets=(), entry="page/static/page.js", told=told)
    (data,) = re.findall(r'<script type="application/json" id="pb-told">(.*?)</script>', page, re.DOTALL)
    assert json.loads(data) == told
    assert page.count("<script") == 2
    assert "<title>T&lt;</title>" in page


def test_the_policy_names_no_way_out() -> None:
    """Nothing but this server's own files, and drawings as data, may be loaded; nothing inline, no frame."""
    rules = dict(rule.split(" ", 1) for rule in POLICY.split("; "))
    assert rules.pop("img-src") == "'self' data:"
    assert rules.pop("style-src") == f"'self' 'unsafe-hashes' 'sha256-{DRAWN}'"
    assert set(rules.values()) == {"'none'", "'self'"}
    assert {rules[key] for key in ("default-src", "base-uri", "form-action", "frame-ancestors")} == {"'none'"}


def test_addresses_stand_under_the_servers_root() -> None:
    """Behind a root of its own the addresses of files and pages begin with it."""
    frame = Frame("/some/where/", "en")
    assert frame.home == "/some/where/probebook/"
    assert frame.static == f"/some/where/probebook/static/{version()}/"


def test_the_one_style_that_may_stand_in_an_attribute_is_that_of_our_drawings() -> None:
    """A drawing as it is made today holds the style whose hash the policy names, and no other."""
    drawing = document(Box(0.0, 0.0, 10.0, 10.0), "t", "d", [])
    (style,) = re.findall(r'style="([^"]*)"', drawing)
    assert b64encode(sha256(style.encode()).digest()).decode() == DRAWN

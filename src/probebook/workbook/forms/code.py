"""The code of a component as a page takes it: the modules of a folder of ``static`` as one module, and its looks.

A widget brings its code along as text, so that no address is asked for it. A module that is text cannot name its
neighbours: they are put before it, and its imports and their exports are taken out. Nothing else is changed; names are
unique across the modules of a component, and imports name what they take (``import { a } from "./b.js"``).
"""

from __future__ import annotations

import re
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable

__all__ = ["module", "styles"]

_IMPORT = re.compile(r'^import\s\{[^}]*\}\sfrom\s"\./(?P<name>[\w-]+\.js)";\n', re.MULTILINE)
_EXPORT = re.compile(r"^export (?=(?:async )?(?:function|class|const|let)\b)", re.MULTILINE)


def _static() -> Traversable:
    return files("probebook.workbook") / "static"


@cache
def module(component: str, entry: str) -> str:
    """The module ``entry`` of ``static/<component>`` with all that it imports, as one text."""
    texts: dict[str, str] = {}
    _gather(_static() / component, entry, texts)
    return "\n".join(texts.values())


def _gather(folder: Traversable, name: str, texts: dict[str, str]) -> None:
    source = (folder / name).read_text(encoding="utf-8")
    for found in _IMPORT.finditer(source):
        if found["name"] not in texts:
            _gather(folder, found["name"], texts)
    text = _IMPORT.sub("", source)
    texts[name] = text if "export default" in text else _EXPORT.sub("", text)


@cache
def styles(*names: str) -> str:
    """The style sheets of these names as one text."""
    return "".join((_static() / f"{name}.css").read_text(encoding="utf-8") for name in names)

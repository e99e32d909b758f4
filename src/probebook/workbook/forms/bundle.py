"""Modules of the browser's code as one script or module: each in a scope of its own, in the order they are needed in.

A page that is opened from a file cannot load modules, and a widget brings its code along as one text. So their imports
and exports become names of one table; nothing else of them is changed, and they are the same files everywhere.
"""

from __future__ import annotations

import posixpath
import re
from functools import cache
from importlib.resources import files

__all__ = ["module", "script"]

_NAMED = re.compile(r'^import \{(?P<names>[^}]*)\} from "(?P<path>\.[^"]+)";\n', re.MULTILINE)
_DEFAULT = re.compile(r'^import (?P<name>\w+) from "(?P<path>\.[^"]+)";\n', re.MULTILINE)
_EXPORT = re.compile(r"^export (?:async )?(?:function|class|const|let) (?P<name>\w+)", re.MULTILINE)


@cache
def script(entry: str) -> str:
    """The module at this path in the package, with all that it imports, as one script that runs at once."""
    return '(() => {\n"use strict";\nconst modules = {};\n' + _scopes(entry) + "})();\n"


@cache
def module(entry: str) -> str:
    """The same as one module that exports what the module at this path exports as its default."""
    return "const modules = {};\n" + _scopes(entry) + f'export default modules["{entry}"].default;\n'


def _scopes(entry: str) -> str:
    order: dict[str, str] = {}
    _gather(entry, order)
    return "".join(order.values())


def _gather(path: str, order: dict[str, str]) -> None:
    text = files("probebook").joinpath(*path.split("/")).read_text(encoding="utf-8")
    here = posixpath.dirname(path)
    for found in (*_NAMED.finditer(text), *_DEFAULT.finditer(text)):
        needed = posixpath.normpath(posixpath.join(here, found["path"]))
        if needed not in order:
            _gather(needed, order)
    order[path] = _scoped(path, text)


def _scoped(path: str, text: str) -> str:
    here = posixpath.dirname(path)

    def module(found: re.Match[str]) -> str:
        return f'modules["{posixpath.normpath(posixpath.join(here, found["path"]))}"]'

    names = [found["name"] for found in _EXPORT.finditer(text)]
    body = _NAMED.sub(lambda found: f"const {{{_renamed(found['names'])}}} = {module(found)};\n", text)
    body = _DEFAULT.sub(lambda found: f"const {found['name']} = {module(found)}.default;\n", body)
    body = body.replace("\nexport default ", "\nconst standard = ")
    given = ", ".join([*names, *(["default: standard"] if "\nconst standard = " in body else [])])
    body = re.sub(r"^export ", "", body, flags=re.MULTILINE)
    return f'modules["{path}"] = (() => {{\n{body}return {{ {given} }};\n}})();\n'


def _renamed(names: str) -> str:
    return names.replace(" as ", ": ")

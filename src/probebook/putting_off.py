"""Jupyter's libraries loaded without the grammars of international addresses, which take three seconds to build.

``jsonschema`` loads ``rfc3987_syntax`` (RFC 3987) wherever it is installed, and that builds a parser for each of its 38
rules at once. Notebooks and Jupyter's events are checked against schemas that ask for no such address. So a module by
its name stands in, which can all it can and loads it when it is first asked.
"""

from __future__ import annotations

import sys
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from types import ModuleType
from typing import Any

__all__ = ["put_off_grammars"]

_NAME = "rfc3987_syntax"


class _PutOff(ModuleType):
    """Stands for the library until something of it is used."""

    def is_valid_syntax(self, rule: str, text: str) -> bool:
        """Whether a text is of a rule of RFC 3987, such as ``iri``; this is what is imported by name."""
        return bool(_whole().is_valid_syntax(rule, text))

    def __getattr__(self, name: str) -> Any:
        if name.startswith("__"):  # of what goes through all modules, as the inspection of a traceback does
            raise AttributeError(name)
        return getattr(_whole(), name)


def _whole() -> ModuleType:
    return import_module(f"{_NAME}.syntax_helpers")


def put_off_grammars() -> None:
    """Have the library loaded when it is first used; to be called before Jupyter's libraries are loaded.

    Does nothing where it is loaded already, is not installed, or is not the package that is known here.
    """
    if _NAME in sys.modules:
        return
    found = find_spec(_NAME)
    folders = [Path(each) for each in (found.submodule_search_locations or ())] if found else []
    if found is None or not any((folder / "syntax_helpers.py").is_file() for folder in folders):
        return
    module = _PutOff(_NAME)
    module.__spec__, module.__file__ = found, found.origin
    module.__path__ = [str(folder) for folder in folders]
    sys.modules[_NAME] = module

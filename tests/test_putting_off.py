"""Jupyter's libraries load without a library that none of our checks asks for; asked, it answers as it always does."""

from __future__ import annotations

from collections.abc import Callable

import pytest

pytest.importorskip("rfc3987_syntax")

#: RFC 3987, section 3.1: an IRI may hold letters of any script; a space stands in none (section 2.2).
ASKED = """
import jsonschema
checker = jsonschema.Draft202012Validator.FORMAT_CHECKER
print(*(checker.conforms(text, "iri") for text in ("http://example.org/rosé", "http://example.org/a b", "rosé")))
print(*(checker.conforms(text, "iri-reference") for text in ("rosé", "a b")))
"""
LOADED = "print('rfc3987_syntax.syntax_helpers' in sys.modules, 'lark' in sys.modules)"
PUT_OFF = "import sys\nfrom probebook.putting_off import put_off_grammars\nput_off_grammars()\n"


def test_notebooks_are_validated_without_it(fresh_python: Callable[..., str]) -> None:
    """Neither the grammars nor what builds them is loaded by checking a notebook, or by Jupyter's server."""
    code = (
        f"{PUT_OFF}import nbformat, jupyter_server.serverapp\nnbformat.validate(nbformat.v4.new_notebook())\n{LOADED}"
    )
    assert fresh_python(code) == "False False"


def test_asked_it_answers_as_the_library_does(fresh_python: Callable[..., str]) -> None:
    """Addresses are told from what is none, as where nothing was put off, and as RFC 3987 has it."""
    said = fresh_python(PUT_OFF + ASKED)
    assert said == fresh_python(ASKED) == "True False False\nTrue False"


def test_every_other_name_of_it_is_there(fresh_python: Callable[..., str]) -> None:
    """What is not stood in for comes from the library itself; special names of modules do not load it."""
    code = f"{PUT_OFF}import rfc3987_syntax as r\nprint(hasattr(r, '__wrapped__'))\n{LOADED}\nprint(callable(r.parse))"
    assert fresh_python(code) == "False\nFalse False\nTrue"


def test_what_is_loaded_already_stays(fresh_python: Callable[..., str]) -> None:
    """Where the library was loaded before, it is left alone."""
    code = f"import rfc3987_syntax as r\n{PUT_OFF}import rfc3987_syntax as s\nprint(r is s, type(r).__name__)"
    assert fresh_python(code) == "True module"

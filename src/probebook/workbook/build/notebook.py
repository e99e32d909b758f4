"""Compiled workbooks as notebook files: explicit cell ids, no time stamps, the same bytes every time."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Any

from probebook.putting_off import put_off_grammars
from probebook.words.words import ENGLISH
from probebook.workbook.build.compiling import Cell, Compiled
from probebook.workbook.markup import tame

__all__ = ["document_text", "notebook_text"]

#: A stray key must not cut a question or open its source.
_FIXED = {"deletable": False, "editable": False}
_KERNEL = {"display_name": "Python 3", "language": "python", "name": "python3"}


def notebook_text(compiled: Compiled) -> str:
    """The notebook (format 4.5) as text, validated against the notebook format.

    Code cells are one hidden line each; what they hold where no kernel runs is plain text that a run replaces.
    """
    mark: dict[str, Any] = {"workbook": compiled.plan.stem, "build": compiled.fingerprint}
    if compiled.terms:
        mark["terms"] = [[term.word, list(term.forms), term.text] for term in compiled.terms]
    if compiled.language != ENGLISH:
        mark["language"] = compiled.language  # of what is said before a kernel runs
    return document_text(compiled.cells, compiled.plan.title, mark)


def document_text(cells: Iterable[Cell], title: str, mark: Mapping[str, Any]) -> str:
    """The notebook of these cells; ``mark`` is what its metadata say of us."""
    put_off_grammars()
    import nbformat

    data: dict[str, Any] = {
        "cells": [_cell(cell) for cell in cells],
        "metadata": {
            "kernelspec": _KERNEL,
            "language_info": {"name": "python"},
            "probebook": dict(mark),
            "title": title,
        },
        "nbformat": 4,
        "nbformat_minor": 5,
    }
    nbformat.validate(nbformat.from_dict(data))
    return json.dumps(data, ensure_ascii=False, indent=1, sort_keys=True) + "\n"


def _with_pictures(cell: Cell) -> str:
    """The text of a cell with each picture in it as a data address.

    JupyterLab shows no SVG that is attached to a cell (its list of safe attachments is bmp, png, jpeg, gif and webp),
    but it shows one whose data stands in the text.
    """
    text = cell.source if cell.code else tame(cell.source, cell.attachments)
    for name, forms in cell.attachments.items():
        ((kind, data),) = forms.items()
        text = text.replace(f"(attachment:{name})", f"(data:{kind};base64,{data})")
    return text


def _cell(cell: Cell) -> dict[str, Any]:
    base: dict[str, Any] = {"id": cell.id, "source": _lines(_with_pictures(cell))}
    if not cell.code:
        return {**base, "cell_type": "markdown", "metadata": dict(_FIXED)}
    outputs = (
        [{"output_type": "display_data", "data": {"text/plain": _lines(cell.reads)}, "metadata": {}}]
        if cell.reads
        else []
    )
    return {
        **base,
        "cell_type": "code",
        "execution_count": None,
        "metadata": {**_FIXED, "jupyter": {"source_hidden": True}},
        "outputs": outputs,
    }


def _lines(text: str) -> list[str]:
    return text.splitlines(keepends=True)

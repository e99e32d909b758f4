"""Rows of hostile files: what each is called, what it holds, what must happen when it is opened.

``MARK`` in a text stands for a script that adds the row's name to ``top.ran``, ``TRAP`` for an address off this server
that notes who asks. A row that names ``says`` must show that text as letters: the attack did reach the page.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

__all__ = ["ASKED", "BOOK", "ROOT", "Row", "aimed", "cell", "notebook", "sheet"]

ROOT = Path(__file__).resolve().parents[2]
#: The workbook whose questions every row asks, and which of them: an order, two choices, a number.
BOOK, ASKED = "14-what-is-safe-to-look-at", ("q01", "q02", "q04")


@dataclass(frozen=True)
class Row:
    """A hostile file among sound ones.

    Attributes
    ----------
    name
        Of the workbook that it belongs to; what runs or asks gives this name.
    page
        What our page must do: ``shown``, or ``refused`` with a sentence.
    says
        What must stand on it as letters.
    lab
        What JupyterLab must do with the notebook: ``ours`` (it is run, of our lines alone), ``altered`` (nothing is run
        and the reader is told), ``other`` (left alone); empty where it is not opened there.
    book
        The workbook that shows it, where several rows stand in one.
    lay
        Puts the files into the folder, given the folder, the row and the address of the trap.
    """

    name: str
    page: str = "shown"
    says: str = ""
    lab: str = ""
    book: str = ""
    lay: Callable[[Path, Row, str], None] = field(default=lambda *_: None, repr=False)


def aimed(text: str, row: str, trap: str) -> str:
    """A text with the row's own marker and trap in it."""
    return text.replace("MARK", f"top.ran.push(/{row}/.source)").replace("TRAP", f"{trap}/{row}")


def cell(kind: str, source: Any, cell_id: str, **more: Any) -> dict[str, Any]:
    """A cell of a notebook; a cell of code has no output unless one is given."""
    extra = {"outputs": [], "execution_count": None} if kind == "code" else {}
    return {"cell_type": kind, "id": cell_id, "metadata": {}, "source": source, **extra, **more}


def notebook(
    name: str, *more: Mapping[str, Any], questions: tuple[str, ...] = ASKED, **metadata: Any
) -> dict[str, Any]:
    """A notebook of ours that asks these questions, with more cells after the first text."""
    first = f'from probebook.workbook import open_workbook; book = open_workbook("{name}")'
    cells = [
        cell("markdown", f"# Workbook {name}\n\nA summary.", "title-000"),
        cell("code", first, "open"),
        *more,
    ]
    for question in questions:
        cells.append(cell("markdown", f"### Question {question}", f"question-{question}"))
        cells.append(cell("code", f'book.ask("{question}")', f"ask-{question}"))
    cells.append(cell("code", "book.progress()", "progress"))
    told = {
        "kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"},
        "language_info": {"name": "python"},
        "probebook": {"workbook": name},
        "title": f"Workbook {name}",
    }
    return {"cells": cells, "metadata": told | metadata, "nbformat": 4, "nbformat_minor": 5}


def sheet(name: str) -> dict[str, Any]:
    """The key of such a notebook, as plain data."""
    whole: dict[str, Any] = json.loads((ROOT / "answer_keys" / f"{BOOK}.json").read_text("utf-8"))
    meta = {key: value for key, value in whole["meta"].items() if key != "build"} | {"workbook": name}
    return whole | {"meta": meta, "questions": [each for each in whole["questions"] if each["id"] in ASKED]}

"""Drawings that a workbook shows once for several questions: on paper and in a package each brings its own along."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from probebook.errors import ScenarioError
from probebook.questions.model import Question

__all__ = ["drawings_of", "notebook_cells"]

_PICTURE = re.compile(r"!\[(?P<what>[^\]:]+):[^\]]*\]\(data:image/svg\+xml;base64,[A-Za-z0-9+/=]+\)")


def drawings_of(path: Path, questions: Mapping[str, Question]) -> dict[str, str]:
    """For questions that bring no drawing and no case: the last drawing above them of what they ask about.

    Parameters
    ----------
    path
        The notebook of a workbook.
    questions
        By their ids.

    Returns
    -------
    dict
        Question → Markdown of the drawing; nothing for a question whose text names nothing that was drawn.

    Raises
    ------
    ScenarioError
        The notebook cannot be read.
    """
    found: dict[str, str] = {}
    drawn: dict[str, str] = {}
    for name, source in notebook_cells(path):
        if name.startswith("picture-"):
            drawn |= {each["what"].strip().casefold(): each[0] for each in _PICTURE.finditer(source)}
        question = questions.get(name.removeprefix("ask-")) if name.startswith("ask-") else None
        if question is None or question.pictures or question.case:
            continue
        asked = question.prompt.casefold()
        named = [text for what, text in drawn.items() if what in asked]
        if len(named) == 1:
            found[question.id] = named[0]
    return found


def notebook_cells(path: Path) -> list[tuple[str, str]]:
    """The cells of a notebook, id and source each; ScenarioError when it cannot be read."""
    try:
        data: Any = json.loads(path.read_text("utf-8"))
        return [(str(cell.get("id", "")), "".join(cell["source"])) for cell in data["cells"]]
    except (OSError, ValueError, TypeError, KeyError, AttributeError) as error:
        raise ScenarioError(
            "the notebook cannot be read", where=str(path), remedy="run 'probebook build' again"
        ) from error

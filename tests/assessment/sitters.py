"""Learners for tests: they sit papers through the forms that a kernel makes, in this process or in one of nbclient."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import nbformat
from nbclient import NotebookClient

from probebook.assessment.model import Item, Paper
from probebook.assessment.sitting import OpenPaper, open_paper
from probebook.questions.model import FieldKind, Response
from probebook.workbook.forms.view import from_response

Answers = Mapping[str, Mapping[str, Response]]


def right(paper: Paper) -> dict[str, dict[str, Response]]:
    """The key of every item."""
    return {item.id: item.question.key() for item in paper.items}


def typed(paper: Paper) -> Item:
    """The first item whose first answer is a figure that is typed: whatever is typed there is kept as it stands."""
    return next(item for item in paper.items if item.question.fields[0].kind is FieldKind.QUANTITY)


def slipped(item: Item) -> tuple[str, dict[str, Response]] | None:
    """A slip that an answer can show by itself, and the answer that shows it; None where there is none."""
    for slip in item.question.slips:
        field = item.question.field(slip.field)
        if field.kind in (FieldKind.QUANTITY, FieldKind.CHOICE):
            return slip.slip, {**item.question.key(), slip.field: slip.response}
    return None


def as_sent(item: Item, response: Mapping[str, Response]) -> list[Any]:
    """A response as a page sends it: numbers in place of ids; a bench is not in the form."""
    return [
        from_response(field, response.get(field.key))
        for field in item.question.fields
        if field.kind is not FieldKind.BENCH
    ]


def acts_of(item: Item, response: Mapping[str, Response]) -> list[str]:
    """What is done on the bench of an item; nothing where it has none."""
    named = [field.key for field in item.question.fields if field.kind is FieldKind.BENCH]
    return [act for key in named for act in response.get(key, [])]


def sit(folder: Path, name: str, paper: Paper, answers: Answers, *, hand_in: bool = True, **more: Any) -> OpenPaper:
    """Sit a paper in this process, as its page would."""
    opened = open_paper(name, folder=folder, **more)
    for item in paper.items:
        if item.id in answers:
            opened.forms[item.id].model.write(as_sent(item, answers[item.id]))
            bench = opened.forms[item.id].bench
            if bench is not None:  # as the page does: act by act
                acts = acts_of(item, answers[item.id])
                for count in range(1, len(acts) + 1):
                    bench.set_state({"acts": acts[:count]})
    if hand_in:
        opened.submit()
    return opened


def sit_in_kernel(path: Path, paper: Paper, answers: Answers) -> nbformat.NotebookNode:
    """Run the notebook in a kernel of its own, answer through its forms, hand in; the notebook as it was run."""
    notebook = nbformat.read(path, as_version=4)
    sent = {
        item.id: (as_sent(item, answers[item.id]), acts_of(item, answers[item.id]))
        for item in paper.items
        if item.id in answers
    }
    driving = (
        f"import json\nfor item, (answer, acts) in json.loads({json.dumps(json.dumps(sent))}).items():\n"
        "    paper.forms[item].model.write(answer)\n"
        "    for count in range(1, len(acts) + 1):\n"
        "        paper.forms[item].bench.set_state({'acts': acts[:count]})\n"
        "paper._sheets[-1].hear({'press': 'hand-in'})"
    )
    notebook.cells.append(nbformat.v4.new_code_cell(driving))
    NotebookClient(notebook, timeout=120, resources={"metadata": {"path": str(path.parent)}}).execute()
    return notebook

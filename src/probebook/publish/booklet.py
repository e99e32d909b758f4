"""What is printed: a title and items in order, from a workbook's marking sheet or from the papers of a class."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from probebook.assessment.model import Item, PaperSet
from probebook.errors import UsageError
from probebook.publish.shown import drawings_of, notebook_cells
from probebook.questions.codec import Sheet, read_sheet
from probebook.questions.model import Kind
from probebook.workbook.finding import key_of

__all__ = ["Booklet", "booklets_of_set", "read_booklet"]


@dataclass(frozen=True, slots=True)
class Booklet:
    """A paper to print: a name for its files, its title, whose it is (or nobody's yet), its language, its items.

    ``large`` asks for large print; ``minutes`` is the time allowed, 0 where none is stated.
    """

    name: str
    title: str
    items: tuple[Item, ...]
    learner: str = ""
    language: str = "en"
    large: bool = False
    minutes: float = 0.0


def booklets_of_set(papers: PaperSet) -> tuple[Booklet, ...]:
    """A booklet for each learner of a class."""
    return tuple(
        Booklet(
            paper.learner.id,
            papers.blueprint.title,
            paper.items,
            paper.learner.name,
            paper.learner.language,
            paper.learner.large_print,
            papers.blueprint.minutes * paper.learner.extra_time,
        )
        for paper in papers.papers
    )


def read_booklet(name: str, folder: Path) -> Booklet:
    """The questions of a workbook, each with the case that is read before it, or the drawing that it goes by.

    Parameters
    ----------
    name
        Name of the workbook, without its ending.
    folder
        Holds ``workbooks/`` and ``answer_keys/``.

    Raises
    ------
    UsageError
        There is no such workbook.
    ScenarioError
        Its marking sheet or its notebook cannot be read.
    """
    notebook = folder / "workbooks" / f"{name}.ipynb"
    key = key_of(folder / "answer_keys" / f"{name}.json", notebook)
    if "/" in name or not key.is_file():
        raise UsageError(
            f"there is no marking sheet of the workbook {name!r}",
            where=str(key),
            remedy="name a workbook of this folder, or run 'probebook build' first",
        )
    sheet = read_sheet(key)
    before = drawings_of(notebook, {question.id: question for question in sheet.questions}) | _cases(notebook, sheet)
    items = tuple(Item(question.outcome, question, before.get(question.id, "")) for question in sheet.questions)
    language = str(sheet.meta.get("language", "en"))
    return Booklet(name, str(sheet.meta.get("title", name)), items, language=language)


def _cases(path: Path, sheet: Sheet) -> dict[str, str]:
    """The case that a question goes by, as its notebook shows it: question → Markdown.

    A case belongs to the first question after it, and to those that share that question's case.
    """
    found: dict[str, str] = {}
    text, owner = "", ""
    for name, source in notebook_cells(path):
        if name.startswith("case-"):
            text, owner = source, ""
        elif name.startswith("ask-"):
            question = sheet.question(name.removeprefix("ask-"))
            if not text or not question.case or question.kind is Kind.BENCH:
                continue
            owner = owner or question.case
            if question.case == owner:
                found[question.id] = text
    return found

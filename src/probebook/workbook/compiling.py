"""From a plan to a workbook: questions compiled, reading matter laid out, cells in order.

The outcome depends on the plan and the scenarios alone: the same inputs give the same cells on any machine.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from probebook.errors import ScenarioError
from probebook.questions.frame import Ask
from probebook.questions.model import Kind, Question
from probebook.questions.registry import build_question
from probebook.workbook import pages
from probebook.workbook.plan import Block, Plan

if TYPE_CHECKING:
    from collections.abc import Callable

    from probebook.cases.library import Library
    from probebook.cases.model import Case

__all__ = ["Cell", "Compiled", "compile_plan"]


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell of the notebook: Markdown, or one short hidden line of code with what to read where no kernel runs."""

    id: str
    source: str
    code: bool = False
    attachments: dict[str, dict[str, str]] = field(default_factory=dict)
    reads: str = ""


@dataclass(frozen=True, slots=True)
class Compiled:
    """A workbook ready to be written: its cells, its questions in order, its cases by name."""

    plan: Plan
    cells: tuple[Cell, ...]
    questions: tuple[Question, ...]
    cases: tuple[Case, ...]


_PRACTICE = """\
## More practice

Ask for another question like one above, or for whatever suits you next: that is chosen by what you got right and \
wrong in all workbooks that lie beside this one. Everything is drawn anew, and what you practise here counts."""


class _Writer:
    """Collects cells and questions while a plan is walked through."""

    def __init__(self, plan: Plan, library: Library) -> None:
        self.plan = plan
        self.library = library
        self.cells: list[Cell] = []
        self.questions: list[Question] = []
        self.cases: list[Case] = []

    def page(self, name: str, page: pages.Page | str) -> None:
        content = page if isinstance(page, pages.Page) else pages.Page(page)
        self.cells.append(Cell(f"{name}-{len(self.cells):03d}", content.text, attachments=content.attachments()))

    def question(self, kind: Kind, block: Block, case: Case | None = None) -> None:
        number = len(self.questions) + 1
        ask = self.ask(f"q{number:02d}", kind, block, case)
        question = build_question(ask, self.library)
        self.questions.append(question)
        self.page("question", pages.question_page(question))
        self.cells.append(
            Cell(f"ask-{question.id}", f'book.ask("{question.id}")', code=True, reads=pages.options_text(question))
        )

    def ask(self, ask_id: str, kind: Kind, block: Block, case: Case | None) -> Ask:
        return Ask(
            id=ask_id,
            kind=kind,
            seed=f"{self.plan.id}/{self.plan.seed}",
            level=block.level,
            appliance=case.appliance if case else block.appliance,
            options=block.options or {},
            case=case,
        )


def compile_plan(plan: Plan, library: Library, *, advance: Callable[[int, int], None] | None = None) -> Compiled:
    """Compile a plan.

    Parameters
    ----------
    plan, library
        What to build, and the trade it draws on.
    advance
        Called with (blocks done, blocks in all) after each block.

    Raises
    ------
    ScenarioError
        A block cannot be built; the sentence names file and block.
    """
    writer = _Writer(plan, library)
    writer.page("title", f"# {plan.title}\n\n{plan.summary.strip()}")
    writer.page("caution", pages.caution(library.folder, plan.reader))
    writer.cells.append(
        Cell(
            "open",
            f'from probebook.workbook import open_workbook; book = open_workbook("{plan.stem}")',
            code=True,
            reads="Run all cells to answer the questions here; your answers are kept beside this notebook.",
        )
    )
    for number, block in enumerate(plan.blocks):
        try:
            _write_block(writer, block)
        except ScenarioError as error:
            raise error.at(block.where) from None
        if advance:
            advance(number + 1, len(plan.blocks))
    writer.cells.append(Cell("progress", "book.progress()", code=True, reads="Your progress is shown here."))
    writer.page("practice-text", _PRACTICE)
    writer.cells.append(
        Cell("practice", "book.practice()", code=True, reads="Fresh questions are made here, as many as you like.")
    )
    return Compiled(plan, tuple(writer.cells), tuple(writer.questions), tuple(writer.cases))


def _write_block(writer: _Writer, block: Block) -> None:
    if block.text:
        writer.page("text", block.text.strip())
    elif block.show:
        writer.page("picture", _shown(writer.library, block))
    elif block.example:
        ask = writer.ask(f"example-{len(writer.cells)}", block.example, block, None)
        writer.page("example", pages.example_page(build_question(ask, writer.library)))
    elif block.ask:
        for _ in range(block.times):
            writer.question(block.ask, block)
    elif block.case:
        _write_case(writer, block)


def _write_case(writer: _Writer, block: Block) -> None:
    from probebook.cases.generate import make_case
    from probebook.workbook.casepage import case_page

    case = make_case(
        writer.library,
        block.appliance,
        f"{writer.plan.id}/{writer.plan.seed}/{block.case}",
        block.level,
        truth=block.truth,
    )
    writer.cases.append(case)
    writer.page("case", case_page(case, writer.library, number=len(writer.cases)))
    for kind in block.asks:
        writer.question(kind, block, case)


def _shown(library: Library, block: Block) -> pages.Page:
    from probebook.workbook.casepage import drawing_page

    return drawing_page(library.appliance(block.appliance), block.show, block.position)

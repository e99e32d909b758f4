"""From a plan to a workbook: questions compiled, reading matter laid out, cells in order.

The outcome depends on the plan and the scenarios alone: the same inputs give the same cells on any machine.
"""

from __future__ import annotations

import hashlib
import math
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from probebook.errors import ScenarioError, UsageError
from probebook.files import canonical_json
from probebook.learning.difficulty import rated_question
from probebook.learning.duration import Pace, question_minutes, reading_minutes, told_minutes
from probebook.questions.codec import encode_question
from probebook.questions.frame import Ask
from probebook.questions.model import Kind, Question
from probebook.regions.facts import region_facts
from probebook.scenario_folder import DIGITS
from probebook.scenario_layers import file_in
from probebook.workbook.build.letters import letters_of
from probebook.workbook.build.naming import check_plan
from probebook.workbook.build.plan import PLANS, Block, Plan, load_plan
from probebook.workbook.pages import prompts
from probebook.workbook.pages.facts import CellTexts
from probebook.workbook.pages.glossary import Term, glossary_page, terms_in
from probebook.workbook.pages.lessons import aims
from probebook.workbook.pages.reference import reference_page

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

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
    """A workbook ready to be written: its cells, its questions in order, its cases by name, its language.

    ``scenarios`` is the fingerprint of the scenario files that it was compiled from, ``minutes`` what the whole takes,
    ``terms`` the words that its lessons use and that are explained.
    """

    plan: Plan
    cells: tuple[Cell, ...]
    questions: tuple[Question, ...]
    cases: tuple[Case, ...]
    language: str
    scenarios: str = ""
    minutes: int = 0
    terms: tuple[Term, ...] = ()

    @property
    def fingerprint(self) -> str:
        """Sixteen hexadecimal digits that notebook and answer key of one build share, and those of another do not."""
        questions = [encode_question(question) for question in self.questions]
        made_of = canonical_json([self.plan.stem, self.language, self.scenarios, questions])
        return hashlib.sha256(made_of.encode()).hexdigest()[:DIGITS]


class _Writer:
    """Collects cells and questions while a plan is walked through."""

    def __init__(self, plan: Plan, library: Library) -> None:
        self.plan = plan
        self.library = library
        self.cells: list[Cell] = []
        self.questions: list[Question] = []
        self.cases: list[Case] = []
        self.pace = library.assumptions.get(Pace)
        self.minutes: list[float] = []
        self.lessons: list[str] = []
        self.asked: list[tuple[str, Question]] = []
        self.drawings: list[tuple[int, Block]] = []

    def page(self, name: str, page: prompts.Page | str) -> None:
        content = page if isinstance(page, prompts.Page) else prompts.Page(page)
        self.cells.append(Cell(f"{name}-{len(self.cells):03d}", content.text, attachments=content.attachments()))

    def said(self, template: str, where: str) -> str:
        """A text of the plan with the words of the region in its holes."""
        words = self.library.words
        return words.say_text(region_facts(self.library.region, words), template.strip(), where)

    def cell(self, key: str, code: str) -> None:
        """A hidden line of code; what stands there where no kernel runs is the sentence of that key."""
        self.cells.append(Cell(key, code, code=True, reads=self.library.words.say(CellTexts(), key)))

    def question(self, kind: Kind, block: Block, case: Case | None = None) -> None:
        number = len(self.questions) + 1
        ask = self.ask(f"q{number:02d}", kind, block, case)
        question = rated_question(ask, self.library)
        self.questions.append(question)
        self.minutes.append(question_minutes(question, self.pace))
        self.asked.append((ask.appliance, question))
        self.page("question", prompts.question_page(question, self.library.words))
        self.cells.append(
            Cell(
                f"ask-{question.id}",
                f'book.ask("{question.id}")',
                code=True,
                reads=prompts.options_text(question, self.library.words),
            )
        )

    def example(self, kind: Kind, block: Block, case: Case | None = None) -> None:
        ask = self.ask(f"example-{len(self.cells)}", kind, block, case)
        self.minutes.append(self.pace.example)
        self.page("example", prompts.example_page(rated_question(ask, self.library), self.library.words))

    def aims(self, minutes: float) -> str:
        """What one will be able to do, how long it takes, what comes before."""
        paths = [file_in(self.library.folder, f"{PLANS}/{name}.toml") for name in self.plan.after]
        plans = [load_plan(path, self.library.words) for path in paths]
        return aims(self.plan, self.questions, minutes, plans, self.library)

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

    def show_paths(self) -> None:
        """Let drawings show the paths they name, but for positions that a trace question asks about."""
        for place, block in self.drawings:
            appliance = self.library.appliance(block.appliance)
            prompts_asked = [
                asked.prompt for name, asked in self.asked if name == appliance.id and asked.kind is Kind.TRACE
            ]
            said = {name: self.library.words.noun(appliance.position(name).title).text for name in block.paths}
            free = tuple(name for name in block.paths if not any(said[name] in text for text in prompts_asked))
            page = _shown(self.library, block, free)
            self.cells[place] = replace(self.cells[place], source=page.text, attachments=page.attachments())


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
    check_plan(plan, library)
    writer = _Writer(plan, library)
    writer.page("title", f"# {plan.title}\n\n{writer.said(plan.summary, f'{plan.id}.toml: summary')}")
    writer.page("caution", prompts.caution(library, plan.reader))
    head = len(writer.cells)
    writer.cell("open", f'from probebook.workbook import open_workbook; book = open_workbook("{plan.stem}")')
    blocks = plan.blocks_in(library.region.id)
    for number, block in enumerate(blocks):
        try:
            _write_block(writer, block)
        except (ScenarioError, UsageError) as error:
            raise ScenarioError(error.message, where=_at(block, error), remedy=error.remedy) from None
        if advance:
            advance(number + 1, len(blocks))
    writer.show_paths()
    minutes = math.fsum(writer.minutes)
    writer.cells.insert(head, Cell("aims", writer.aims(minutes)))
    writer.cell("progress", "book.progress()")
    writer.page("practice-text", library.words.say(CellTexts(), "practice-text").strip())
    writer.cell("practice", "book.practice()")
    terms = terms_in(writer.lessons, library)
    if terms:
        writer.cells.append(Cell("glossary", glossary_page(terms, library).strip()))
    writer.cells.append(Cell("reference", reference_page(library, plan.reader)))
    cells, questions, cases = tuple(writer.cells), tuple(writer.questions), tuple(writer.cases)
    if letters := letters_of(library, plan.title, {plan.appliance, *(block.appliance for block in blocks)} - {""}):
        cells = tuple(cell if cell.code else replace(cell, source=letters.text(cell.source)) for cell in cells)
        questions = tuple(letters.question(question) for question in questions)
    told = told_minutes(minutes)
    return Compiled(plan, cells, questions, cases, library.words.id, library.fingerprint, told, terms)


def _at(block: Block, error: ScenarioError | UsageError) -> str:
    """File, block and key of what is wrong with a block."""
    if not isinstance(error, ScenarioError) or not error.where:
        return block.where
    return f"{block.where}{'.' if error.where.startswith('options.') else ': '}{error.where}"


def _write_block(writer: _Writer, block: Block) -> None:
    if block.text:
        said = writer.said(block.text, block.where)
        writer.minutes.append(reading_minutes([said], writer.pace))
        writer.lessons.append(said)
        writer.page("text", said)
    elif block.show:
        if block.paths:
            writer.drawings.append((len(writer.cells), block))
        writer.page("picture", _shown(writer.library, block))
    elif block.example:
        writer.example(block.example, block)
    elif block.ask:
        for _ in range(block.times):
            writer.question(block.ask, block)
    elif block.worked:
        _write_worked(writer, block)
    elif block.case:
        _write_case(writer, block)


def _write_case(writer: _Writer, block: Block) -> None:
    from probebook.workbook.pages.case import case_page

    case = _made_case(writer, block, block.case)
    writer.cases.append(case)
    writer.minutes.append(writer.pace.case)
    writer.page("case", case_page(case, writer.library, number=len(writer.cases)))
    for kind in block.asks:
        writer.question(kind, block, case)


def _made_case(writer: _Writer, block: Block, name: str) -> Case:
    from probebook.cases.generate import make_case

    seed = f"{writer.plan.id}/{writer.plan.seed}/{name}"
    return make_case(writer.library, block.appliance, seed, block.level, truth=block.truth)


def _write_worked(writer: _Writer, block: Block) -> None:
    """A case that nobody is asked about: its page, the same worked aloud, and questions about it worked out."""
    from probebook.workbook.pages.case import case_page
    from probebook.workbook.pages.walk import walk_page

    case = _made_case(writer, block, block.worked)
    writer.minutes += [writer.pace.case, writer.pace.observation * len(case.evidence)]
    writer.page("example", case_page(case, writer.library, number=0))
    writer.page("example", walk_page(case, writer.library))
    for kind in block.asks:
        writer.example(kind, block, case)


def _shown(library: Library, block: Block, paths: Sequence[str] = ()) -> prompts.Page:
    from probebook.workbook.pages.drawing import drawing_page

    return drawing_page(library.appliance(block.appliance), block.show, library.words, block.position, paths)

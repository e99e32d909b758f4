"""Opening a workbook: ``book = open_workbook("ohms-and-watts")``, then ``book.ask("q07")`` for each question.

The learner's answers come back from the journal beside the notebook, whatever happened to the kernel meanwhile.
"""

from __future__ import annotations

import asyncio
import math
import re
from collections.abc import Callable, Sequence
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import ipywidgets as widgets

from probebook.errors import JournalError, ProbebookError
from probebook.questions.codec import Sheet, read_sheet
from probebook.questions.marking import BenchMarker
from probebook.questions.model import Marked, Question, Response, Standing
from probebook.words import Phrase
from probebook.workbook.drafts import SUFFIX as DRAFTS
from probebook.workbook.drafts import Drafts
from probebook.workbook.facts import BadLine, Notes, NotSaved, Opening, Torn
from probebook.workbook.finding import NotebookError, OtherScenariosError, belongs, find_sheet
from probebook.workbook.forms.form import Form
from probebook.workbook.forms.hints import hint_id
from probebook.workbook.forms.verdict import notice_html
from probebook.workbook.forms.view import Input
from probebook.workbook.journal import SUFFIX, Entry, History, check_writable, read_journal
from probebook.workbook.language import sheet_library, sheet_words
from probebook.workbook.progress import progress_html, progress_rows
from probebook.workbook.saving import Answers
from probebook.workbook.style import style_tag

if TYPE_CHECKING:
    from probebook.workbook.practice.cell import Practice

__all__ = ["Clock", "Workbook", "open_workbook"]

#: Gives the present time with its zone.
Clock = Callable[[], datetime]

#: The workbook of each journal that was opened last: a page that is loaded again opens it anew.
_open: dict[Path, Workbook] = {}

#: Seconds after which saving is tried again.
AGAIN = 5.0

_NAME = re.compile(r"[\w][\w .-]*")


def _utc_now() -> datetime:
    return datetime.now(UTC)


class Workbook:
    """A workbook being worked through.

    Attributes
    ----------
    name
        As it was opened.
    sheet
        Its questions.
    words
        The language it was built in.
    journal
        The file the answers are saved in.
    """

    def __init__(
        self, name: str, sheet: Sheet, journal: Path, *, clock: Clock = _utc_now, before: Workbook | None = None
    ) -> None:
        self.name = name
        self.sheet = sheet
        self.words = sheet_words(sheet)
        self.journal = journal
        self._clock = clock
        self._forms: dict[str, Form] = {}
        # What stood in the forms when the same workbook was opened before, in the same kernel.
        self._before: dict[str, Form] = {**before._before, **before._forms} if before is not None else {}
        self._practice_before: Practice | None = None
        if before is not None:
            self._practice_before = before._practice or before._practice_before
        self._tables: list[widgets.HTML] = []
        self._trouble = ""
        self._practice: Practice | None = None
        self._drafts = Drafts(journal.with_name(f"{name}{DRAFTS}"), str(sheet.meta.get("build", "")))
        # Forms of the time before may still be in the page: what is answered there counts here too, and what could not
        # be saved is not forgotten.
        self._kept: Answers = before._kept if before is not None else Answers(journal, name)
        self._read()
        self._is_waiting = False
        self._retry()

    def _read(self) -> None:
        """Take what the journal holds, and find out whether more can be saved in it."""
        self.history = History()
        try:
            if self._kept.waiting:
                self._kept.settle()
        except JournalError as error:
            self._trouble = str(error)
        try:
            self.history = read_journal(self.journal, origin=self.name)
            check_writable(self.journal)
        except JournalError as error:
            self._trouble = str(error)
        self._kept.read(self.history.entries)

    def answers(self, question_id: str) -> Sequence[Entry]:
        """Every answer given to a question, oldest first."""
        return tuple(self._kept.of.get(question_id, ()))

    def form(self, question_id: str, *, bench: Input | None = None, bench_marker: BenchMarker | None = None) -> Form:
        """The form of a question, with the saved answer in it.

        ``bench`` and ``bench_marker`` serve a question that is answered on the virtual bench: the input, and what
        marks it.

        Raises
        ------
        UsageError
            The workbook has no question of that id.
        """
        if question_id not in self._forms:
            try:
                question = self.sheet.question(question_id)
            except KeyError:
                raise NotebookError(
                    f"there is no question {question_id!r} in this workbook",
                    where=self.name,
                    remedy="build the workbook and its answer key together",
                ) from None
            if bench is None and question.bench:
                from probebook.workbook.forms.bench import bench_for

                bench, bench_marker = bench_for(question, sheet_library(self.sheet, self.journal.parent))
            form = Form(
                question, self.words, save=self._save, hinted=self._hinted, bench=bench, bench_marker=bench_marker
            )
            form.show_hints(self.hinted(question_id))
            given = self._kept.of.get(question_id, [])
            if given:
                scored = [entry for entry in given if entry.scored]
                form.restore(given[-1].response, len(scored), scored[-1].response if scored else None)
            self._take_over(form)
            form.touched = lambda: self._drafts.note(question_id, form.draft())
            self._forms[question_id] = form
        return self._forms[question_id]

    def _take_over(self, form: Form) -> None:
        """Bring back what was not checked in the form that this one follows, and end that one."""
        before = self._before.pop(form.question.id, None)
        draft = self._drafts.of(form.question.id)
        if draft is not None and draft != form.draft():
            form.take_draft(draft)
        if before is not None:
            if before.question == form.question:
                form.take_draft(before.response())
            before.close()

    def ask(self, question_id: str, **bench: Any) -> None:
        """Show the form of a question (see :meth:`form`), or why it cannot be answered here."""
        try:
            _display(self.form(question_id, **bench).widget)
        except OtherScenariosError as error:
            _display(widgets.HTML(style_tag("page") + notice_html([str(error)])))

    def progress(self) -> None:
        """Show the table of outcomes; it follows every answer."""
        table = widgets.HTML()
        self._tables.append(table)
        self._show_progress()
        _display(table)

    def practice(self) -> None:
        """Show fresh practice: another question like one of this workbook, or whatever suits the learner next."""
        try:
            practice = self.practising()
        except OtherScenariosError as error:
            _display(widgets.HTML(style_tag("page") + notice_html([str(error)])))
            return
        _display(practice.widget)

    def practising(self) -> Practice:
        """The fresh practice of this workbook.

        Raises
        ------
        OtherScenariosError
            The scenarios that the workbook was built from are not to be found.
        """
        from probebook.workbook.practice.cell import Practice

        before, self._practice_before = self._practice_before, None
        sheet_library(self.sheet, self.journal.parent)
        if self._practice is None:
            entries = [entry for given in self._kept.of.values() for entry in given]
            self._practice = Practice(
                self.name,
                self.sheet,
                self.journal,
                answers=self.answers,
                entries=entries,
                save=self._save,
                note=lambda question, record: self._keep(question, record, Standing.BLANK, 0.0),
            )
        if before is not None:
            self._practice.take_over(before)
        return self._practice

    def notices(self) -> list[str]:
        """What the learner should know on opening: what came back, and what is wrong with the saved answers."""
        known = {question.id for question in self.sheet.questions}
        opening = Opening(
            title=Phrase(str(self.sheet.meta.get("title") or self.name)),
            questions=len(self.sheet.questions),
            marks=math.fsum(question.marks for question in self.sheet.questions),
            back=len(known.intersection(self._kept.of)),
        )
        lines: list[str] = [self.words.say(opening, "title-back" if opening.back else "title")]
        if self.history.torn:
            lines.append(self.words.say(Torn(), "torn"))
        lines += [
            self.words.say(BadLine(self.journal.name, problem.line, problem.missing), problem.what)
            for problem in self.history.problems
        ]
        if self._trouble:
            lines.append(self._trouble)
        return lines

    def _save(self, question: Question, response: dict[str, Response], marked: Marked) -> str:
        self._drafts.drop(question.id)
        return self._keep(question.id, response, marked.standing, marked.marks)

    def hinted(self, question_id: str) -> int:
        """How many hints to a question were read."""
        return len(self.answers(hint_id(question_id)))

    def _hinted(self, question: Question, number: int) -> None:
        self._keep(hint_id(question.id), {"step": str(number)}, Standing.BLANK, 0.0)

    def _keep(self, question: str, response: dict[str, Response], standing: Standing, marks: float) -> str:
        time = self._clock().astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
        note: str = ""
        try:
            self._settled(self._kept.give(question, response, standing, marks, time))
        except JournalError as error:
            is_news = str(error) != self._trouble
            self._trouble = str(error)
            trouble = NotSaved(Phrase(str(error)))
            note = self.words.say(trouble, "not-saved-because") if is_news else self.words.say(Notes(), "not-saved")
            self._retry_later()
        self._show_progress()
        return note

    def _settled(self, questions: set[str]) -> None:
        """Take back that answers were not saved."""
        self._trouble = ""
        for question in questions & self._forms.keys():
            self._forms[question].saved()

    def _retry(self) -> None:
        """Save what waits, now and again until it is saved."""
        self._is_waiting = False
        if not self._kept.waiting:
            return
        try:
            self._settled(self._kept.settle())
        except JournalError:
            self._retry_later()

    def _retry_later(self) -> None:
        with suppress(RuntimeError):  # outside a kernel nothing runs by itself
            if not self._is_waiting:
                asyncio.get_running_loop().call_later(AGAIN, self._retry)
                self._is_waiting = True

    def _show_progress(self) -> None:
        if self._tables:
            outcomes = self.sheet.meta.get("outcomes")
            rows = progress_rows(self.sheet.questions, self.answers, self.words, outcomes)
            html = style_tag("page") + progress_html(rows, self.words)
            for table in self._tables:
                table.value = html


def open_workbook(
    name: str, *, sheet: str | Path | None = None, folder: str | Path | None = None, clock: Clock = _utc_now
) -> Workbook:
    """Open a workbook from the first cell of its notebook.

    Parameters
    ----------
    name
        The stem of the notebook: ``ohms-and-watts`` for ``ohms-and-watts.ipynb``.
    sheet
        The answer key; without it ``../answer_keys/<name>.json``, ``answer_keys/<name>.json`` and ``<name>.json``
        are looked for, from the notebook's folder.
    folder
        The notebook's folder; the kernel's working folder when not given.
    clock
        What stamps the answers.

    What stood unchecked in the forms of the same workbook comes back while the kernel lives.

    Raises
    ------
    UsageError
        The name is no name, or the answer key is missing or cannot be used. A notebook shows the sentence alone.
    """
    if not _NAME.fullmatch(name):
        raise NotebookError(
            f"{name!r} is not the name of a workbook", remedy="give the notebook's name without its ending"
        )
    here = Path(folder) if folder is not None else Path.cwd()
    path = Path(sheet) if sheet is not None else find_sheet(name, here)
    try:
        journal = here / f"{name}{SUFFIX}"
        read = read_sheet(path)
        belongs(read.meta, here / f"{name}.ipynb")
        book = Workbook(name, read, journal, clock=clock, before=_open.get(journal))
    except ProbebookError as error:
        raise NotebookError(error.message, where=error.where, remedy=error.remedy) from error
    _open[journal] = book
    _display(widgets.HTML(style_tag("page") + notice_html(book.notices())))
    return book


def _display(widget: widgets.DOMWidget) -> None:
    from IPython.display import display

    display(widget)

"""Opening a workbook: ``book = open_workbook("ohms-and-watts")``, then ``book.ask("q07")`` for each question.

The learner's answers come back from the journal beside the notebook, whatever happened to the kernel meanwhile.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import ipywidgets as widgets

from probebook.errors import JournalError, ProbebookError, UsageError
from probebook.questions.codec import Sheet, read_sheet
from probebook.questions.marking import BenchMarker
from probebook.questions.model import Marked, Question, Response, Standing
from probebook.workbook.feedback import notice_html
from probebook.workbook.forms import Form
from probebook.workbook.inputs import Input
from probebook.workbook.journal import SUFFIX, Entry, History, append_answer, read_journal
from probebook.workbook.progress import progress_html, progress_rows
from probebook.workbook.style import STYLE

if TYPE_CHECKING:
    from probebook.workbook.practice import Practice

__all__ = ["Clock", "Workbook", "find_sheet", "open_workbook"]

#: Gives the present time with its zone.
Clock = Callable[[], datetime]

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
    journal
        The file the answers are saved in.
    """

    def __init__(self, name: str, sheet: Sheet, journal: Path, *, clock: Clock = _utc_now) -> None:
        self.name = name
        self.sheet = sheet
        self.journal = journal
        self._clock = clock
        self._forms: dict[str, Form] = {}
        self._tables: list[widgets.HTML] = []
        self._trouble = ""
        self._practice: Practice | None = None
        try:
            self.history = read_journal(journal, origin=name)
        except JournalError as error:
            self.history = History()
            self._trouble = str(error)
        self._entries: dict[str, list[Entry]] = {}
        for entry in self.history.entries:
            self._entries.setdefault(entry.question, []).append(entry)

    def answers(self, question_id: str) -> Sequence[Entry]:
        """Every answer given to a question, oldest first."""
        return tuple(self._entries.get(question_id, ()))

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
                raise _NotebookError(
                    f"there is no question {question_id!r} in this workbook",
                    where=self.name,
                    remedy="build the workbook and its answer key together",
                ) from None
            form = Form(question, save=self._save, bench=bench, bench_marker=bench_marker)
            given = self._entries.get(question_id, [])
            if given:
                scored = [entry for entry in given if entry.scored]
                form.restore(given[-1].response, len(scored), scored[-1].response if scored else None)
            self._forms[question_id] = form
        return self._forms[question_id]

    def ask(self, question_id: str, **bench: Any) -> None:
        """Show the form of a question (see :meth:`form`)."""
        _display(self.form(question_id, **bench).widget)

    def progress(self) -> None:
        """Show the table of outcomes; it follows every answer."""
        table = widgets.HTML()
        self._tables.append(table)
        self._show_progress()
        _display(table)

    def practice(self) -> None:
        """Show fresh practice: another question like one of this workbook, or whatever suits the learner next."""
        from probebook.workbook.practice import Practice

        if self._practice is None:
            self._practice = Practice(
                self.name,
                self.sheet,
                self.journal,
                answers=self.answers,
                entries=self.history.entries,
                save=self._save,
                note=lambda question, record: self._keep(question, record, Standing.BLANK, 0.0),
            )
        _display(self._practice.widget)

    def notices(self) -> list[str]:
        """What the learner should know on opening: what came back, and what is wrong with the saved answers."""
        title = str(self.sheet.meta.get("title") or self.name)
        marks = sum(question.marks for question in self.sheet.questions)
        count = len(self.sheet.questions)
        lines = [f"{title}: {count} question{'' if count == 1 else 's'}, {marks:g} mark{'' if marks == 1 else 's'}."]
        known = {question.id for question in self.sheet.questions}
        back = len(known.intersection(self._entries))
        if back:
            lines[0] += f" {back} of them answered before: your answers are back in their places."
        if self.history.torn:
            lines.append(
                "The last saved answer was cut off in the middle (a power cut, perhaps); the others are whole."
            )
        lines += [f"{self.journal.name}, line {problem.line}: {problem.message}" for problem in self.history.problems]
        if self._trouble:
            lines.append(self._trouble)
        return lines

    def _save(self, question: Question, response: dict[str, Response], marked: Marked) -> str:
        return self._keep(question.id, response, marked.standing, marked.marks)

    def _keep(self, question: str, response: dict[str, Response], standing: Standing, marks: float) -> str:
        time = self._clock().astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
        given: dict[str, Any] = {
            "question": question,
            "response": response,
            "standing": standing,
            "marks": marks,
            "time": time,
        }
        note = ""
        try:
            entry = append_answer(self.journal, origin=self.name, **given)
            self._trouble = ""
        except JournalError as error:
            entry = Entry(n=0, **given)
            is_news = str(error) != self._trouble
            self._trouble = str(error)
            note = f"Not saved. {error} You can go on working." if is_news else "Not saved."
        self._entries.setdefault(question, []).append(entry)
        self._show_progress()
        return note

    def _show_progress(self) -> None:
        if self._tables:
            html = STYLE + progress_html(
                progress_rows(self.sheet.questions, self.answers, self.sheet.meta.get("outcomes"))
            )
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

    Raises
    ------
    UsageError
        The name is no name, or the answer key is missing or cannot be used. A notebook shows the sentence alone.
    """
    if not _NAME.fullmatch(name):
        raise _NotebookError(
            f"{name!r} is not the name of a workbook", remedy="give the notebook's name without its ending"
        )
    here = Path(folder) if folder is not None else Path.cwd()
    path = Path(sheet) if sheet is not None else find_sheet(name, here)
    try:
        book = Workbook(name, read_sheet(path), here / f"{name}{SUFFIX}", clock=clock)
    except ProbebookError as error:
        raise _NotebookError(error.message, where=error.where, remedy=error.remedy) from error
    _display(widgets.HTML(STYLE + notice_html(book.notices())))
    return book


def find_sheet(name: str, here: Path) -> Path:
    """The answer key of a workbook, looked for round the folder ``here``; UsageError when there is none."""
    places = (here.parent / "answer_keys", here / "answer_keys", here)
    for place in places:
        path = place / f"{name}.json"
        if path.is_file():
            return path
    raise _NotebookError(
        f"there is no answer key {name}.json near this notebook",
        where=str(here),
        remedy="put it into the folder answer_keys beside the notebook's own folder",
    )


class _NotebookError(UsageError):
    """An error that a notebook shows as its one sentence, without the traceback."""

    def _render_traceback_(self) -> list[str]:
        return [str(self)]


def _display(widget: widgets.DOMWidget) -> None:
    from IPython.display import display

    display(widget)

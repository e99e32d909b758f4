"""Fresh practice without end: another question like one of this workbook, or whatever suits the learner next.

What was asked is kept in the journal as an entry that is not scored, with all it takes to build the question again; the
answers follow it like any others. So what was practised counts after a restart, and no seed is drawn twice.
"""

from __future__ import annotations

import contextlib
import hashlib
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import ipywidgets as widgets

from probebook.cases.seeds import stream
from probebook.errors import ProbebookError, UsageError
from probebook.questions.mastery import Answer, expected_success, rate, trace
from probebook.questions.model import Question, Response
from probebook.workbook.choosing import Choice, Template, choose
from probebook.workbook.forms import Form, Save
from probebook.workbook.fresh import Fresh, Order, about, fingerprint, fresh_question, rebuilt
from probebook.workbook.journal import Entry
from probebook.workbook.learning import PREFIX, Shelf, is_record
from probebook.workbook.practice_page import HEAD, asked_html, known_html, status_html

if TYPE_CHECKING:
    from probebook.cases.library import Library
    from probebook.questions.codec import Sheet
    from probebook.questions.model import Marked

__all__ = ["Note", "Practice"]

#: How many cases back one about the same thing is avoided.
LATELY = 5

#: Keeps what was asked: the id and its record; returns a note for the learner, empty when it is safe on disk.
Note = Callable[[str, dict[str, Response]], str]


class Practice:
    """The practice cell of a workbook.

    Parameters
    ----------
    name, sheet, journal
        As of the workbook.
    answers
        Every entry of a question, oldest first; those of practice come by their ids.
    entries
        What the journal held when the workbook was opened.
    save, note
        Keep an answer; keep what was asked.
    library
        The trade; that of the scenarios in force when None.

    Attributes
    ----------
    like, again, suits, back
        The list of this workbook's questions and the three buttons.
    form
        The form of the question that is asked now, or None.
    status
        What the cell says it is doing.
    widget
        All of it, to display.
    """

    def __init__(
        self,
        name: str,
        sheet: Sheet,
        journal: Path,
        *,
        answers: Callable[[str], Sequence[Entry]],
        entries: Sequence[Entry] = (),
        save: Save,
        note: Note,
        library: Library | None = None,
    ) -> None:
        self.sheet = sheet
        self.journal = journal
        self._answers = answers
        self._save = save
        self._note = note
        self._shelf = Shelf(name, sheet, journal.parent, library)
        self._records: dict[str, dict[str, Response]] = {e.question: e.response for e in entries if is_record(e)}
        self.form: Form | None = None
        self.fresh: Fresh | None = None

        self.like = widgets.Dropdown(
            options=[(_named(question), question.id) for question in sheet.questions],
            description="Another like",
            style={"description_width": "initial"},
        )
        self.again = widgets.Button(description="Make one", tooltip="Make a fresh question like the one chosen")
        self.suits = widgets.Button(
            description="Whatever suits me next", tooltip="Chosen by what you got right and wrong"
        )
        self.suits.add_class("mod-primary")
        self.back = widgets.Button()
        self.again.on_click(lambda _: self._at_work("Making a fresh question …", self._make_alike))
        self.suits.on_click(lambda _: self._at_work("Choosing what suits you next …", self._make_suiting))
        self.back.on_click(lambda _: self._at_work("Bringing the question back …", self._bring_back))
        self.status = widgets.HTML()
        self.page = widgets.HTML()
        self.place = widgets.VBox([])
        self.known = widgets.HTML()
        self._offer_last()

        chosen = widgets.HBox([self.like, self.again, self.back])
        chosen.add_class("pb-actions")
        head = widgets.HTML(HEAD)
        head.add_class("pb-style")
        self.widget = widgets.VBox([head, self.suits, chosen, self.status, self.page, self.place, self.known])
        self.widget.add_class("pb-form")
        self.widget.add_class("pb-practice")

    # ------------------------------------------------------------ what the buttons do

    def _at_work(self, doing: str, work: Callable[[], None]) -> None:
        """Say what is being done, do it with the buttons shut, and say what came of it in a sentence."""
        buttons = (self.again, self.suits, self.back)
        self.status.value = status_html(doing)
        for button in buttons:
            button.disabled = True
        try:
            work()
        except ProbebookError as error:
            said = str(error)
            self.status.value = status_html(f"{said[:1].upper()}{said[1:]}")
        finally:
            for button in buttons:
                button.disabled = False

    def _make_alike(self) -> None:
        wanted = str(self.like.value)
        for template in self._shelf.templates:
            if (template.workbook, template.question) == (self._shelf.name, wanted):
                why = f"Like {_named(self.sheet.question(wanted))}, with everything drawn anew."
                self._ask(Choice(template.outcome, (template,), why))
                return
        raise UsageError(
            "no fresh question can be made like this one",
            remedy="choose another, or ask for whatever suits you next",
        )

    def _make_suiting(self) -> None:
        answers, course = self.answers(), self._shelf.course
        known, ability = trace(answers, course), rate(answers, course)
        rng = stream("practice", self._seed(self._number()))
        choice = choose(self._shelf.templates, known, ability, course, self._shelf.titles, rng)
        self._ask(choice, rating=ability.of(choice.outcome) if ability.answers else None)

    def _bring_back(self) -> None:
        last = self._last()
        if last is None:
            raise UsageError("nothing was practised here before")
        question, case = rebuilt(Order.from_record(last, self._records[last]), self._shelf.library)
        if fingerprint(question, case) != self._records[last].get("mark"):
            raise UsageError("this question was made by another version and cannot be brought back")
        given = [entry for entry in self._answers(last) if not is_record(entry)]
        fresh = Fresh(question, case, Order.from_record(last, self._records[last]))
        self._show(fresh, "From your saved practice.")
        scored = [entry for entry in given if entry.scored]
        if given and self.form is not None:
            self.form.restore(given[-1].response, len(scored), scored[-1].response if scored else None)

    def _ask(self, choice: Choice, rating: float | None = None) -> None:
        number = self._number()
        seed = self._seed(number)
        rng = stream("practice draw", seed)
        unusual = rng.random() < self._shelf.course.unusual
        appliances = list(self._shelf.appliances)
        rng.shuffle(appliances)
        fresh, template = None, choice.templates[0]
        for template in choice.templates[:6]:
            with contextlib.suppress(UsageError):
                fresh = fresh_question(
                    template,
                    self._shelf.library,
                    question_id=f"{PREFIX}{number}",
                    seed=seed,
                    appliances=appliances,
                    taken=self._taken(),
                    recent=self._lately(),
                    unusual=unusual,
                )
                break
        if fresh is None:
            raise UsageError("no fresh question of this sort was found", remedy="ask for whatever suits you next")
        why = choice.why
        if rating is not None:
            chance = round(100 * expected_success(rating, template.difficulty))
            why += f" Going by your answers so far, you should get one like this right {chance} times in 100."
        record = self._recorded(fresh, template)
        self._records[fresh.question.id] = record
        trouble = self._note(fresh.question.id, record)
        self._show(fresh, why, trouble)

    def _recorded(self, fresh: Fresh, template: Template) -> dict[str, Response]:
        question = fresh.question
        record: dict[str, Response] = {**fresh.order.to_record()}
        record["outcome"] = question.outcome
        record["marks"] = f"{question.marks:g}"
        record["difficulty"] = f"{question.difficulty:g}"
        record["like"] = f"{template.workbook}/{template.question}"
        record["mark"] = fingerprint(question, fresh.case)
        record["about"] = about(fresh.case)
        return record

    def _show(self, fresh: Fresh, why: str, trouble: str = "") -> None:
        self.fresh = fresh
        self.page.value = asked_html(fresh, self._shelf.library)
        self.form = Form(fresh.question, save=self._saved)
        self.place.children = (self.form.widget,)
        self.status.value = status_html(why, trouble)
        self.back.layout.display = "none"
        self._show_known()

    def _saved(self, question: Question, response: dict[str, Response], marked: Marked) -> str:
        note = self._save(question, response, marked)
        self._show_known()
        return note

    def _show_known(self) -> None:
        course = self._shelf.course
        self.known.value = known_html(trace(self.answers(), course), course, self._shelf.titles)

    # ------------------------------------------------------------ what is known

    def answers(self) -> tuple[Answer, ...]:
        """The evidence of this journal and of the others beside it, oldest first."""
        return self._shelf.answers(self._answers, self._records)

    # ------------------------------------------------------------ numbers and seeds

    def _number(self) -> int:
        return 1 + max((_number_of(name) for name in self._records), default=0)

    def _last(self) -> str | None:
        return max(self._records, key=_number_of, default=None)

    def _seed(self, number: int) -> str:
        """A seed that follows from the journal alone: its bytes, and the number of the question."""
        try:
            content = self.journal.read_bytes()
        except OSError:
            content = b""
        return f"practice/{hashlib.sha256(self._shelf.name.encode() + content).hexdigest()[:16]}/{number}"

    def _taken(self) -> set[str]:
        return {fingerprint(question) for question in self.sheet.questions} | {
            str(record.get("mark", "")) for record in self._records.values()
        }

    def _lately(self) -> set[str]:
        names = sorted(self._records, key=_number_of)[-LATELY:]
        return {str(self._records[name].get("about", "")) for name in names} - {""}

    def _offer_last(self) -> None:
        last = self._last()
        if last is None:
            self.back.layout.display = "none"
        else:
            self.back.description = f"Go on with practice {_number_of(last)}"


def _number_of(question_id: str) -> int:
    text = question_id.removeprefix(PREFIX)
    return int(text) if text.isdecimal() else 0


def _named(question: Question) -> str:
    return f"question {question.id.removeprefix('q').lstrip('0')}: {question.title}"

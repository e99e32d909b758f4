"""Fresh practice without end: another question like one of this workbook, or whatever suits the learner next.

What was asked is kept in the journal as an entry that is not scored, with all it takes to build the question again; the
answers follow it like any others. So what was practised counts after a restart, and no seed is drawn twice.
"""

from __future__ import annotations

import contextlib
import hashlib
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import ipywidgets as widgets

from probebook.cases.seeds import stream
from probebook.errors import ProbebookError, UsageError
from probebook.learning.choosing import Choice, Template, choose
from probebook.learning.mastery import Answer, expected_success, rate, trace
from probebook.questions.model import Question, Response
from probebook.words import Phrase
from probebook.workbook.forms.form import Form, Save
from probebook.workbook.forms.hints import hint_id
from probebook.workbook.journal import Entry
from probebook.workbook.practice.facts import (
    Chance,
    GoOn,
    LikeQuestion,
    ListedQuestion,
    PracticeButtons,
    PracticeStatus,
    PracticeTrouble,
)
from probebook.workbook.practice.fresh import Fresh, Order, about, fingerprint, fresh_question, rebuilt
from probebook.workbook.practice.model import PracticeModel
from probebook.workbook.practice.page import asked_html, known_html
from probebook.workbook.practice.shelf import PREFIX, Shelf, is_record
from probebook.workbook.style import style_tag

if TYPE_CHECKING:
    from probebook.cases.library import Library
    from probebook.questions.codec import Sheet
    from probebook.questions.model import Marked

__all__ = ["Note", "Practice"]

#: How many cases back one about the same thing is avoided.
LATELY = 5

#: A question is called easy or hard when its expected success is so far from the one aimed at.
EASY, HARD = 0.12, -0.2

#: What the cell says before anything was asked for.
_NOTHING: dict[str, object] = {"busy": False, "back": "", "status": "", "note": "", "page": ""}

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
    model
        What page and kernel share beside the form: what can be asked for, what is being done, the question as text.
    form
        The form of the question that is asked now, or None.
    known
        HTML widget: how far each outcome is known.
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
        self._words = self._shelf.library.words
        self._records: dict[str, dict[str, Response]] = {e.question: e.response for e in entries if is_record(e)}
        self.form: Form | None = None
        self.fresh: Fresh | None = None

        self.model = PracticeModel(self._on_press, view=self._view(), state=dict(_NOTHING, back=self._offered()))
        self.place = widgets.VBox([])
        self.known = widgets.HTML()
        self.widget = widgets.VBox([self.model, self.place, self.known])

    def _view(self) -> dict[str, Any]:
        return {
            "language": self._words.source,
            "words": {key: self._words.say(PracticeButtons(), key) for key in PracticeButtons.says_},
            "options": [self._listed(question) for question in self.sheet.questions],
        }

    def press(self, name: str, like: str = "") -> None:
        """Press a button: ``suits``, ``again`` (for another like the question of that id) or ``back``."""
        ids = [question.id for question in self.sheet.questions]
        self.model.hear({"press": name, "like": ids.index(like) if like else 0})

    def close(self) -> None:
        """End the cell: nothing of it is kept in the page or in the kernel."""
        if self.form is not None:
            self.form.close()
        for part in (self.widget, self.place, self.known, self.model):
            part.close()

    def _tell(self, **state: object) -> None:
        self.model.state = {**self.model.state, **state}

    # ------------------------------------------------------------ what the buttons do

    def _on_press(self, name: str, content: Mapping[str, object]) -> None:
        like = content.get("like")
        work = {
            "suits": ("choosing", self._make_suiting),
            "again": ("making", lambda: self._make_alike(like)),
            "back": ("bringing-back", self._bring_back),
        }.get(name)
        if work is not None:
            self._at_work(*work)

    def _at_work(self, doing: str, work: Callable[[], None]) -> None:
        """Say what is being done, do it with the buttons shut, and say what came of it in a sentence."""
        self._tell(status=self._words.say(PracticeStatus(), doing), note="", busy=True)
        try:
            work()
        except ProbebookError as error:
            said = str(error)
            self._tell(status=f"{said[:1].upper()}{said[1:]}")
        finally:
            self._tell(busy=False)

    def _make_alike(self, like: object) -> None:
        ids = [question.id for question in self.sheet.questions]
        wanted = ids[like] if isinstance(like, int) and 0 <= like < len(ids) else ""
        for template in self._shelf.templates:
            if (template.workbook, template.question) == (self._shelf.name, wanted):
                question = self.sheet.question(wanted)
                why = LikeQuestion(_place(question), Phrase(question.title))
                self._ask(Choice(template.outcome, (template,), self._words.say(why, "like")))
                return
        raise self._trouble("not-like-this")

    def _make_suiting(self) -> None:
        answers, course = self.answers(), self._shelf.course
        known, ability = trace(answers, course), rate(answers, course)
        rng = stream("practice", self._seed(self._number()))
        choice = choose(self._shelf.templates, known, ability, course, self._shelf.titles, rng, self._words)
        self._ask(choice, rating=ability.of(choice.outcome) if ability.answers else None)

    def _bring_back(self) -> None:
        last = self._last()
        if last is None:
            raise self._trouble("nothing-before")
        try:
            question, case = rebuilt(Order.from_record(last, self._records[last]), self._shelf.library)
        except (KeyError, TypeError, ValueError):  # made from what the appliance has no longer
            raise self._trouble("other-version") from None
        if fingerprint(question, case) != self._records[last].get("mark"):
            raise self._trouble("other-version")
        self._put_back(Fresh(question, case, Order.from_record(last, self._records[last])))

    def take_over(self, before: Practice) -> None:
        """Go on with the question of the cell before this one, as it stood there, and end that cell."""
        if before.form is not None and before.fresh is not None and before.fresh.question.id in self._records:
            draft = before.form.response()
            self._put_back(before.fresh)
            if self.form is not None:
                self.form.take_draft(draft)
        before.close()

    def _put_back(self, fresh: Fresh) -> None:
        """Show a question that was asked before, with the answers given to it."""
        self._show(fresh, self._words.say(PracticeStatus(), "from-saved"))
        given = [entry for entry in self._answers(fresh.question.id) if not is_record(entry)]
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
            raise self._trouble("none-fresh")
        why = Phrase(choice.why)
        if rating is not None:
            ahead = expected_success(rating, template.difficulty) - self._shelf.course.success
            key = "easy" if ahead > EASY else "hard" if ahead < HARD else "right-for-you"
            why = self._words.say(Chance(why), key)
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
        bench: dict[str, Any] = {}
        if fresh.question.bench:
            from probebook.workbook.forms.bench import bench_for

            bench = dict(zip(("bench", "bench_marker"), bench_for(fresh.question, self._shelf.library), strict=True))
        before, self.form = self.form, Form(fresh.question, self._words, save=self._saved, hinted=self._hinted, **bench)
        self.form.show_hints(len(self._answers(hint_id(fresh.question.id))))
        self.place.children = (self.form.widget,)
        if before is not None:
            before.close()
        self._tell(page=asked_html(fresh, self._shelf.library), status=why, note=trouble, back="")
        self._show_known()

    def _hinted(self, question: Question, number: int) -> None:
        self._note(hint_id(question.id), {"step": str(number)})

    def _saved(self, question: Question, response: dict[str, Response], marked: Marked) -> str:
        note = self._save(question, response, marked)
        self._show_known()
        return note

    def _show_known(self) -> None:
        course = self._shelf.course
        known = known_html(trace(self.answers(), course), course, self._shelf.titles, self._words)
        self.known.value = style_tag("page") + known

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

    def _offered(self) -> str:
        """What the button is called that brings the last question back; empty for none."""
        last = self._last()
        return "" if last is None else str(self._words.say(GoOn(_number_of(last)), "go-on"))

    def _listed(self, question: Question) -> str:
        return self._words.say(ListedQuestion(_place(question), Phrase(question.title)), "question")

    def _trouble(self, key: str) -> UsageError:
        return UsageError(self._words.say(PracticeTrouble(), key))


def _number_of(question_id: str) -> int:
    text = question_id.removeprefix(PREFIX)
    return int(text) if text.isdecimal() else 0


def _place(question: Question) -> str:
    """The number of a question as a learner knows it."""
    return question.id.removeprefix("q").lstrip("0")

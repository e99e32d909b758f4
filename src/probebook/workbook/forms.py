"""The form of one question: its inputs, a button to check, the verdict, and the working once it is earned."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import ipywidgets as widgets

from probebook.questions.marking import BenchMarker, mark
from probebook.questions.model import FieldKind, Marked, Question, Response, Standing
from probebook.workbook.feedback import score_words, verdict_html, working_html
from probebook.workbook.inputs import Input, make_input, marks_words
from probebook.workbook.style import STYLE

__all__ = ["Form", "Save"]

#: Keeps an answer and returns a note for the learner: empty when it is safe on disk.
Save = Callable[[Question, dict[str, Response], Marked], str]

#: So many marked attempts open the working although the answer is not right.
ATTEMPTS_FOR_WORKING = 2


class Form:
    """A question being answered.

    Attributes
    ----------
    question
        What is asked.
    inputs
        For each field key its input, with ``get()`` and ``set(response)``.
    check, show_working
        The buttons.
    feedback, working
        HTML widgets: the verdict, and the working (empty until it is earned and asked for).
    marked
        The last mark given, scored or not; None before the first.
    scored
        The last mark that counted; None before the first.
    attempts
        How many answers counted.
    widget
        All of it, to display.
    """

    def __init__(
        self,
        question: Question,
        *,
        save: Save | None = None,
        bench: Input | None = None,
        bench_marker: BenchMarker | None = None,
    ) -> None:
        if bench is None and question.bench:
            from probebook.workbook.benchform import bench_for

            bench, bench_marker = bench_for(question)
        self.question = question
        self.inputs: dict[str, Input] = {}
        for field in question.fields:
            if field.kind is not FieldKind.BENCH:
                has_company = len(question.fields) > 1
                self.inputs[field.key] = make_input(field, marks_words(field.marks) if has_company else "")
            elif bench is not None:
                self.inputs[field.key] = bench
        self.marked: Marked | None = None
        self.scored: Marked | None = None
        self.attempts = 0
        self._save = save
        self._bench_marker = bench_marker
        self._last_scored: dict[str, Response] | None = None

        self.check = widgets.Button(description="Check", tooltip=f"Check the answer to {question.id}")
        self.check.add_class("mod-primary")
        self.show_working = widgets.Button(
            description="Show working", tooltip="Opens after a right answer or two attempts", disabled=True
        )
        self.score = widgets.HTML()
        self.feedback = widgets.HTML()
        self.working = widgets.HTML()
        self.check.on_click(lambda _: self._on_check())
        self.show_working.on_click(lambda _: self._on_working())

        actions = widgets.HBox([self.check, self.show_working, self.score])
        actions.add_class("pb-actions")
        style = widgets.HTML(STYLE)
        style.add_class("pb-style")
        shown = [given.widget for given in self.inputs.values()]
        self.widget = widgets.VBox([style, *shown, actions, self.feedback, self.working])
        self.widget.add_class("pb-form")
        self._show_score()

    def response(self) -> dict[str, Response]:
        """What stands in the inputs now."""
        return {key: given.get() for key, given in self.inputs.items()}

    def set(self, response: Mapping[str, object]) -> None:
        """Put a response into the inputs without checking it."""
        for key, given in self.inputs.items():
            given.set(response.get(key))

    def restore(self, response: Mapping[str, object], attempts: int, scored: Mapping[str, object] | None) -> None:
        """Bring a saved answer back: the inputs, its verdict and the attempts used.

        ``response`` is the last answer given, ``scored`` the last one that counted (often the same).
        """
        self.set(response)
        self.attempts = attempts
        if scored is not None:
            self.scored = self._mark(scored)
        self.marked = self._mark(response)
        if self.marked.scored:
            self._last_scored = self.response()
        self.feedback.value = verdict_html(self.question, self.marked, "From your saved answers.")
        self._show_score()

    def _mark(self, response: Mapping[str, object]) -> Marked:
        return mark(self.question, response, bench=self._bench_marker)

    def _on_check(self) -> None:
        response = self.response()
        marked = self._mark(response)
        note = ""
        if marked.scored and response == self._last_scored:
            note = "The same answer as before: no further attempt is used up."
        else:
            if marked.scored:
                self.attempts += 1
                self._last_scored = response
            if marked.standing is not Standing.BLANK and self._save is not None:
                note = self._save(self.question, response, marked)
        self.marked = marked
        if marked.scored:
            self.scored = marked
        self.feedback.value = verdict_html(self.question, marked, note)
        self._show_score()
        if marked.standing is Standing.RIGHT and not self.working.value:
            self._on_working()

    def _on_working(self) -> None:
        self.working.value = "" if self.working.value else working_html(self.question)
        self.show_working.description = "Hide working" if self.working.value else "Show working"

    def _show_score(self) -> None:
        self.score.value = score_words(self.question, self.scored, self.attempts)
        is_right = self.scored is not None and self.scored.standing is Standing.RIGHT
        self.show_working.disabled = not (is_right or self.attempts >= ATTEMPTS_FOR_WORKING)

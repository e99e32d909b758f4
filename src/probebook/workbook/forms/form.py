"""The form of one question: what is asked, what stands in it, what marking said, the working once it is earned."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cached_property
from typing import TYPE_CHECKING, Any

import ipywidgets as widgets

from probebook.questions.marking import BenchMarker, mark
from probebook.questions.model import FieldKind, Marked, Question, Response, Standing
from probebook.workbook.facts import Notes
from probebook.workbook.forms.hints import button_words, hints
from probebook.workbook.forms.model import Component, QuestionModel
from probebook.workbook.forms.verdict import score_words, verdict, working_html
from probebook.workbook.forms.view import Input, asked, from_response, to_response, view
from probebook.workbook.markup import inline

if TYPE_CHECKING:
    from probebook.words import Words

__all__ = ["Form", "Hinted", "Save"]

#: Keeps that so many hints to a question were read.
Hinted = Callable[[Question, int], object]

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
    words
        The language of the workbook.
    model
        What page and kernel share; a learner's hand is :meth:`QuestionModel.write` and :meth:`QuestionModel.hear`.
    bench
        What the question's bench field is answered on; None for all other questions.
    marked
        The last mark given, scored or not; None before the first.
    scored
        The last mark that counted; None before the first.
    attempts
        How many answers counted.
    hinted
        How many hints were read; they cost nothing.
    widget
        All of it, to display.
    """

    def __init__(
        self,
        question: Question,
        words: Words,
        *,
        save: Save | None = None,
        hinted: Hinted | None = None,
        bench: Input | None = None,
        bench_marker: BenchMarker | None = None,
    ) -> None:
        if bench is None and question.bench:
            from probebook.workbook.forms.bench import bench_for

            bench, bench_marker = bench_for(question)
        self.question = question
        self.words = words
        self.bench = bench
        self.marked: Marked | None = None
        self.scored: Marked | None = None
        self.attempts = 0
        self.hinted = 0
        self._advised: list[str] = []
        #: Called whenever what stands in the form was changed, by whoever keeps drafts.
        self.touched: Callable[[], object] = lambda: None
        self._is_unsaved = False
        self._fields = asked(question)
        self._save = save
        self._keep_hint = hinted
        self._bench_marker = bench_marker
        self._last_scored: dict[str, Response] | None = None
        self.model = QuestionModel(
            self._on_press,
            view=view(question, words),
            answer=[from_response(field, None) for field in self._fields],
            state=self._state(checks=0),
        )
        self.model.observe(lambda _: self.touched(), "answer")
        watch = getattr(bench, "watch", None)
        if watch is not None:
            watch(self._on_bench)
        when_ended = getattr(bench, "when_ended", None)
        if when_ended is not None:
            when_ended(self.check)
        self.widget = self.model if bench is None else widgets.VBox([bench.widget, self.model])

    @property
    def components(self) -> tuple[Component, ...]:
        """What a page shows of the question, in order: the bench, where there is one, and the form."""
        bench = getattr(self.bench, "component", None)
        return (self.model,) if bench is None else (bench, self.model)

    def response(self) -> dict[str, Response]:
        """What stands in the form now."""
        given = dict(zip((field.key for field in self._fields), self.model.answer, strict=False))
        found: dict[str, Response] = {}
        for field in self.question.fields:
            if field.kind is not FieldKind.BENCH:
                found[field.key] = to_response(field, given.get(field.key))
            elif self.bench is not None:
                found[field.key] = self.bench.get()
        return found

    def draft(self) -> dict[str, Response]:
        """What stands in the form now, without handing in what was done on the bench."""
        given = dict(zip((field.key for field in self._fields), self.model.answer, strict=False))
        found = {field.key: to_response(field, given.get(field.key)) for field in self._fields}
        for field in self.question.fields:
            if field.kind is FieldKind.BENCH:
                found[field.key] = list(getattr(self.bench, "acts", ()))
        return found

    def saved(self) -> None:
        """Take back that the answer was not saved: it is by now."""
        if self._is_unsaved:
            self._is_unsaved = False
            self.model.verdict = {**self.model.verdict, "note": ""}

    def set(self, response: Mapping[str, object]) -> None:
        """Put a response into the form without checking it."""
        self.model.answer = [from_response(field, response.get(field.key)) for field in self._fields]
        for field in self.question.fields:
            if field.kind is FieldKind.BENCH and self.bench is not None:
                self.bench.set(response.get(field.key))

    def check(self) -> None:
        """Press the button."""
        self.model.hear({"press": "check"})

    def restore(self, response: Mapping[str, object], attempts: int, scored: Mapping[str, object] | None) -> None:
        """Bring a saved answer back: what was given, its verdict and the attempts used.

        ``response`` is the last answer given, ``scored`` the last one that counted (often the same).
        """
        with self.model.hold_sync():
            self.set(response)
            self.attempts = attempts
            if scored is not None:
                self.scored = self._mark(scored)
                self._last_scored = self._as_given(scored)
            self.marked = self._mark(response)
            self._show(self.marked, self.words.say(Notes(), "from-saved"))

    def _as_given(self, response: Mapping[str, object]) -> dict[str, Response]:
        """A saved response as :meth:`response` would give it while it stood in the form."""
        found: dict[str, Response] = {}
        for field in self.question.fields:
            given = response.get(field.key)
            if field.kind is FieldKind.BENCH:
                found[field.key] = [str(act) for act in given] if isinstance(given, list | tuple) else []
            else:
                found[field.key] = to_response(field, from_response(field, given))
        return found

    def take_draft(self, response: Mapping[str, object]) -> None:
        """Put in what stood unchecked in the form before this one; a verdict is then about an earlier answer."""
        if response == self.response():
            return
        with self.model.hold_sync():
            self.set(response)
            if self.bench is not None:
                self._on_bench()

    def close(self) -> None:
        """End the form: nothing of it is kept in the page or in the kernel."""
        if self.widget is not self.model:
            self.widget.close()
        for component in self.components:
            component.close()

    def show_hints(self, number: int) -> None:
        """Show the first hints again, as many as were read before."""
        if number:
            self.hinted = min(number, len(self._hints))
            self._tell_hints()

    def _give_hint(self) -> None:
        """Show one hint more, and have it kept that it was read."""
        if not self._told_hints()["more"]:
            self._tell_hints()
            return
        if self.hinted >= len(self._hints):
            self._advised.append(self._advise())
        self.hinted += 1
        assert self._keep_hint is not None
        self._keep_hint(self.question, self.hinted)
        self._tell_hints()

    def _tell_hints(self) -> None:
        self.model.state = {**self.model.state, **self._told_hints()}

    def _told_hints(self) -> dict[str, Any]:
        """The hints that were read, and whether there is another: none at all where nobody keeps that they were."""
        if self._keep_hint is None:
            return {"hints": [], "more": False}
        read = [inline(hint) for hint in (*self._hints[: self.hinted], *self._advised)]
        return {"hints": read, "more": self.hinted < len(self._hints) or self._is_advised}

    def _advise(self) -> str:
        """What would be learnt most from next on the bench."""
        return str(getattr(self.bench, "advise", str)())

    @property
    def _is_advised(self) -> bool:
        """Whether the bench can be asked what would be learnt most from next."""
        return bool(self._hints) and bool(getattr(self.bench, "is_advising", False))

    @cached_property
    def _hints(self) -> tuple[str, ...]:
        return hints(self.question, self.words) if button_words(self.words) else ()

    def _mark(self, response: Mapping[str, object]) -> Marked:
        return mark(self.question, response, self.words, bench=self._bench_marker)

    def _on_press(self, name: str, content: Mapping[str, object]) -> None:
        if name == "check":
            self.model.write(content.get("answer"))
            self._check()
        elif name == "hint":
            self._give_hint()

    def _on_bench(self) -> None:
        """Something was done on the bench: what was said is about how it stood before."""
        self.touched()
        if self.marked is not None and not self.model.state["changed"]:
            self.model.state = {**self.model.state, "changed": True}

    def _check(self) -> None:
        response = self.response()
        marked = self._mark(response)
        note = ""
        is_same = marked.scored and response == self._last_scored
        if is_same and not self._is_unsaved:
            note = str(self.words.say(Notes(), "same-answer"))
        else:
            if marked.scored and not is_same:
                self.attempts += 1
                self._last_scored = response
            if marked.standing is not Standing.BLANK and self._save is not None:
                note = self._save(self.question, response, marked)
                self._is_unsaved = bool(note)
        self.marked = marked
        if marked.scored:
            self.scored = marked
        self._show(marked, note, opens=marked.standing is Standing.RIGHT)

    @property
    def is_earned(self) -> bool:
        """Whether the working may be read: after a right answer or two that counted."""
        is_right = self.scored is not None and self.scored.standing is Standing.RIGHT
        return is_right or self.attempts >= ATTEMPTS_FOR_WORKING

    @property
    def is_whole(self) -> bool:
        """Whether :attr:`components` are all that is needed to answer."""
        return self.bench is None or len(self.components) > 1

    @cached_property
    def _working(self) -> str:
        return working_html(self.question, self.words)

    def _show(self, marked: Marked, note: str, *, opens: bool = False) -> None:
        with self.model.hold_sync():
            said = verdict(self.question, marked, self.words, is_earned=self.is_earned, note=note)
            self.model.verdict = said
            self.model.state = self._state(self.model.state["checks"] + 1, list(self.model.answer), opens=opens)

    def _state(self, checks: int, checked: list[Any] | None = None, *, opens: bool = False) -> dict[str, Any]:
        return {
            "checks": checks,
            "checked": checked,
            "changed": False,
            "score": score_words(self.question, self.scored, self.attempts, self.words),
            "working": self._working if self.is_earned else "",
            "open": opens,
            **self._told_hints(),
        }

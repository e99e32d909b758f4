"""Sitting a paper: ``paper = open_paper("NAME")``, ``paper.ask("q01")``, ``paper.review()``, ``paper.hand_in()``.

The notebook knows what is asked and nothing of what is right: no key is here to be read, so nothing that this module
shows, keeps or takes time over can tell. Answers are drafts until they are handed in.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import ipywidgets as widgets

from probebook.assessment.sitting.carried import unpacked
from probebook.assessment.sitting.chain import Sitting, append_event, read_events, read_lines, receipt
from probebook.assessment.sitting.clock import Clock, Now, elapsed_since, machine_clock
from probebook.assessment.sitting.facts import HandIn, Head, Kept, Review, ReviewItem
from probebook.assessment.sitting.handin import SUFFIX, handin_text
from probebook.assessment.sitting.sheet import SheetModel
from probebook.errors import JournalError, ProbebookError
from probebook.files import write_atomic
from probebook.questions.model import Field, FieldKind, Option, Response
from probebook.words import Phrase, Words
from probebook.workbook import markup
from probebook.workbook.finding import NotebookError
from probebook.workbook.forms.model import QuestionModel
from probebook.workbook.forms.view import from_response, to_response

if TYPE_CHECKING:
    from probebook.assessment.sitting.asked import AskedBench
    from probebook.assessment.sitting.bench import PaperBench
    from probebook.assessment.sitting.chain import Event
    from probebook.workbook.forms.model import Component

__all__ = ["OpenPaper", "open_paper", "paper_in"]

#: A journal is named after its paper, with this instead of ``.ipynb``.
JOURNAL = ".sitting.jsonl"
#: A longer notebook (bytes) is refused unread.
LONGEST = 64_000_000

_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9 ._-]*")


class DraftForm:
    """The form of one question while it is sat: what stands in it is kept, and nothing is said of it."""

    def __init__(self, told: Mapping[str, Any], paper: OpenPaper) -> None:
        self.id = str(told["id"])
        self.title = str(told["view"]["title"])
        self._paper = paper
        self._fields = tuple(_stub(field) for field in told["fields"])
        self._asked = tuple(field for field in self._fields if field.kind is not FieldKind.BENCH)
        self.bench = _bench(told, paper, self.keep)
        self._kept: dict[str, Response] | None = None
        self.model = QuestionModel(
            self._on_press,
            view=dict(told["view"]),
            answer=[from_response(field, None) for field in self._asked],
            state=_state(),
        )
        self.model.observe(lambda _: self.keep(), "answer")
        if self.bench:
            self._say("bench")

    def response(self) -> dict[str, Response]:
        """What stands in the form now."""
        given = dict(zip((field.key for field in self._asked), self.model.answer, strict=False))
        found = {field.key: _storable(to_response(field, given.get(field.key))) for field in self._asked}
        return found | {field.key: list(self.bench.kept) for field in self._benches() if self.bench}

    def _benches(self) -> tuple[Field, ...]:
        return tuple(field for field in self._fields if field.kind is FieldKind.BENCH)

    @property
    def components(self) -> tuple[Component, ...]:
        """What a page shows of the question, in order."""
        return (self.bench, self.model) if self.bench else (self.model,)

    def set(self, response: Mapping[str, object]) -> None:
        """Put a response into the form; it is kept as if it had been typed."""
        self.model.answer = [from_response(field, response.get(field.key)) for field in self._asked]
        for field in self._benches():
            if self.bench:
                acts = response.get(field.key)
                self.bench.put(list(acts) if isinstance(acts, list | tuple) else [])

    def restore(self, response: Mapping[str, Response]) -> None:
        """Bring back what was kept."""
        self._kept = dict(response)
        for field in self._benches():
            acts = response.get(field.key, [])
            if self.bench and not isinstance(acts, str):
                self.bench.bring(acts)
        self.set(response)
        self._say_kept()

    def attend(self) -> None:
        """Ask a service that has the bench how the job stands: what was done on it is kept, wherever it was done."""
        if self.bench is not None:
            self.bench.attend()

    @property
    def is_answered(self) -> bool:
        """Whether every field has something in it."""
        return all(map(_is_given, self.response().values())) and (self.bench is None or self.bench.is_ended)

    def keep(self) -> None:
        """Keep what stands in the form, unless it is kept already; say so where that fails."""
        try:
            self.settle()
        except JournalError as error:
            self._say("not-kept", str(error))

    def settle(self) -> None:
        """Keep what stands in the form; JournalError where it cannot be kept."""
        response = self.response()
        if response == self._kept or (self._kept is None and not any(map(_is_given, response.values()))):
            return
        if self._paper.is_handed_in:
            self._say("closed")
            return
        added = self._added(response)
        self._paper.write("act" if added else "keep", item=self.id, response=added or response)
        self._kept = response
        self._say_kept()
        self._paper.refresh()

    def _added(self, response: Mapping[str, Response]) -> dict[str, Response]:
        """What was done on the bench since the last time, where nothing else changed; a long job is not kept anew."""
        before = self._kept or {}
        changed = [key for key in response if response[key] != before.get(key)]
        old, new = (before.get(changed[0]), response[changed[0]]) if len(changed) == 1 else (None, None)
        if not isinstance(old, list) or not isinstance(new, list) or changed[0] not in map(_key, self._benches()):
            return {}
        return {changed[0]: new[len(old) :]} if len(new) > len(old) and new[: len(old)] == old else {}

    def _say_kept(self) -> None:
        if self.bench and not self._asked:
            self._say("bench-ended" if self.is_answered else "bench-kept")
        else:
            self._say("kept" if self.is_answered or self._paper.is_handed_in else "kept-of")

    def _say(self, key: str, trouble: str = "") -> None:
        said = self._paper.words.say(Kept(Phrase(trouble)), key)
        self.model.state = {**self.model.state, "score": said}

    def _on_press(self, name: str, content: Mapping[str, object]) -> None:
        if name == "check":
            self.model.write(content.get("answer"))
            self.keep()
            self.model.state = {**self.model.state, "checks": self.model.state["checks"] + 1}


def _storable(value: Response) -> Response:
    """The response without halves of surrogate pairs, which no file can hold."""
    return markup.printable(value) if isinstance(value, str) else value


def _is_given(value: Response) -> bool:
    return bool(value.strip() if isinstance(value, str) else value)


def _stub(told: Mapping[str, Any]) -> Field:
    """A field as far as an answer has to be spelt: the ids of its options are their places.

    Steps to order stand in the page as they were written: the pair says that they are in no right order, so that
    nothing turns them round.
    """
    options = tuple(Option(f"o{place}", "") for place in range(1, int(told["options"]) + 1))
    kind = FieldKind(told["kind"])
    before = ((options[1].id, options[0].id),) if kind is FieldKind.ORDER else ()
    return Field(str(told["key"]), kind, "", 0.0, "", options=options, before=before)


def _key(field: Field) -> str:
    return field.key


def _bench(told: Mapping[str, Any], paper: OpenPaper, done: Callable[[], object]) -> PaperBench | AskedBench | None:
    """The bench of a question; None where it has none."""
    if "bench" not in told:
        return None
    from probebook.assessment.sitting.asked import AskedBench
    from probebook.assessment.sitting.bench import PaperBench
    from probebook.assessment.sitting.line import asker

    carried = unpacked(told["bench"], paper.name)
    if "table" in carried:
        return PaperBench(done, lambda: paper.is_handed_in, **carried)
    ask = asker(str(paper.told["paper"]), str(told["id"]))
    return AskedBench(ask, done, lambda: paper.is_handed_in, paper.words, **carried)


def _state() -> dict[str, Any]:
    return {"checks": 0, "checked": None, "changed": False, "score": "", "working": "", "open": False}


class OpenPaper:
    """A paper being sat.

    Attributes
    ----------
    name
        As it was opened.
    words
        The language of its learner.
    journal, handin
        The file its answers are kept in, and the one that handing in makes.
    """

    def __init__(self, name: str, told: Mapping[str, Any], folder: Path, clock: Clock) -> None:
        self.name = name
        self.told = told
        self.words = Words.restored(told["words"])
        self.journal = folder / f"{name}{JOURNAL}"
        self.handin = folder / f"{name}{SUFFIX}"
        self._clock = clock
        self._sheets: list[SheetModel] = []
        self.kept: Sitting = read_events(self.journal)
        self._last: Event | None = self.kept.events[-1] if self.kept.events else None
        self.was_set_back = False
        self.is_handed_in = any(event.what == "hand-in" for event in self.kept.events)
        self.forms = {str(item["id"]): DraftForm(item, self) for item in told["items"]}
        answers = self.kept.answers()
        for form in self.forms.values():
            if form.id in answers:
                form.restore(answers[form.id])
        if not self.is_handed_in:
            self.write("open")
        for form in self.forms.values():
            form.attend()

    # ---------------------------------------------------------------- time and the journal

    def elapsed(self, now: Now | None = None) -> float:
        """Seconds of the sitting that have gone."""
        if self._last is None:
            return 0.0
        if self.is_handed_in:
            return self._last.elapsed
        gone, is_back = elapsed_since(self._last, now or self._clock())
        self.was_set_back = self.was_set_back or is_back
        return gone

    def left(self) -> float:
        """Seconds that are left; below nought when the time is over."""
        return float(self.told["minutes"]) * 60 - self.elapsed()

    def write(self, what: str, **more: Any) -> None:
        """Add to the journal; JournalError where that fails."""
        from probebook.assessment.sitting.chain import Event

        now = self._clock()
        gone = round(self.elapsed(now), 3)
        event = {"what": what, "time": now.time, "steady": now.steady, "boot": now.boot, "elapsed": gone, **more}
        append_event(self.journal, str(self.told["paper"]), str(self.told["set"]), event)
        self._last = Event(n=0, **event)

    # ---------------------------------------------------------------- what is shown

    def ask(self, item: str) -> None:
        """Show the form of a question."""
        if item not in self.forms:
            raise NotebookError(
                f"there is no question {item!r} in this paper", where=self.name, remedy="take a fresh copy of the paper"
            )
        for component in self.forms[item].components:
            _display(component)

    def review(self) -> None:
        """Show what is not answered yet."""
        _display(self.sheet("review"))

    def hand_in(self) -> None:
        """Show the button that hands in."""
        _display(self.sheet("hand-in"))

    def show_head(self) -> None:
        """Show whose paper it is and the time that is left."""
        _display(self.sheet("head"))

    def sheet(self, part: str) -> SheetModel:
        """A part of the paper beside its questions: ``head``, ``review`` or ``hand-in``."""
        sheet = SheetModel(self._on_press, part=part, view=self._view(), state=self._state())
        self._sheets.append(sheet)
        return sheet

    def refresh(self) -> None:
        """Say everywhere how far the paper is."""
        state = self._state()
        for sheet in self._sheets:
            sheet.state = state

    def _head(self) -> Head:
        answered = sum(form.is_answered for form in self.forms.values())
        learner = self.told["learner"]
        title = Phrase(str(self.told["title"]))
        return Head(title, str(learner["name"]), answered, len(self.forms), self.kept.broken)

    def _view(self) -> dict[str, Any]:
        head = self._head()
        said = {key: self.words.say(head, key) for key in ("title", "left", "over")}
        said |= {key: self.words.say(Review(), key) for key in Review.says_}
        said |= {key: self.words.say(HandIn(), key) for key in ("button", "yes", "no", "keep")}
        return {"language": self.words.source, "words": said, "large": bool(self.told["large_print"])}

    def _state(self, note: str = "") -> dict[str, Any]:
        head = self._head()
        numbered = enumerate(self.forms.values(), start=1)
        still = [(number, form) for number, form in numbered if not form.is_answered]
        is_back = bool(self.kept.answers())
        notes = [note] + [self.words.say(head, key) for key, it in (("back", is_back),) if it]
        left = self.left()
        if self.kept.broken:
            notes.append(self.words.say(head, "broken"))
        if self.was_set_back:
            notes.append(self.words.say(head, "clock"))
        sure = HandIn(questions=len(still))
        code = self._code()
        done = [self.words.say(HandIn(file=self.handin.name, code=code), key) for key in ("done", "receipt", "keep")]
        return {
            "left": round(left, 1),
            "runs": not self.is_handed_in,
            "answered": self.words.say(head, "answered"),
            "open": [self.words.say(ReviewItem(number, Phrase(form.title)), "item") for number, form in still],
            "sure": self.words.say(sure, "sure-open" if still else "sure"),
            "notes": [text for text in notes if text],
            "done": done if self.is_handed_in else [],
        }

    # ---------------------------------------------------------------- handing in

    def _code(self) -> str:
        if not self.is_handed_in:
            return ""
        lines = read_lines(self.journal)
        return receipt(str(lines[-1]["hash"])) if lines and isinstance(lines[-1], dict) else ""

    def _on_press(self, name: str, content: Mapping[str, object]) -> None:
        del content
        if name == "hand-in":
            self.submit()
        elif name == "refresh":
            self.refresh()

    def submit(self) -> None:
        """Hand in: the journal is closed and the one file made; it may be made again, the same.

        What stands in a form and cannot be kept is not left behind: then nothing is handed in, and the page says why.
        """
        try:
            if not self.is_handed_in:
                for form in self.forms.values():
                    form.settle()
                self.write("hand-in")
                self.is_handed_in = True
            learner = str(self.told["learner"]["id"])
            text = handin_text(str(self.told["paper"]), str(self.told["set"]), learner, read_lines(self.journal))
            write_atomic(self.handin, text)
        except ProbebookError as error:
            state = self._state(self.words.say(HandIn(trouble=Phrase(str(error))), "failed"))
            for sheet in self._sheets:
                sheet.state = state
            return
        self.refresh()


def paper_in(name: str, folder: Path, clock: Clock = machine_clock) -> OpenPaper:
    """Open the paper of a name in a folder, and show nothing yet; errors as of :func:`open_paper`."""
    if not _NAME.fullmatch(name):
        raise NotebookError(
            f"{name!r} is not the name of a paper", remedy="give the notebook's name without its ending"
        )
    try:
        return OpenPaper(name, _told(folder / f"{name}.ipynb"), folder, clock)
    except ProbebookError as error:
        raise NotebookError(error.message, where=error.where, remedy=error.remedy) from error


def open_paper(name: str, *, folder: str | Path | None = None, clock: Clock = machine_clock) -> OpenPaper:
    """Open a paper from the first cell of its notebook.

    Parameters
    ----------
    name
        The stem of the notebook.
    folder
        The notebook's folder; the kernel's working folder when not given.
    clock
        What tells the time.

    Raises
    ------
    UsageError
        The name is no name, or the notebook is no paper. A notebook shows the sentence alone.
    """
    here = Path(folder) if folder is not None else Path.cwd()
    paper = paper_in(name, here, clock)
    paper.show_head()
    return paper


def _told(path: Path) -> Mapping[str, Any]:
    """What a notebook carries for its forms."""
    try:
        if path.stat().st_size > LONGEST:
            raise ValueError
        told: Mapping[str, Any] = json.loads(path.read_text("utf-8"))["metadata"]["probebook"]["sitting"]
        if told["format"] != 1:
            raise ValueError
    except (OSError, ValueError, KeyError, TypeError, RecursionError) as error:
        raise NotebookError(
            "this notebook is no paper that can be sat", where=path.name, remedy="take a fresh copy of the paper"
        ) from error
    return told


def _display(widget: widgets.DOMWidget) -> None:
    from IPython.display import display

    display(widget)

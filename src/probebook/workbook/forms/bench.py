"""The virtual bench in a page: one component that draws the appliance, and the input of a form that it stands for.

:class:`BenchInput` stands between a learner and :class:`probebook.bench.simulator.Bench` and adds nothing of its own:
whatever is done goes through :meth:`BenchInput.do` as an act, and what is shown comes back from the core. The answer of
a bench field is the list of acts that were done (:meth:`BenchInput.get`); :meth:`BenchInput.set` does such a list again
from the start. The page presses acts and is told ``state``: nothing that tells the fault leaves the kernel.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from probebook.bench.acts import LONGEST, conclude
from probebook.bench.advising import advise
from probebook.bench.log import readable
from probebook.bench.simulator import Bench, BenchSpec, BenchState, Shown, open_bench
from probebook.cases.library import Library, library
from probebook.questions.bench.marking import bench_marker
from probebook.questions.marking import BenchMarker
from probebook.questions.model import Question, Response
from probebook.workbook.forms.bench_curve import curve_of
from probebook.workbook.forms.bench_model import BenchModel
from probebook.workbook.forms.bench_state import Step, step_of, told
from probebook.workbook.forms.bench_view import view

__all__ = ["BenchInput", "BenchModel", "bench_for"]

#: More faults than this nobody concludes at once.
MOST_FAULTS = 4


def bench_for(question: Question, shelf: Library | None = None) -> tuple[BenchInput, BenchMarker]:
    """The bench of a question as an input, and what marks it.

    Raises
    ------
    UsageError
        The question does not say what its bench is set up from, or the library lacks what it names.
    """
    trade = library() if shelf is None else shelf
    return BenchInput(open_bench(BenchSpec.from_json(question.bench), trade)), bench_marker(question, trade)


class BenchInput:
    """The bench of one question.

    Attributes
    ----------
    bench, state
        The core, and how the job stands.
    acts
        What has been done, in order: the response.
    component
        What page and kernel share.
    """

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self.state: BenchState = bench.start()
        self.acts: list[str] = []
        self._steps: list[Step] = []
        self._said = Shown("")
        self._answers = 0
        self._given = False
        self._told: Callable[[], None] = lambda: None
        self._ended: Callable[[], None] = lambda: None
        self.component = BenchModel(self._on_press, view=view(bench), state=self._as_told())

    @property
    def widget(self) -> BenchModel:
        """The whole bench, to display."""
        return self.component

    def watch(self, told: Callable[[], None]) -> None:
        """Have a function called whenever something was done on the bench."""
        self._told = told

    def when_ended(self, ended: Callable[[], None]) -> None:
        """Have a function called when an act of the page has ended the job, by a conclusion or a failure."""
        self._ended = ended

    def get(self) -> Response:
        """The acts done so far."""
        if not self._given:
            self._given = True
            self._show()
        return list(self.acts)

    def set(self, response: object) -> None:
        """Do the acts of a response from the start; what is no list of acts brings the bench back to its start."""
        self.acts, self._steps = [], []
        self.state = self.bench.start()
        self._said = Shown("")
        self._given = False
        for act in readable(response) or []:
            self._step(act)
        self._told()
        self._show()

    def do(self, act: str) -> str:
        """Do one act; what was said. An act that cannot be done now changes nothing."""
        if self._step(act):
            self._given = False
            self._told()
        self._show()
        return str(self._said.text)

    @property
    def is_advising(self) -> bool:
        """Whether there is anything left to advise on."""
        return not self.state.over

    def advise(self) -> str:
        """What would be learnt most from next, as the job stands; empty when it is over."""
        return str(advise(self.bench, self.state))

    def _step(self, act: str) -> bool:
        self.state, self._said = self.bench.act(self.state, act)
        if self._said.done:
            self.acts.append(str(act))
            self._steps.append(step_of(self.bench, self.state, act, self._said))
        return self._said.done

    def _on_press(self, name: str, content: dict[str, Any]) -> None:
        was_over = self.state.over
        self._answers += 1
        if name == "restart":
            self._restart()
        elif name == "act" and isinstance(content.get("act"), str) and len(content["act"]) <= LONGEST:
            self.do(content["act"])
        elif name == "conclude":
            self._conclude(content.get("faults"))
        if self.state.over and not was_over:
            self._ended()
        self._show()

    def _conclude(self, numbers: object) -> None:
        faults = self.bench.appliance.faults
        if not isinstance(numbers, list) or len(numbers) > MOST_FAULTS:
            return
        if all(type(n) is int and 0 <= n < len(faults) for n in numbers):
            self.do(conclude({faults[n].id for n in numbers}))

    def _restart(self) -> None:
        # What went dangerously wrong is to be checked before it can be wiped away.
        if self.acts and (self._given or not self.state.failure):
            self.set([])

    def _as_told(self) -> dict[str, Any]:
        restarts = bool(self.acts) and (self._given or not self.state.failure)
        return told(self.bench, self.state, self._steps, self._said, answers=self._answers, restarts=restarts)

    def _show(self) -> None:
        self.component.curve = curve_of(self.bench, self._steps)
        self.component.state = self._as_told()

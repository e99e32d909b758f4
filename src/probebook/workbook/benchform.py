"""The virtual bench as a form: buttons for the steps, lists for wires and probes, a display, a log, a conclusion.

It stands between a learner and :class:`probebook.questions.bench_core.Bench` and adds nothing of its own: whatever is
done goes through :meth:`BenchInput.do` as an act, and what is shown comes back from the core. The answer of a bench
field is the list of acts that were done (:meth:`BenchInput.get`); :meth:`BenchInput.set` does such a list again
from the start. A front end that draws the appliance needs the same three methods and
:func:`probebook.questions.bench_log.view`.

Nothing that tells the fault is held in a widget: the core stays in the kernel.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import ipywidgets as widgets

from probebook.appliances import Appliance, PartKind
from probebook.cases.library import Library, library
from probebook.questions.bench_acts import DEAD_PAIRS, DIAL, Verb, conclude, probe, title
from probebook.questions.bench_core import Bench, BenchSpec, BenchState, open_bench
from probebook.questions.bench_log import readable, replay
from probebook.questions.bench_marking import bench_marker
from probebook.questions.marking import BenchMarker
from probebook.questions.model import Question, Response
from probebook.workbook import markup

__all__ = ["BenchInput", "bench_for"]

_STYLE = """<style>
.pb-bench { gap: 8px; }
.pb-bench .pb-row { display: flex; flex-wrap: wrap; align-items: center; gap: 6px; margin: 0; }
.pb-bench .widget-dropdown { width: auto; min-width: 12rem; max-width: 100%; height: 34px; margin: 0; }
.pb-bench .widget-dropdown > select { height: 34px; font-size: 14px; }
.pb-display { display: inline-block; min-width: 9rem; padding: 8px 16px; text-align: right; border-radius: 4px;
  font: 600 30px/1.2 ui-monospace, "DejaVu Sans Mono", monospace; color: #10240f; background: #cfdcc4;
  border: 2px solid #4c5b45; }
.pb-said { margin: 4px 0 0; } .pb-stop { font-weight: 700; }
.pb-log { max-height: 16rem; overflow: auto; } .pb-log td:last-child, .pb-log th:last-child { text-align: right; }
</style>"""


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
    widget
        All of it, to display.
    """

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self.state: BenchState = bench.start()
        self.acts: list[str] = []
        self._given = False
        self._buttons: list[tuple[widgets.Button, Callable[[], str], bool]] = []
        self._lists: list[tuple[widgets.Dropdown, Callable[[], Sequence[tuple[str, str]]]]] = []
        self.said = widgets.HTML()
        self.display = widgets.HTML()
        self.status = widgets.HTML()
        self.log = widgets.HTML()
        self.restart = widgets.Button(description="Start again", tooltip="Forget what was done and begin anew")
        self.restart.on_click(lambda _: self.set([]))
        self.box = widgets.VBox(self._layout())
        self.box.add_class("pb-bench")
        self._show("")

    @property
    def widget(self) -> widgets.DOMWidget:
        """The whole bench."""
        return self.box

    def get(self) -> Response:
        """The acts done so far."""
        self._given = True
        self._show_restart()
        return list(self.acts)

    def set(self, response: object) -> None:
        """Do the acts of a response from the start; what is no list of acts brings the bench back to its start."""
        self.acts = []
        self.state = self.bench.start()
        self._given = False
        display = ""
        for act in readable(response) or []:
            display = self._step(act) or display
        self._show(display)

    def do(self, act: str) -> str:
        """Do one act; what was said. An act that cannot be done now changes nothing."""
        before = len(self.acts)
        display = self._step(act)
        if len(self.acts) > before:
            self._given = False
        self._show(display)
        return str(self.said.value)

    def _step(self, act: str) -> str:
        after, shown = self.bench.act(self.state, act)
        if shown.done:
            self.state = after
            self.acts.append(act)
        stop = " pb-stop" if self.state.failure else ""
        self.said.value = f'<div class="pb-said{stop}" role="status">{markup.safe(shown.text)}</div>'
        return shown.display

    # ------------------------------------------------------------ laying it out

    def _layout(self) -> list[widgets.Widget]:
        appliance = self.bench.appliance
        style = widgets.HTML(_STYLE)
        style.add_class("pb-style")
        tests = [self._button(f"Test {pair.replace('-', '–')}", f"{Verb.TEST} {pair}") for pair in DEAD_PAIRS]
        supply = [
            self._button("Isolate", Verb.ISOLATE),
            self._button("Lock off", Verb.LOCK),
            self._button("Prove tester", Verb.PROVE),
            *tests,
            self._button("Put supply back", Verb.ENERGISE),
        ]
        covers = [
            button
            for name, _ in appliance.covers
            for button in (
                self._button(f"Take off {name}", f"{Verb.COVER_OFF} {name}"),
                self._button(f"Put back {name}", f"{Verb.COVER_ON} {name}"),
            )
        ]
        rows = [
            ("Supply", supply),
            ("Covers", covers),
            ("Controls", self._controls()),
            ("Wires", self._wires()),
            ("Look", self._looks()),
            ("Meter", self._meter()),
        ]
        shown = [self._row(label, row) for label, row in rows if row]
        reading = widgets.HBox([self.display])
        return [style, self.status, *shown, reading, self.said, self.log, self._row("Conclude", self._conclusion())]

    def _row(self, label: str, row: Sequence[widgets.Widget]) -> widgets.VBox:
        heading = widgets.HTML(f'<div class="pb-label">{markup.safe(label)}</div>')
        line = widgets.HBox(list(row))
        line.add_class("pb-row")
        box = widgets.VBox([heading, line])
        box.add_class("pb-field")
        return box

    def _controls(self) -> list[widgets.Widget]:
        positions = self._list("Position of the controls", lambda: [(p.title, p.name) for p in self._a.positions])
        return [
            positions,
            self._chooser("Set", lambda: f"{Verb.CONTROLS} {positions.value}", listed=True),
            self._button("Thermostat: call", Verb.CALLING),
            self._button("Thermostat: rest", Verb.RESTING),
            self._button("Functional run", Verb.RUN),
            self._button("Heat-up record", Verb.RECORD),
        ]

    def _wires(self) -> list[widgets.Widget]:
        wires = self._list(
            "Wire", lambda: [(f"{w.mark} {w.colour}, {w.start} to {w.end}", w.mark) for w in self._a.wires]
        )
        return [
            wires,
            self._chooser("Lift one end", lambda: f"{Verb.LIFT} {wires.value}"),
            self._chooser("Refit", lambda: f"{Verb.REFIT} {wires.value}"),
        ]

    def _looks(self) -> list[widgets.Widget]:
        marks = [p.mark for p in self._a.parts if p.kind is not PartKind.METALWORK]
        marks += [w.mark for w in self._a.wires]
        things = self._list("Part or wire", lambda: [(_named(self._a, mark), mark) for mark in marks])
        return [
            things,
            self._chooser("Look", lambda: f"{Verb.LOOK} {things.value}"),
            self._chooser("Bridge with a link", lambda: f"{Verb.BYPASS} {things.value}"),
            self._button("Dry it out", Verb.DRY),
        ]

    def _meter(self) -> list[widgets.Widget]:
        dial = self._list("Function", lambda: [(words, function.value) for function, words in DIAL.items()])
        first = self._list("Probe", self._terminals)
        second = self._list("to", self._terminals)
        return [
            dial,
            self._chooser("Set meter", lambda: f"{Verb.METER} {dial.value}", listed=True),
            self._button("Null leads", Verb.NULL),
            first,
            second,
            self._chooser("Read", lambda: probe(str(first.value), str(second.value))),
        ]

    def _conclusion(self) -> list[widgets.Widget]:
        faults = [(f.title, f.id) for f in self._a.faults]
        first = self._list("What is wrong", lambda: [("nothing wrong", ""), *faults])
        second = self._list("and", lambda: [("nothing else", ""), *faults])
        return [
            first,
            second,
            self._chooser("Conclude", lambda: conclude({v for v in (first.value, second.value) if v})),
            self.restart,
        ]

    @property
    def _a(self) -> Appliance:
        return self.bench.appliance

    def _terminals(self) -> list[tuple[str, str]]:
        reached = set(self.bench.terminals(self.state))
        return [
            (f"{t} {_short(self._a, t)}" + ("" if t in reached else f" (under the {self.bench.cover_over(t)})"), t)
            for t in self._a.terminals
        ]

    # ------------------------------------------------------------ widgets

    def _button(self, words: str, act: str) -> widgets.Button:
        return self._add(words, lambda: str(act), f"{title(self._a, act)}", watched=True)

    def _chooser(self, words: str, act: Callable[[], str], *, listed: bool = False) -> widgets.Button:
        return self._add(words, act, words, watched=listed)

    def _add(self, words: str, act: Callable[[], str], hint: str, *, watched: bool) -> widgets.Button:
        button = widgets.Button(description=words, tooltip=hint)
        button.on_click(lambda _: self.do(act()))
        self._buttons.append((button, act, watched))
        return button

    def _list(self, label: str, options: Callable[[], Sequence[tuple[str, str]]]) -> widgets.Dropdown:
        found = widgets.Dropdown(options=list(options()), description=label, style={"description_width": "initial"})
        found.observe(lambda _: self._show_buttons(), names="value")
        self._lists.append((found, options))
        return found

    # ------------------------------------------------------------ showing it

    def _show(self, display: str) -> None:
        self.display.value = f'<div class="pb-display" aria-label="meter">{markup.safe(display) or "– – –"}</div>'
        self.status.value = f"<p>{markup.safe(_status(self.bench, self.state))}</p>"
        for found, options in self._lists:
            listed, chosen = list(options()), found.value
            if list(found.options) != listed:
                found.options = listed
                found.value = chosen
        self._show_buttons()
        self.log.value = self._log()
        self._show_restart()

    def _show_buttons(self) -> None:
        possible = set(self.bench.acts(self.state))
        for button, act, watched in self._buttons:
            button.disabled = self.state.over or (watched and act() not in possible)

    def _show_restart(self) -> None:
        # What went dangerously wrong is to be checked before it can be wiped away.
        self.restart.disabled = not self.acts or (bool(self.state.failure) and not self._given)

    def _log(self) -> str:
        if not self.acts:
            return ""
        steps = list(enumerate(replay(self.bench, self.acts).steps, start=1))
        rows = "".join(
            f"<tr><td>{number}</td><td>{markup.safe(step.words)}</td><td>{markup.safe(step.shown.text)}</td>"
            f"<td>{step.minutes:.1f}</td></tr>"
            for number, step in reversed(steps)
        )
        return (
            '<div class="pb-log" tabindex="0"><table class="pb-table"><caption>What was done, latest first</caption>'
            f"<tr><th>step</th><th>act</th><th>what is seen</th><th>minutes</th></tr>{rows}</table></div>"
        )


def _status(bench: Bench, state: BenchState) -> str:
    """How the job stands in a sentence or two."""
    supply = (
        "supply on" if not state.isolated else "isolated and locked off" if state.locked else "switched off, not locked"
    )
    parts = [supply]
    if state.isolated:
        parts.append("proved dead" if state.dead else "not proved dead")
    parts.append(f"controls at {bench.appliance.position(state.position).title}")
    parts.append(f"covers off: {', '.join(sorted(state.uncovered)) or 'none'}")
    parts.append(f"wires off: {', '.join(sorted(state.lifted)) or 'none'}")
    said = "; ".join(parts)
    return f"{said[0].upper()}{said[1:]}. {state.minutes:.1f} minutes so far."


def _short(appliance: Appliance, terminal: str) -> str:
    return appliance.part(terminal.partition(".")[0]).title


def _named(appliance: Appliance, mark: str) -> str:
    wire = next((w for w in appliance.wires if w.mark == mark), None)
    return f"wire {mark}" if wire else f"{mark} {appliance.part(mark).title}"

"""Our components in a plain page: their own modules and style sheets, a stand-in for the model, the kernel's side here.

What a notebook does with a comm is done by a dozen lines: the page's model sends what is pressed to a function of ours,
which hands it to the form and gives back what the form says.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from chromium import CHROMIUM, FLAGS

from probebook.questions.model import Field, FieldKind, Question
from probebook.workbook import player
from probebook.workbook.forms.bench import BenchModel
from probebook.workbook.forms.form import Form
from probebook.workbook.forms.view import from_response

STATIC = Path(player.__file__).parent / "static"
HOST = "http://plain.invalid/"
KINDS = {".js": "text/javascript", ".css": "text/css", ".html": "text/html"}

_SHEETS = "".join(f'<link rel="stylesheet" href="/{sheet}.css">' for sheet in BenchModel.sheets)

PAGE = """<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Questions</title>
<meta name="viewport" content="width=device-width, initial-scale=1">
<style>:root { color-scheme: light dark; background: light-dark(#fff, #121212); font: 16px/1.5 system-ui, sans-serif }
main { max-width: 48rem; margin: auto } body { margin: 8px }</style>
<link rel="stylesheet" href="/form.css"><link rel="stylesheet" href="/drawing.css">
LOOKS</head><body><main><h1>Questions</h1><button id="before">Before</button>
<div id="bench"></div>
<div id="place"></div><button id="after">After</button></main>
<script type="module">
import form from "/form/form.js";
import bench from "/form/bench.js";
window.sent = [];
window.models = {};
window.show = (traits, entry = "form", place = "#place") => {
  const slots = new Map();
  const tell = (name) => [...(slots.get(name) ?? [])].forEach((slot) => slot());
  const put = (name, value) => { traits[name] = value; tell(`change:${name}`); };
  const model = {
    get: (name) => traits[name],
    set: put,
    save_changes: () => window.sent.push({ draft: traits.answer }),
    send: (content) => {
      window.sent.push(content);
      window.pressed?.(JSON.stringify(content), entry).then((told) => {
        for (const each in told) for (const name in told[each]) window.models[each]?.put(name, told[each][name]);
      });
    },
    on: (name, slot) => slots.set(name, [...(slots.get(name) ?? []), slot]),
    off: (name, slot) => slots.set(name, (slots.get(name) ?? []).filter((one) => one !== slot)),
  };
  if (entry === "form") window.model = model;
  window.models[entry]?.end();
  const el = document.querySelector(place);
  el.replaceChildren();
  window.models[entry] = { put, end: { form, bench }[entry].render({ model, el }) };
};
window.ready = true;
</script></body></html>""".replace("LOOKS", _SHEETS)


@contextmanager
def plain_page(player: Any, **context: Any) -> Iterator[Page]:
    """A page in Chromium that can show a form; nothing is asked of a network."""
    browser = player.chromium.launch(executable_path=str(CHROMIUM), args=list(FLAGS))
    page = browser.new_context(**context).new_page()
    page.set_default_timeout(10_000)

    def serve(route: Any) -> None:
        path = route.request.url.removeprefix(HOST)
        if not path:
            route.fulfill(body=PAGE, content_type="text/html")
        elif (STATIC / path).is_file():
            route.fulfill(body=(STATIC / path).read_text("utf-8"), content_type=KINDS[Path(path).suffix])
        else:
            route.fulfill(status=404, body="")

    page.route("**/*", serve)
    yield Page(page)
    browser.close()


class Page:
    """A plain page with one form in it."""

    def __init__(self, page: Any) -> None:
        self.page = page
        self.form: Form | None = None
        self.errors: list[str] = []
        page.on("pageerror", lambda error: self.errors.append(str(error)))
        page.on("console", lambda told: self.errors.append(told.text) if told.type == "error" else None)
        page.expose_function("pressed", self._pressed)
        page.goto(HOST)
        page.wait_for_function("() => window.ready === true")

    def show(self, form: Form) -> None:
        """Show a form in place of the one before."""
        self.form = form
        self.page.evaluate("() => { window.models.bench?.end(); document.querySelector('#bench').replaceChildren(); }")
        self.page.evaluate("traits => window.show(traits)", self._traits())

    def show_bench(self, form: Form) -> None:
        """Show the bench of a form over it, and the form."""
        self.show(form)
        assert form.bench is not None
        told = {name: getattr(form.bench.component, name) for name in ("view", "state", "curve")}
        self.page.evaluate("traits => window.show(traits, 'bench', '#bench')", told)

    def _traits(self) -> dict[str, Any]:
        assert self.form is not None
        return {name: getattr(self.form.model, name) for name in ("view", "answer", "state", "verdict")}

    def _pressed(self, content: str, entry: str) -> dict[str, dict[str, Any]]:
        assert self.form is not None
        bench = self.form.bench
        if entry == "bench":
            assert bench is not None
            bench.component.hear(json.loads(content))
        else:
            self.form.model.hear(json.loads(content))
        told = self._traits()
        found = {"form": {name: told[name] for name in ("verdict", "state")}}
        return (
            found
            if bench is None
            else {"bench": {"curve": bench.component.curve, "state": bench.component.state}, **found}
        )

    # ------------------------------------------------------------ a learner's hands

    def by_mouse(self, question: Question, response: dict[str, Any]) -> None:
        """Answer with the mouse, and with the keyboard what is typed, then press Check."""
        for place, field in enumerate(_asked(question)):
            node = self.page.locator(".pb-field").nth(place)
            given = from_response(field, response[field.key])
            if field.kind is FieldKind.QUANTITY:
                node.locator("input").click()
                self.page.keyboard.press("Control+a")
                self.page.keyboard.type(given)
            elif field.kind is FieldKind.ORDER:
                self._sort(node, given, lambda button: button.click())
            else:
                wanted = [given] if field.kind is FieldKind.CHOICE else given
                for number, option in enumerate(node.locator(".pb-option").all()):
                    if option.locator("input").is_checked() is not (number in wanted):
                        option.click()
        self.page.locator(".pb-check").click()

    def by_keys(self, question: Question, response: dict[str, Any]) -> None:
        """Answer with the keyboard alone, from the button before the form: one Tab a field, Enter to check."""
        keys = self.page.keyboard
        self.page.locator("#before").focus()
        fields = _asked(question)
        for place, field in enumerate(fields):
            keys.press("Tab")
            node = self.page.locator(".pb-field").nth(place)
            assert node.evaluate("node => node.contains(document.activeElement)"), field.label
            given = from_response(field, response[field.key])
            if field.kind is FieldKind.QUANTITY:
                keys.press("Control+a")
                keys.type(given)
            elif field.kind is FieldKind.CHOICE:
                keys.press("Space")
                boxes = node.locator("input").all()
                now = [box.is_checked() for box in boxes].index(True)
                for _ in range((given - now) % len(boxes)):
                    keys.press("ArrowDown")
            elif field.kind is FieldKind.CHOICES:
                keys.press("Home")
                for number, box in enumerate(node.locator("input").all()):
                    if box.is_checked() is not (number in given):
                        keys.press("Space")
                    keys.press("ArrowDown")
            else:
                self._sort(node, given, self._press_by_keys)
        if not fields or fields[-1].kind is FieldKind.ORDER:
            keys.press("Tab")
        keys.press("Enter")

    def _press_by_keys(self, button: Any) -> None:
        """Go to a button of an order with arrows, and press it."""
        for _ in range(40):
            if button.evaluate("node => node === document.activeElement"):
                self.page.keyboard.press("Enter")
                return
            self.page.keyboard.press("ArrowDown")
        raise AssertionError("the button cannot be reached with arrows")

    def _sort(self, node: Any, wanted: list[int], press: Any) -> None:
        """Bring the steps into an order, each upwards to its place."""
        texts = node.locator(".pb-step-text").all_text_contents()
        order = list(range(len(texts)))
        assert self.form is not None
        shown = next(f for f in self.form.model.view["fields"] if f["kind"] == "order")["options"]
        order = [shown.index(text) for text in texts]
        for place, step in enumerate(wanted):
            while order.index(step) > place:
                at = order.index(step)
                press(node.locator(".pb-step").nth(at).get_by_role("button").first)
                order[at - 1], order[at] = order[at], order[at - 1]


def _asked(question: Question) -> list[Field]:
    return [field for field in question.fields if field.kind is not FieldKind.BENCH]

"""A learner's hands on a bench in a browser: acts done on the drawing, by mouse, by finger or by keys."""

from __future__ import annotations

from typing import Any


def numbers(bench: Any, act: str) -> list[int]:
    """The faults that an act of concluding names, by their places."""
    named = act.removeprefix("conclude ").split(" + ")
    return [n for n, fault in enumerate(bench.bench.appliance.faults) if fault.id in named]


class Hands:
    """A learner's hands: each act on the drawing or on the button that stands for it."""

    def __init__(self, page: Any, bench: Any, press: Any) -> None:
        self.page, self.bench, self.press, self.presses = page, bench, press, 0

    def at(self, target: Any) -> None:
        """Press something, and count it."""
        self.presses += 1
        self.press(target)

    def button(self, label: str) -> Any:
        """A button by what it says, done or not."""
        return self.page.locator(".pb-bench button").filter(visible=True).filter(has_text=label).first

    def do(self, act: str) -> None:
        """Do an act, and wait until it is answered."""
        before = len(self.bench.acts)
        self._do(act)
        for _ in range(100):
            if len(self.bench.acts) > before and not self.page.locator(".pb-waits").count():
                break
            self.page.wait_for_timeout(10)
        assert self.bench.acts[before:] == [act]

    def _do(self, act: str) -> None:
        view = self.bench.component.view
        verb, _, what = act.partition(" ")
        if act.startswith(("cover off: ", "cover on: ")):
            name = act.partition(": ")[2]
            covers = self.page.locator(f'.cover[data-cover="{name}"]')
            self.at(covers.first.locator(".panel" if act.startswith("cover off") else ".strip").first)
        elif verb in ("lift", "refit"):
            self.at(self.page.locator(f'.flag[data-wire="{what}"]:not([aria-hidden])').first.locator(".touch"))
        elif verb == "probe":
            for terminal in what.split():
                self.at(self.page.locator(f'.terminal[data-terminal="{terminal}"] .touch'))
        elif verb == "look":
            part = self.page.locator(f'.part[data-part="{what}"] .head')
            if part.count():
                self.at(part)
                self.at(self.page.locator(".pb-menu button").first)
            else:
                self._listed(act)
        elif verb == "conclude":
            for number in numbers(self.bench, act):
                self.at(self.page.locator(".pb-fault").nth(number + 1))
            self.at(self.page.locator(".pb-give"))
        else:
            self.at(self._for(view, act))

    def _for(self, view: dict[str, Any], act: str) -> Any:
        steps = [n for n, step in enumerate(view["steps"]) if step["act"] == act]
        if steps:
            again = len(steps) > 1 and self.bench.state.proved
            return self.page.locator(".pb-step-button").nth(steps[-1 if again else 0])
        dial = [n for n, setting in enumerate(view["dial"]) if setting["act"] == act]
        if dial:
            return self.page.locator(".pb-dial button").nth(dial[0])
        settings = [deed["act"] for deed in (*view["positions"], *view["thermostat"])]
        if act in settings:
            return self.page.locator(".pb-settings button").nth(settings.index(act))
        plain = (view["supply"], view["null"], view["dry"], *view["tries"])
        return self.button(next(deed["label"] for deed in plain if deed["act"] == act))

    def _listed(self, act: str) -> None:
        """Do an act by the lists."""
        if not self.page.locator(".pb-lists").get_attribute("open"):
            self.page.locator(".pb-lists").evaluate("node => { node.open = true; }")
            self.page.wait_for_timeout(50)
        row = self.page.locator(".pb-list-row").filter(has=self.page.locator(f'option[value="{act}"]')).first
        row.locator("select").select_option(act)
        self.at(row.locator("button"))


def by_keys(page: Any, target: Any) -> None:
    """Reach something with Tab and arrow keys alone, and press Enter or Space."""
    keys = page.keyboard
    thing = target.evaluate_handle(
        "node => node.closest('.cover, .part, .terminal, .flag') ?? node.querySelector('input') ?? node"
    )
    group = thing.evaluate_handle("node => node.closest('svg[role=group], .pb-dial, .pb-settings') ?? node")
    is_there = "(node, group) => group.contains(document.activeElement)"
    for _ in range(150):
        if thing.evaluate(is_there, group):
            break
        keys.press("Tab")
    else:
        raise AssertionError("cannot be reached with Tab")
    for _ in range(200):
        if thing.evaluate("node => node === document.activeElement"):
            break
        keys.press("ArrowDown")
    else:
        raise AssertionError("cannot be reached with arrows")
    keys.press("Space" if thing.evaluate("node => node.tagName === 'INPUT'") else "Enter")

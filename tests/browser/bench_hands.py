"""A learner's hands on a bench in a browser: acts done on the drawing, by mouse, by finger or by keys."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


def numbers(bench: Any, act: str) -> list[int]:
    """The faults that an act of concluding names, by their places."""
    named = act.removeprefix("conclude ").split(" + ")
    return [n for n, fault in enumerate(bench.bench.appliance.faults) if fault.id in named]


@dataclass(frozen=True)
class Spot:
    """What is pressed: the visible node ``nth`` (from 0) of those a selector finds that hold ``text``."""

    css: str
    nth: int = 0
    text: str = ""


def spots(bench: Any, act: str, is_proved: bool) -> list[Spot]:
    """Where an act is done, press by press; empty where the drawing and its buttons have no place for it.

    ``is_proved`` tells whether the dead test has been done, so that the tester is proved the second time.
    """
    verb, _, what = act.partition(" ")
    if act.startswith(("cover off: ", "cover on: ")):
        name = act.partition(": ")[2]
        return [Spot(f'.cover[data-cover="{name}"] {".panel" if act.startswith("cover off") else ".strip"}')]
    if verb in ("lift", "refit"):
        return [Spot(f'.flag[data-wire="{what}"]:not([aria-hidden]) .touch')]
    if verb == "probe":
        return [Spot(f'.terminal[data-terminal="{terminal}"] .touch') for terminal in what.split()]
    if verb == "look":
        return [Spot(f'.part[data-part="{what}"] .head'), Spot(".pb-menu button")]
    if verb == "conclude":
        return [*(Spot(".pb-fault", number + 1) for number in numbers(bench, act)), Spot(".pb-give")]
    return _pressed(bench.component.view, act, is_proved)


def _pressed(view: dict[str, Any], act: str, is_proved: bool) -> list[Spot]:
    """The button of an act that has one."""
    steps = [n for n, step in enumerate(view["steps"]) if step["act"] == act]
    if steps:
        return [Spot(".pb-step-button", steps[-1 if len(steps) > 1 and is_proved else 0])]
    dial = [n for n, setting in enumerate(view["dial"]) if setting["act"] == act]
    if dial:
        return [Spot(".pb-dial button", dial[0])]
    settings = [deed["act"] for deed in (*view["positions"], *view["thermostat"])]
    if act in settings:
        return [Spot(".pb-settings button", settings.index(act))]
    plain = (view["supply"], view["null"], view["dry"], *view["tries"])
    return [Spot(".pb-bench button", text=next(deed["label"] for deed in plain if deed["act"] == act))]


class Hands:
    """A learner's hands: each act on the drawing or on the button that stands for it."""

    def __init__(self, page: Any, bench: Any, press: Any) -> None:
        self.page, self.bench, self.press, self.presses = page, bench, press, 0

    def at(self, target: Any) -> None:
        """Press something, and count it."""
        self.presses += 1
        self.press(target)

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
        found = spots(self.bench, act, self.bench.state.proved)
        if act.startswith("look ") and not self.page.locator(found[0].css).count():
            self._listed(act)
            return
        for spot in found:
            target = self.page.locator(spot.css)
            if spot.text:
                target = target.filter(visible=True).filter(has_text=spot.text)
            self.at(target.nth(spot.nth))

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

"""A player of QTI items from the npm registry in Chromium: an item is loaded, answered by hand, scored by the player.

The player (qti3-item-player, MIT, certified for QTI 3.0) is for tests only. Nothing is asked of a network: pages,
scripts and pictures come from this machine, and whatever else is asked for is written down.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from chromium import CHROMIUM, FLAGS

MODULES = Path(__file__).resolve().parents[1] / "browser_code" / "node_modules"
PLAYER = MODULES / "qti3-item-player" / "dist"
SERVED = {
    "vue.js": MODULES / "vue" / "dist" / "vue.min.js",
    "player.js": PLAYER / "qti3Player.umd.min.js",
    "player.css": PLAYER / "qti3Player.css",
}
HOST = "http://player.invalid/"
PAGE = """<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Player</title>
<link rel="stylesheet" href="/player.css"></head><body><div id="app"></div>
<script src="/vue.js"></script><script src="/player.js"></script><script>
window.told = null;
new Vue({
  el: "#app",
  components: { Qti3Player: window.qti3Player.default ?? window.qti3Player },
  template: `<Qti3Player suppress-alert-messages suppress-invalid-response-messages
    @notifyQti3PlayerReady="ready" @notifyQti3ItemReady="loaded" @notifyQti3EndAttemptCompleted="ended" />`,
  methods: {
    ready(player) { window.player = player; },
    loaded() { window.loaded = true; },
    ended(told) { window.told = told.state; },
  },
});
</script></body></html>"""
BLANK = "[...document.images].filter((each) => !each.complete || !each.naturalWidth).map((each) => each.src)"
LOAD = """([xml, state]) => player.loadItemFromXml(xml, {
  guid: "test", status: "interacting", ...(state ? { state } : {}),
  sessionControl: { show_feedback: true, validate_responses: false, max_attempts: 0 },
})"""


@dataclass
class Desk:
    """A browser with the player in it; ``files`` are those of the package.

    ``errors`` are what a page complained of, ``blank`` pictures not shown, ``asked`` what was asked for elsewhere.
    """

    browser: Any
    files: Mapping[str, bytes]
    errors: list[str] = field(default_factory=list)
    blank: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)

    def play(self, xml: str, answers: Mapping[str, list[str]], orders: frozenset[str] = frozenset()) -> dict[str, Any]:
        """Answer an item and give back its outcomes, and as ``shown`` the texts of feedback that is seen.

        Choices are pressed and numbers typed. An order (a response named in ``orders``) is put in as the state of an
        attempt that was broken off: dragging is the player's own affair.
        """
        page = self.browser.new_page()
        page.set_default_timeout(20_000)
        page.on("pageerror", lambda error: self.errors.append(str(error)))
        page.route("**/*", self._serve)
        try:
            page.goto(HOST)
            page.wait_for_function("window.player")
            page.evaluate(LOAD, [xml, _state({name: answers[name] for name in orders if answers.get(name)})])
            page.wait_for_function("window.loaded")
            for name, given in answers.items():
                if name not in orders:
                    self._answer(page, xml, name, given)
            page.wait_for_function("[...document.images].every((each) => each.complete)")
            page.evaluate("player.endAttempt('test')")
            page.wait_for_function("window.told")
            outcomes = {each["identifier"]: each["value"] for each in page.evaluate("told.outcomeVariables")}
            seen = page.locator(".qti3-player-modal.show .qti3-player-modal-body").all_text_contents()
            self.blank += page.evaluate(BLANK)
            return {**outcomes, "shown": [" ".join(text.split()) for text in seen]}
        finally:
            page.close()

    def _answer(self, page: Any, xml: str, name: str, given: list[str]) -> None:
        place = _place(xml, name)
        for each in given:
            if place[0] == "text":
                page.locator(".qti-text-entry-interaction input").nth(place[1]).fill(each)
            else:
                group = page.locator(".qti-choice-interaction").nth(place[1])
                group.locator(f'[data-identifier="{each}"]').click()

    def _serve(self, route: Any) -> None:
        name = route.request.url.removeprefix(HOST)
        if not name:
            route.fulfill(body=PAGE, content_type="text/html")
        elif name in SERVED:
            route.fulfill(path=str(SERVED[name]))
        elif f"items/{name}" in self.files:
            route.fulfill(body=self.files[f"items/{name}"], content_type="image/svg+xml")
        else:
            self.asked.append(name)
            route.abort()


def _place(xml: str, name: str) -> tuple[str, int]:
    """Whether a response is typed or pressed, and which it is of its like in the page."""
    found = re.findall(r'<qti-(text|choice)[a-z-]*-interaction response-identifier="([^"]+)"', xml)
    mine = next(kind for kind, response in found if response == name)
    return mine, [response for kind, response in found if kind == mine].index(name)


def _state(orders: Mapping[str, list[str]]) -> dict[str, Any] | None:
    """The state of an attempt in which orders were given."""
    if not orders:
        return None
    return {
        "identifier": "test",
        "guid": "test",
        "contextVariables": [],
        "outcomeVariables": [],
        "templateVariables": [],
        "validationMessages": [],
        "responseVariables": [
            {
                "identifier": name,
                "cardinality": "ordered",
                "baseType": "identifier",
                "value": order,
                "state": {"order": order},
            }
            for name, order in orders.items()
        ],
    }


@contextmanager
def desk(playwright: Any, files: Mapping[str, bytes]) -> Iterator[Desk]:
    """A browser that is closed at the end."""
    browser = playwright.chromium.launch(executable_path=str(CHROMIUM), args=list(FLAGS))
    try:
        yield Desk(browser, files)
    finally:
        browser.close()

"""Reading a drawing in a page in Chromium: the path by click and by keys, size by wheel, fingers and keys, the fold."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from plain_page import CHROMIUM, Page, plain_page

from probebook.appliances import State
from probebook.cases.library import Library
from probebook.drawings import flow_of, readings_of, schematic
from probebook.questions.trace.figures import figures_of

playwright_api = pytest.importorskip("playwright.sync_api")
expect = playwright_api.expect

ROOT = Path(__file__).resolve().parents[2]
AXE = ROOT / "tests" / "browser_code" / "node_modules" / "axe-core" / "axe.min.js"
TRADE = Library(ROOT / "scenarios")
OVEN = TRADE.appliance("conventional-oven")
LEAST = figures_of(OVEN).carrying

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.skipif(not CHROMIUM.exists(), reason="needs Chromium"),
]


@pytest.fixture(scope="module")
def player() -> Iterator[Any]:
    """The browser's driver."""
    with playwright_api.sync_playwright() as found:
        yield found


@pytest.fixture(scope="module")
def page(player: Any) -> Iterator[Page]:
    """A page of ordinary width."""
    with plain_page(player, viewport={"width": 1340, "height": 1000}) as found:
        found.page.add_style_tag(content="main { max-width: 82rem !important }")
        yield found


def shown(page: Page, *, paths: bool = True) -> Any:
    """A drawing of the oven as a picture, put into the page and brought to life; what holds it."""
    readings = readings_of(OVEN, [p.name for p in OVEN.positions], LEAST) if paths else ()
    svg = schematic(TRADE.words, OVEN, readings=readings)
    page.page.evaluate(
        """async data => {
          const picture = document.createElement("img");
          picture.alt = "The circuit.";
          picture.src = "data:image/svg+xml;base64," + data;
          document.querySelector("#place").replaceChildren(picture);
          await picture.decode();
          (await import("/form/drawing.js")).readDrawings(document);
        }""",
        b64encode(svg.encode()).decode("ascii"),
    )
    reader = page.page.locator(".pb-reader")
    reader.wait_for()
    return reader


def live(reader: Any) -> set[str]:
    """What is drawn heavy: wires and branches by name."""
    found: list[str] = reader.locator(".pb-live[data-flow]").evaluate_all("all => all.map(one => one.dataset.flow)")
    return {name for name in found if "~" not in name and "^" not in name}


def test_a_position_shows_what_carries_current_in_it(page: Page) -> None:
    """Every position by click: heavy is what the core says carries current, thicker on the screen and not pale."""
    reader = shown(page)
    for position in OVEN.positions:
        reader.get_by_role("button", name=TRADE.words.noun(position.title).text, exact=True).click()
        assert live(reader) == set(flow_of(OVEN, State(position.name), LEAST)), position.name
    reader.get_by_role("button", name="full grill", exact=True).click()
    wide = """node => {
      const { strokeWidth } = getComputedStyle(node.querySelector(".band"));
      return [parseFloat(strokeWidth), getComputedStyle(node).opacity];
    }"""
    assert reader.locator('.run[data-flow="W1"]').evaluate(wide) == [12, "1"]
    assert reader.locator('.run[data-flow="W7"]').evaluate(wide) == [5, "0.3"]
    expect(reader.locator(".pb-reader-told")).to_contain_text("E1 top element (grill), inner section, 1.35 kW works")
    assert page.errors == []


def test_a_part_is_followed_by_clicking_on_it(page: Page) -> None:
    """On the picture as it stands, a click on the base element shows the one path through it, where it works."""
    reader = shown(page)
    reader.locator("img").scroll_into_view_if_needed()
    box = reader.locator("img").bounding_box()
    scale = box["width"] / 1266.67
    # The base element's body stands at about (1010, 120) of a drawing whose corner is (-48, -204).
    page.page.mouse.click(box["x"] + (1010 + 48) * scale, box["y"] + (120 + 204) * scale)
    found = live(reader)
    assert "E2.heater" in found
    assert "E1.outer" not in found
    expect(reader.locator(".pb-reader-told")).to_contain_text("E2 base element, 1.5 kW works")
    # Where it does nothing, the position that is chosen stays as it is.
    reader.get_by_role("button", name="full grill", exact=True).click()
    before = live(reader)
    reader.locator('.part[data-part="E2"] .touch').click(force=True)
    assert live(reader) == before


def test_keys_alone_show_a_path(page: Page) -> None:
    """One Tab leads to the positions, arrows go among them, Enter shows one."""
    shown(page)
    keys = page.page.keyboard
    page.page.locator("#before").focus()
    keys.press("Tab")
    assert page.page.evaluate("() => document.activeElement.textContent") == "as drawn"
    for _ in range(4):
        keys.press("ArrowRight")
    keys.press("Enter")
    assert live(page.page.locator(".pb-reader")) == set(flow_of(OVEN, State("grill"), LEAST))


def test_size_by_buttons_keys_and_wheel(page: Page) -> None:
    """Buttons, + − 0 and the wheel with Ctrl change the size; the wheel alone scrolls the page; dragging moves."""
    reader = shown(page, paths=False)
    frame = reader.locator(".pb-reader-frame")
    size = "() => document.querySelector('.pb-reader-frame > *').getBoundingClientRect().width"
    first = page.page.evaluate(size)
    was = frame.evaluate("node => node.clientWidth")  # made larger, a drawing is so many times as wide as its window
    reader.get_by_role("button", name="Larger").click()
    assert page.page.evaluate(size) == pytest.approx(1.3 * was, rel=0.02)
    frame.focus()
    page.page.keyboard.press("+")
    assert page.page.evaluate(size) == pytest.approx(1.69 * was, rel=0.02)
    page.page.keyboard.press("-")
    page.page.keyboard.press("0")
    assert page.page.evaluate(size) == first
    frame.hover()
    page.page.keyboard.down("Control")
    page.page.mouse.wheel(0, -300)
    page.page.keyboard.up("Control")
    page.page.wait_for_timeout(200)
    grown = page.page.evaluate(size)
    assert grown > 1.5 * was
    box = frame.bounding_box()
    middle = (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    left = frame.evaluate("node => node.scrollLeft")
    page.page.mouse.move(*middle)
    page.page.mouse.down()
    page.page.mouse.move(middle[0] - 120, middle[1], steps=4)
    page.page.mouse.up()
    assert frame.evaluate("node => node.scrollLeft") == pytest.approx(left + 120, abs=3)
    assert page.page.evaluate(size) == grown
    assert page.errors == []


@pytest.mark.parametrize("width", [375, 820])
def test_a_wide_drawing_is_folded_on_a_narrow_page(player: Any, width: int) -> None:
    """At 820 pixels the marks of a folded drawing are 9 pixels high or more; at 375 its halves fit the page."""
    with plain_page(player, viewport={"width": width, "height": 1000}) as page:
        reader = shown(page)
        reader.get_by_role("button", name="full grill", exact=True).click()
        assert reader.locator("svg > svg").count() == 4
        marks = reader.locator("svg > svg text", has_text="W1 BN").first
        high = marks.evaluate("node => 12 * node.getScreenCTM().a")
        assert high >= (9 if width == 820 else 5)
        assert page.page.evaluate("() => document.documentElement.scrollWidth") <= width
        assert page.errors == []


def test_nothing_is_amiss_for_those_who_do_not_see_it(page: Page) -> None:
    """axe-core finds nothing serious or critical in a reader, whatever it shows (axe-core's own rules)."""
    if not AXE.exists():
        pytest.skip("needs axe-core")
    reader = shown(page)
    reader.get_by_role("button", name="full grill", exact=True).click()
    reader.get_by_role("button", name="Larger").click()
    page.page.evaluate(AXE.read_text("utf-8"))
    found = page.page.evaluate("() => axe.run('#place').then((found) => found.violations)")
    assert [item["id"] for item in found if item["impact"] in ("serious", "critical")] == []

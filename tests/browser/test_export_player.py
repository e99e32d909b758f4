"""The exported package in a player of the npm registry: what is pressed and typed there scores as marking scores it.

Outside reference: qti3-item-player 1.1.20 (MIT), certified by 1EdTech for the delivery of QTI 3.0. For tests only.
"""

from __future__ import annotations

import math
import random
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from item_players import CHROMIUM, PLAYER, Desk, desk

TESTS = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(TESTS / "publish"), str(TESTS / "independent")]
from exported import BOOKS, Asked, answers, asked, files_of, given, marked, plain  # noqa: E402
from item_player import Item, choices_of  # noqa: E402

from probebook.publish.package.names import identifier  # noqa: E402
from probebook.questions.model import FieldKind  # noqa: E402

playwright_api = pytest.importorskip("playwright.sync_api")

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.skipif(not CHROMIUM.exists(), reason="needs Chromium"),
    pytest.mark.skipif(not PLAYER.exists(), reason="needs the player: npm install in tests/browser_code"),
]

VERSION = "qti-3.0"
#: Answers tried a question, spread over all there are to try.
TRIED = 7
#: What a question is made of, whether a number may be or is an open circuit; and a workbook that asks one.
SORTS = {
    "choice": "04",
    "choice+choice": "01",
    "choices": "04",
    "order": "01",
    "quantity": "06",
    "quantity open": "05",
    "quantity OL": "05",
    "quantity+choice": "07",
    "choice+choices+choice+choice": "12",
}


def sort_of(each: Asked) -> str:
    """The sort of a question."""
    fields = each.question.fields
    kinds = "+".join(field.kind.value for field in fields)
    if any(field.band and math.isinf(field.band.high) for field in fields):
        return f"{kinds} OL"
    return f"{kinds} open" if any(field.allow_open for field in fields) else kinds


def books() -> dict[str, str]:
    """The workbooks that are used, by their numbers."""
    return {name[:2]: name for name in BOOKS if name[:2] in SORTS.values()}


def question_of(sort: str) -> Asked:
    """A question of a sort, with a drawing where there is one."""
    found = [each for each in asked(books()[SORTS[sort]], VERSION) if sort_of(each) == sort]
    return max(found, key=lambda each: len(each.question.pictures))


@pytest.fixture(scope="module")
def player() -> Iterator[Desk]:
    """The player in Chromium, with the files of the workbooks at hand."""
    files = {name: data for book in books().values() for name, data in files_of(book, VERSION).items()}
    with playwright_api.sync_playwright() as playwright, desk(playwright, files) as found:
        yield found


@pytest.mark.parametrize("sort", SORTS)
def test_a_player_scores_as_marking_does(player: Desk, sort: str) -> None:
    """Key, nothing, wrong options, slips and edges of bands: score, slip and advice are those of marking."""
    each = question_of(sort)
    question, item = each.question, Item(each.data)
    choices = choices_of(item)
    orders = frozenset(
        f"RESPONSE_{number}" for number, field in enumerate(question.fields, 1) if field.kind is FieldKind.ORDER
    )
    every = list(answers(question, random.Random(sort)))
    rest = random.Random(sort).sample(every[2:], min(TRIED - 2, len(every) - 2))
    for response in every[:2] + rest:
        if orders and not response:
            continue  # this player takes an order nobody touched as the order shown
        ours, hand = marked(question, response), given(question, response, choices)
        theirs = player.play(each.data.decode("utf-8"), hand, orders)
        told = (question.id, hand)
        assert theirs["SCORE"] == pytest.approx(ours.marks, abs=1e-9), told
        assert theirs["DANGEROUS"] == ours.critical, told
        for number, field in enumerate(ours.fields, 1):
            assert theirs[f"SLIP_{number}"] == (identifier(field.slip) if field.slip else None), told
            if field.slip:
                assert plain(field.message) in theirs["shown"], told
    assert player.errors == []
    assert player.blank == []
    assert player.asked == []

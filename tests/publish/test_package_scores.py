"""An item scores as marking does, played by a player of our own that was written from the standard alone.

Source of the player's rules: see ``tests/independent/item_player.py``.
"""

from __future__ import annotations

import random
import sys
from pathlib import Path

import pytest
from exported import BOOKS, EACH_BOOK, VERSIONS, answers, asked, given, marked, plain

from probebook.publish.package.names import identifier
from probebook.questions.model import FieldKind

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "independent"))
from item_player import Item, choices_of

SAME = 1e-9


@pytest.mark.parametrize("version", VERSIONS)
@pytest.mark.parametrize("book", EACH_BOOK)
def test_every_answer_scores_as_marking_scores_it(book: str, version: str) -> None:
    """Key, every option, every slip, numbers on both sides of every edge, ticks, orders, nothing: the same marks.

    The slip that is named and whether the answer is dangerous are the same too, and the advice of the slip is shown.
    """
    tried = 0
    for each in asked(book, version):
        item = Item(each.data)
        choices = choices_of(item)
        for response in answers(each.question, random.Random(each.question.id)):
            ours = marked(each.question, response)
            theirs = item.score(given(each.question, response, choices))
            told = (each.question.id, response)
            assert theirs["SCORE"] == pytest.approx(ours.marks, abs=SAME), told
            assert theirs["DANGEROUS"] == ours.critical, told
            shown = [plain(text) for text in item.shown(theirs)]
            for number, field in enumerate(ours.fields, 1):
                assert theirs[f"SLIP_{number}"] == (identifier(field.slip) if field.slip else None), told
                if field.slip:
                    assert plain(field.message) in shown, told
            tried += 1
    assert tried > 100


@pytest.mark.slow
@pytest.mark.parametrize("version", VERSIONS)
def test_the_declared_key_earns_full_marks(version: str) -> None:
    """What the item itself declares as the right response earns the marks of the question, in every question."""
    for book in BOOKS:
        for each in asked(book, version):
            item = Item(each.data)
            outcomes = item.score(item.key())
            assert outcomes["SCORE"] == pytest.approx(each.question.marks, abs=SAME), (book, each.question.id)
            assert outcomes["SCORE"] == outcomes["MAXSCORE"]
            assert outcomes["DANGEROUS"] == 0


def test_a_number_that_is_also_ticked_as_open_earns_nothing() -> None:
    """A number and OL at once are no answer; the learner is told to give one of them."""
    seen = 0
    for each in asked("06-dual-elements-and-seven-heat-plates", "qti-3.0") + asked(BOOKS[0], "qti-3.0"):
        for number, field in enumerate(each.question.fields, 1):
            if field.kind is FieldKind.QUANTITY and field.allow_open:
                item = Item(each.data)
                key = item.key()
                both = {f"RESPONSE_{number}": key.get(f"RESPONSE_{number}", ["1"]), f"OPEN_{number}": ["OL"]}
                outcomes = item.score(both)
                assert outcomes[f"SCORE_{number}"] == 0
                assert any("one or the other" in text for text in item.shown(outcomes))
                seen += 1
    assert seen


def test_what_cannot_be_read_as_a_number_earns_nothing() -> None:
    """``45.8 ohm`` in a box for a bare number is no number: no marks, as in both players that were tried."""
    seen = 0
    for each in asked("03-ohms-and-watts", "qti-3.0"):
        if each.question.fields[0].kind is FieldKind.QUANTITY:
            outcomes = Item(each.data).score({"RESPONSE_1": ["45.8 ohm"]})
            assert outcomes["SCORE_1"] == 0
            seen += 1
    assert seen

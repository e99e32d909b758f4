"""The symbols: where conductors join, how they turn, and what tells them apart."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from svg_facts import helvetica

from probebook.drawings import symbols
from probebook.drawings.colours import GROUND, INK, SOFT, conductor_colour, contrast
from probebook.drawings.svg import text_width

TWO_ENDED = (
    symbols.heating_element,
    symbols.resistor,
    symbols.fuse,
    symbols.lamp,
    symbols.neon,
    symbols.motor,
    symbols.contact,
    symbols.thermostat,
    symbols.cut_out,
    symbols.regulator,
)
two_ended = pytest.mark.parametrize("draw", TWO_ENDED, ids=lambda f: f.__name__)


@two_ended
@pytest.mark.parametrize(("turn", "way"), [(0, (1, 0)), (90, (0, 1)), (180, (-1, 0)), (270, (0, -1))])
def test_a_turned_symbol_ends_where_its_turn_leads(
    draw: Callable[..., symbols.Symbol], turn: int, way: tuple[int, int]
) -> None:
    """The second terminal lies one span from the first: right, down, left or up for the four turns."""
    drawn = draw((200, 100), turn, span=120)
    assert drawn.anchors == ((200, 100), (200 + 120 * way[0], 100 + 120 * way[1]))


@two_ended
def test_letters_are_never_turned(draw: Callable[..., symbols.Symbol]) -> None:
    """No symbol uses a rotation, so that its letters stay upright in every turn."""
    assert all("rotate" not in draw((0, 0), turn).svg for turn in (0, 90, 180, 270))


def test_no_two_symbols_look_the_same() -> None:
    """Every kind of two-ended part has a drawing of its own."""
    assert len({draw().svg for draw in TWO_ENDED}) == len(TWO_ENDED)


@pytest.mark.parametrize("draw", [symbols.contact, symbols.thermostat, symbols.cut_out, symbols.regulator])
def test_open_and_closed_differ_in_the_blade(draw: Callable[..., symbols.Symbol]) -> None:
    """An open contact is drawn otherwise than a closed one."""
    assert draw(closed=True).svg != draw(closed=False).svg


def test_a_hand_reset_cut_out_shows_its_button() -> None:
    """A cut-out that is reset by hand carries one sign more than one that resets itself."""
    assert symbols.cut_out(manual=True).svg.count("<path") > symbols.cut_out().svg.count("<path")


def test_a_fuse_is_a_rectangle_with_the_conductor_through_it() -> None:
    """IEC 60617 symbol 07-21-01 (from memory): the conductor runs on inside the rectangle; a resistor's does not."""
    assert symbols.fuse().svg.count("<path") == symbols.resistor().svg.count("<path") + 1


def test_an_odd_angle_is_refused() -> None:
    """Only quarter turns are drawn."""
    with pytest.raises(ValueError, match="0, 90, 180 or 270"):
        symbols.lamp(turn=45)


@pytest.mark.parametrize(
    ("word", "code"),
    [("brown", "BN"), ("blue", "BU"), ("green-yellow", "GNYE"), ("black", "BK"), ("grey", "GY")],
)
def test_letter_codes_are_those_of_the_standard(word: str, code: str) -> None:
    """Letter codes follow IEC 60757 (from memory)."""
    assert conductor_colour(word).code == code


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        ("#000000", "#ffffff", 21.0),
        ("#767676", "#ffffff", 4.54),
        ("#777777", "#ffffff", 4.48),
        ("#0072b2", "#ffffff", 5.19),
        ("#f0e442", "#ffffff", 1.32),
        ("#d55e00", "#000000", 5.43),
        ("#336699", "#336699", 1.0),
    ],
)
def test_contrast_follows_the_formula(one: str, other: str, ratio: float) -> None:
    """Ratios by the formula of WCAG 2.2 (relative luminance): black on white 21, the well-known #767676 boundary, and
    the Okabe-Ito palette."""
    assert contrast(one, other) == pytest.approx(ratio, abs=0.006)
    assert contrast(other, one) == contrast(one, other)


def test_outline_and_text_stand_out_from_the_ground() -> None:
    """Text and outlines have at least 4.5:1 against the ground that every drawing brings (WCAG 2.2, 1.4.3, 1.4.11)."""
    assert contrast(INK, GROUND) >= 4.5
    assert contrast(SOFT, GROUND) >= 4.5


def test_the_mark_in_every_svg_colour_is_a_hexadecimal_colour() -> None:
    """Shades are written #rrggbb, which is what the contrast formula and every viewer read."""
    for word in ("black", "brown", "blue", "grey", "green-yellow", "red", "white"):
        assert re.fullmatch(r"#[0-9a-f]{6}", conductor_colour(word).shade)


@pytest.mark.parametrize("text", ["W13 GNYE", "S1.P2", "top element (grill): outer 820 W", "kiln Mw %"])
def test_text_is_given_at_least_the_width_it_takes(text: str) -> None:
    """Measured widths are never under Adobe's metrics of Helvetica and at most a quarter over."""
    for bold in (False, True):
        true = sum(helvetica(bold)[letter] for letter in text) / 1000 * 12
        assert true <= text_width(text, 12, bold=bold) <= 1.25 * true

"""How one field is answered: a box to type in, a list to choose from, boxes to tick, steps to move.

Each input holds ipywidgets and speaks in responses (text, an option id, a list of option ids). Only what the learner
sees and types is held in a widget: option ids, keys and marks stay in the kernel.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

import ipywidgets as widgets

from probebook.questions.model import Field, FieldKind, Response
from probebook.unit_table import find_unit
from probebook.workbook import markup

__all__ = ["Input", "make_input"]

#: More typed text than this (characters) is cut off; no quantity is as long.
LONGEST_TEXT = 200


class Input(Protocol):
    """What a form needs of an input; the virtual bench offers the same."""

    @property
    def widget(self) -> widgets.DOMWidget:
        """What is shown."""

    def get(self) -> Response:
        """The response as it stands; empty text or an empty list when nothing is given yet."""

    def set(self, response: object) -> None:
        """Show a response; what does not fit the field is left out, and nothing is raised."""


class QuantityInput:
    """A box for a number and its unit."""

    def __init__(self, field: Field, words: str = "") -> None:
        found = find_unit(field.unit)
        sign = f" ({found[1].symbol})" if found and found[1].symbol else ""
        hint = f"number and unit{sign}" if found and found[1].name != "ratio" else "number"
        self.box = widgets.Text(
            description=_label(field, words),
            placeholder=hint + (", or OL" if field.allow_open else ""),
            style={"description_width": "initial"},
        )
        self.box.add_class("pb-quantity")

    @property
    def widget(self) -> widgets.DOMWidget:
        """The labelled box."""
        return self.box

    def get(self) -> Response:
        """The text as typed."""
        return str(self.box.value)[:LONGEST_TEXT]

    def set(self, response: object) -> None:
        """Type the text in."""
        self.box.value = markup.printable(response)[:LONGEST_TEXT] if isinstance(response, str) else ""


class ChoiceInput:
    """Radio buttons, one of them to choose."""

    def __init__(self, field: Field, words: str = "") -> None:
        self.ids = [option.id for option in field.options]
        self.buttons = widgets.RadioButtons(
            options=_distinct([markup.plain(option.text) for option in field.options]),
            value=None,
            description=_label(field, words),
            style={"description_width": "initial"},
        )
        self.buttons.add_class("pb-choice")

    @property
    def widget(self) -> widgets.DOMWidget:
        """The labelled list."""
        return self.buttons

    def get(self) -> Response:
        """The id of the chosen option, or empty text."""
        return "" if self.buttons.index is None else self.ids[self.buttons.index]

    def set(self, response: object) -> None:
        """Choose the option of that id, or none."""
        is_known = isinstance(response, str) and response in self.ids
        self.buttons.index = self.ids.index(response) if is_known else None  # type: ignore[arg-type]


class ChoicesInput:
    """Boxes to tick."""

    def __init__(self, field: Field, words: str = "") -> None:
        label = widgets.HTML(
            f'<div class="pb-label">{markup.safe(_label(field, words))} <span>(tick all that are right)</span></div>'
        )
        self.ticks = {
            option.id: widgets.Checkbox(description=markup.plain(option.text), indent=False) for option in field.options
        }
        for tick in self.ticks.values():
            tick.add_class("pb-tick")
        self.box = widgets.VBox([label, *self.ticks.values()])
        self.box.add_class("pb-field")

    @property
    def widget(self) -> widgets.DOMWidget:
        """The label and its boxes."""
        return self.box

    def get(self) -> Response:
        """The ids of the ticked options, in the order shown."""
        return [name for name, tick in self.ticks.items() if tick.value]

    def set(self, response: object) -> None:
        """Tick exactly the options with these ids."""
        wanted = response if isinstance(response, (list, tuple)) else ()
        for name, tick in self.ticks.items():
            tick.value = name in wanted


class OrderInput:
    """Steps to put in order: each place has a button up and a button down, and the focus goes along with the step.

    The places stay and the texts move, so that a screen reader and the keyboard keep their place. Nothing counts as
    given until a step was moved. The order shown at first never is a right one.
    """

    def __init__(self, field: Field, words: str = "") -> None:
        self.texts = {option.id: markup.plain(option.text) for option in field.options}
        self.first = _unordered(field)
        self.order = list(self.first)
        self.is_touched = False
        label = widgets.HTML(
            f'<div class="pb-label">{markup.safe(_label(field, words))} <span>(the first one on top)</span></div>'
        )
        self.places = [widgets.HTML() for _ in self.order]
        self.ups = [self._button("Up", number, -1) for number in range(len(self.order))]
        self.downs = [self._button("Down", number, +1) for number in range(len(self.order))]
        if self.order:
            self.ups[0].disabled = self.downs[-1].disabled = True
        rows = [widgets.HBox(row) for row in zip(self.places, self.ups, self.downs, strict=True)]
        for row in rows:
            row.add_class("pb-step")
        self.box = widgets.VBox([label, *rows])
        self.box.add_class("pb-field")
        self._show()

    @property
    def widget(self) -> widgets.DOMWidget:
        """The label and the places."""
        return self.box

    def get(self) -> Response:
        """The ids in the order shown, or an empty list while nothing was moved."""
        return list(self.order) if self.is_touched else []

    def set(self, response: object) -> None:
        """Show the steps in this order; what is no order of them brings the first one back."""
        given = list(response) if isinstance(response, (list, tuple)) else []
        self.is_touched = len(given) == len(self.first) and all(item in given for item in self.first)
        self.order = given if self.is_touched else list(self.first)
        self._show()

    def move(self, place: int, by: int) -> None:
        """Change the step at ``place`` (from 0) with the one ``by`` places on, and put the focus on it."""
        target = place + by
        if not 0 <= target < len(self.order):
            return
        self.order[place], self.order[target] = self.order[target], self.order[place]
        self.is_touched = True
        self._show()
        same, other = (self.ups, self.downs) if by < 0 else (self.downs, self.ups)
        (other if same[target].disabled else same)[target].focus()

    def _button(self, word: str, place: int, by: int) -> widgets.Button:
        button = widgets.Button(description=f"{'↑' if by < 0 else '↓'} {word}")
        button.on_click(lambda _: self.move(place, by))
        return button

    def _show(self) -> None:
        for number, item in enumerate(self.order):
            text = self.texts[item]
            self.places[number].value = f"<b>{number + 1}. </b>{markup.safe(text)}"
            self.ups[number].tooltip = f"Move step {number + 1} up: {text}"
            self.downs[number].tooltip = f"Move step {number + 1} down: {text}"


_MAKERS: dict[FieldKind, Callable[[Field, str], Input]] = {
    FieldKind.QUANTITY: QuantityInput,
    FieldKind.CHOICE: ChoiceInput,
    FieldKind.CHOICES: ChoicesInput,
    FieldKind.ORDER: OrderInput,
}


def make_input(field: Field, words: str = "") -> Input:
    """The input for a field, ``words`` behind its label; KeyError for a field that is answered on the bench."""
    return _MAKERS[field.kind](field, words)


def marks_words(marks: float) -> str:
    """Marks in words: "1 mark", "2.5 marks"."""
    return "1 mark" if marks == 1 else f"{marks:g} marks"


def _label(field: Field, words: str) -> str:
    return f"{markup.plain(field.label)} ({words})" if words else markup.plain(field.label)


def _distinct(texts: list[str]) -> list[str]:
    """The texts, those that are doubled told apart by a number: a list of choices needs different labels."""
    return [f"{text} ({texts[:place].count(text) + 1})" if texts.count(text) > 1 else text
            for place, text in enumerate(texts)]  # fmt: skip


def _unordered(field: Field) -> list[str]:
    """The steps as the question lists them, turned round should that be a right order."""
    order = [option.id for option in field.options]
    place = {item: number for number, item in enumerate(order)}
    is_right = all(place[earlier] < place[later] for earlier, later in field.before)
    return order[::-1] if is_right else order

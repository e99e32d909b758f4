"""The one model of a question that page and kernel share.

The page shows ``view``, writes ``answer`` and presses; the kernel writes ``state`` and ``verdict``. Everything here is
seen by whoever looks into the page, so nothing is in it before it is earned.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from hashlib import sha256
from typing import Any, ClassVar

import anywidget
import ipywidgets as widgets
import traitlets

from probebook.workbook.forms import bundle
from probebook.workbook.forms.code import module, styles

__all__ = ["STUB", "Component", "QuestionModel"]

#: The module that every component brings along.
STUB = "stub.js"


@cache
def _code(folder: str, entry: str, sheets: tuple[str, ...]) -> tuple[str, dict[str, str]]:
    """Name and version of a component, and its code."""
    text = module(folder, entry) if folder == "form" else bundle.module(f"workbook/static/{folder}/{entry}")
    code = {"module": text, "styles": styles(*sheets)}
    return f"{entry} {sha256(repr(code).encode()).hexdigest()[:12]}", code


class Component(anywidget.AnyWidget):
    """A component of ours in a page: what it presses arrives as a message ``{"press": name, …}``.

    The first component of a kind carries the code for all of a page, and one layout serves all: making another one live
    takes one message.

    Attributes
    ----------
    component
        Name and version of the code it wants.
    code
        The code itself, in one component of each kind; empty in the others.
    """

    _esm = module("form", STUB)

    #: The module of the component in a folder of ``static``, and its style sheets.
    folder: ClassVar[str] = "form"
    entry: ClassVar[str]
    sheets: ClassVar[tuple[str, ...]]

    component = traitlets.Unicode().tag(sync=True)
    code: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)

    _layout: ClassVar[widgets.Layout | None] = None
    _carriers: ClassVar[dict[str, Component]] = {}

    def __init__(self, pressed: Callable[[str, dict[str, Any]], object], **traits: Any) -> None:
        if Component._layout is None or Component._layout.comm is None:
            Component._layout = widgets.Layout()
        name, self._whole = _code(self.folder, self.entry, self.sheets)
        carrier = Component._carriers.get(name)
        is_first = carrier is None or carrier.comm is None
        super().__init__(layout=Component._layout, component=name, code=self._whole if is_first else {}, **traits)
        if is_first:
            Component._carriers[name] = self
        self._pressed = pressed
        self.on_msg(lambda _widget, content, _buffers: self.hear(content))

    def reads(self) -> str:
        """What a notebook that is saved says where no kernel runs."""
        return ""

    def _repr_mimebundle_(self, **kwargs: Any) -> Any:
        """What a notebook displays: this component, or what it reads where the component cannot be shown."""
        bundle = super()._repr_mimebundle_(**kwargs)
        if bundle is not None:
            bundle[0]["text/plain"] = self.reads()
        return bundle

    def hear(self, content: object) -> None:
        """Do what a message of the page asks for; what is no message of ours is left alone."""
        if not isinstance(content, dict) or not isinstance(content.get("press"), str):
            return
        if content["press"] == "code":
            self.code = self._whole
        else:
            self._pressed(content["press"], content)


class QuestionModel(Component):
    """A question as a page sees it.

    Attributes
    ----------
    view
        What is asked and in which words (:func:`probebook.workbook.forms.view.view`).
    answer
        What stands in the form, checked or not: one item a field.
    state
        ``checks``: how often the button was answered; ``score``: the line beside it; ``checked``: the answer that the
        verdict is about, or None; ``changed``: whether something beside the form, as the bench, was changed since;
        ``working``: HTML, empty until it is earned; ``open``: whether to show it at once.
    verdict
        What marking said (:func:`probebook.workbook.forms.verdict.verdict`); empty before the first check.
    """

    entry = "form.js"
    sheets = ("form", "drawing")

    view: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
    # Not echoed: what the page wrote must not come back and overtake what is typed meanwhile.
    answer: traitlets.List[Any] = traitlets.List().tag(sync=True, echo_update=False)
    state: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
    verdict: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)

    def reads(self) -> str:
        """What is asked, as text."""
        lines: list[str] = []
        for field in self.view.get("fields", ()):
            lines += [field["label"], *(f"  {text}" for text in field.get("options", ()))]
        return "\n".join(lines)

    def write(self, answer: object) -> None:
        """Take an answer over as a page sends it: nothing is sent back."""
        if isinstance(answer, list):
            self.set_state({"answer": answer})

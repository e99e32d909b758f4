"""Trace questions on the symbols of a circuit diagram: what a symbol stands for, and what the part does."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from probebook.cases.library import Library
from probebook.errors import ScenarioError
from probebook.questions.difficulty import rated
from probebook.questions.frame import Ask, Unfit, WrongOption, choice_field, option_slips, shuffled
from probebook.questions.model import Option, Question

__all__ = ["Sign", "load_signs", "symbol"]

#: Symbols that are wrongly taken for the one shown, offered beside it.
RIVALS = 3
#: How much larger a symbol is drawn by itself than in a diagram.
SCALE = 1.8


@dataclass(frozen=True, slots=True)
class Sign:
    """A symbol: how it looks in words, what it is called, what the part does; ``like`` names those it is mixed up with.

    ``draw`` names the function of :mod:`probebook.drawings.symbols` that draws it, ``settings`` how.
    """

    id: str
    draw: str
    looks: str
    name: str
    does: str
    like: tuple[str, ...]
    settings: Mapping[str, bool]
    source: str


def symbol(ask: Ask, library: Library, rng: random.Random) -> Question:
    """What a symbol stands for and what the part does (option ``part`` names one symbol of the file)."""
    signs = load_signs(library.folder)
    wanted = ask.text("part")
    names = [s.id for s in signs.values() if not wanted or s.id == wanted]
    if not names:
        raise Unfit(f"there is no symbol '{wanted}'")
    sign = signs[rng.choice(names)]
    others = [signs[name] for name in sign.like]
    spare = [s for s in signs.values() if s is not sign and s not in others]
    rng.shuffle(spare)
    rivals = [*others, *spare][:RIVALS]
    offered = [sign, *rivals]
    ids = {s.id: f"s{n}" for n, s in enumerate(rng.sample(offered, len(offered)))}
    name = choice_field(
        "name",
        "It stands for",
        shuffled([Option(ids[s.id], s.name, f"That is {s.looks}.") for s in offered], rng),
        ids[sign.id],
    )
    does = choice_field(
        "does",
        "In the circuit it",
        shuffled([Option(ids[s.id], s.does, f"That is what {s.name} does.") for s in offered], rng),
        ids[sign.id],
    )
    shown = f"{ask.id}-symbol"
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="trace",
            level=ask.level,
            title="What does this symbol stand for?",
            prompt=(
                f"This symbol is found in a circuit diagram: {sign.looks}. What does it stand for, and what does such "
                "a part do?"
            ),
            fields=(name, does),
            slips=(
                *option_slips(
                    library,
                    name,
                    [
                        WrongOption("wrong-symbol", ids[s.id], f"{_capital(s.name)} is drawn as {s.looks}.")
                        for s in rivals
                    ],
                ),
                *option_slips(
                    library,
                    does,
                    [WrongOption("wrong-symbol", ids[s.id], f"That is what {s.name} does.") for s in rivals],
                ),
            ),
            explanation=f"{_capital(sign.looks)}: {sign.name}. It {sign.does}. ({_capital(sign.source)}.)",
            working=f"{sign.name}: {sign.does}",
            competences=("C19",),
            pictures=((f"{shown}.svg", _drawn(sign, shown)),),
        ),
        library,
    )


def _capital(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}"


def _drawn(sign: Sign, prefix: str) -> str:
    """The symbol by itself; its title says how it looks and not what it is."""
    from probebook.drawings import symbols
    from probebook.drawings.svg import Box, document

    drawn = getattr(symbols, sign.draw)(**sign.settings)
    box, room = drawn.box, 24.0
    left, top = SCALE * (min(box.left, -20.0) - room), SCALE * (box.top - room)
    view = Box(left, top, SCALE * (box.right + room), SCALE * (box.bottom + room))
    body = [f'<g transform="scale({SCALE:g})">{drawn.svg}</g>']
    return document(view, f"A symbol: {sign.looks}", f"One symbol by itself: {sign.looks}.", body, prefix=prefix)


@cache
def load_signs(folder: Path) -> dict[str, Sign]:
    """The symbols of ``folder/symbols.toml`` by id; :class:`ScenarioError` when the file is bad."""
    from pydantic import Field

    from probebook.textfiles import StrictModel, load_text

    class SignText(StrictModel):
        id: str
        draw: str
        looks: str
        name: str
        does: str
        like: tuple[str, ...] = ()
        settings: dict[str, bool] = Field(default_factory=dict)
        source: str

    class File(StrictModel):
        symbol: tuple[SignText, ...] = Field(min_length=RIVALS + 1)

    path = folder / "symbols.toml"
    texts = load_text(path, File).symbol
    known = {text.id for text in texts}
    for number, text in enumerate(texts):
        for other in text.like:
            if other not in known or other == text.id:
                raise ScenarioError(
                    f"there is no other symbol '{other}'",
                    where=f"{path.name}: symbol[{number + 1}].like",
                    remedy=f"name some of {', '.join(sorted(known - {text.id}))}",
                )
    return {t.id: Sign(t.id, t.draw, t.looks, t.name, t.does, t.like, t.settings, t.source) for t in texts}

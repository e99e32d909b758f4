"""Questions whose matter stands in a text file: which instrument, which drawing, what a colour says.

``scenarios/knowhow.toml`` holds the items. Each is one question with one right choice; every wrong one is a stated
slip. An item belongs to a form (``instrument``, ``connect``, ``colour``, ``drawing``); a plan names the form, and with
the option ``item`` one of its items. An item may speak of {appliance}, {part} (a heating element of it), {mark} (its
mark), {ohms} (what it should read cold), {watts} and {volts}; so it reads differently with every appliance.
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from probebook.appliances import Appliance
from probebook.cases.library import Library
from probebook.errors import ScenarioError
from probebook.questions import scene as sc
from probebook.questions.difficulty import rated
from probebook.questions.frame import Ask, Unfit, WrongOption, choice_field, option_slips, shuffled
from probebook.questions.model import Option, Question

__all__ = ["Item", "Way", "know", "load_items"]


@dataclass(frozen=True, slots=True)
class Way:
    """Something to choose: ``slip`` is empty for the right one; ``here`` says why it is right or wrong."""

    text: str
    here: str
    slip: str = ""
    critical: bool = False


@dataclass(frozen=True, slots=True)
class Item:
    """One question of the file; ``supply`` and ``needs`` (a part kind) say which appliances it fits."""

    id: str
    form: str
    title: str
    text: str
    label: str
    ways: tuple[Way, ...]
    explanation: str
    outcome: str
    competences: tuple[str, ...]
    source: str
    level: int = 1
    supply: str = "any"
    needs: str = ""


def know(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Build a question from an item that fits the request.

    Raises
    ------
    Unfit
        No item of this form, name, level and appliance.
    """
    appliance = library.appliance(ask.appliance)
    item = rng.choice(_fitting(ask, library, appliance))
    words = _words(appliance, rng)
    letters = ["a", "b", "c", "d", "e", "f"][: len(item.ways)]
    rng.shuffle(letters)
    named = dict(zip(letters, item.ways, strict=True))
    right = next(letter for letter, way in named.items() if not way.slip)
    options = [Option(letter, way.text.format(**words), way.here.format(**words)) for letter, way in named.items()]
    target = choice_field("choice", item.label, shuffled(options, rng), right, marks=2.0)
    wrong = [
        WrongOption(way.slip, letter, way.here.format(**words), critical=way.critical)
        for letter, way in named.items()
        if way.slip
    ]
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome=item.outcome,
            level=ask.level,
            title=item.title,
            prompt=item.text.format(**words).strip(),
            fields=(target,),
            slips=option_slips(library, target, wrong),
            explanation=f"{named[right].here.format(**words)} {item.explanation.format(**words)}".strip(),
            working=named[right].text.format(**words),
            competences=item.competences,
        ),
        library,
    )


def _words(appliance: Appliance, rng: random.Random) -> dict[str, str]:
    branch = rng.choice(sc.sections(appliance))
    return {
        "appliance": appliance.title,
        "part": sc.name(appliance, branch),
        "mark": branch.part,
        "ohms": sc.ohms(branch.cold_ohms),
        "watts": sc.watts(branch.watts),
        "volts": f"{appliance.plate.volts:g} V",
    }


def _fitting(ask: Ask, library: Library, appliance: Appliance) -> list[Item]:
    wanted, form = ask.text("item"), ask.text("form")
    kinds = {str(part.kind) for part in appliance.parts}
    found = [
        item
        for item in load_items(library.folder)
        if item.form == form
        and (item.id == wanted if wanted else item.level <= ask.level)
        and item.supply in ("any", appliance.supply.kind)
        and (not item.needs or item.needs in kinds)
    ]
    if not found:
        raise Unfit(f"no item '{wanted or form}' fits the {appliance.title}")
    return found


@cache
def load_items(folder: Path) -> tuple[Item, ...]:
    """Every item of ``folder/knowhow.toml``, in file order; :class:`ScenarioError` when the file is bad."""
    from typing import Literal

    from pydantic import Field

    from probebook.textfiles import StrictModel, load_text

    class WayText(StrictModel):
        text: str
        here: str
        slip: str = ""
        critical: bool = False

    class ItemText(StrictModel):
        id: str
        form: Literal["instrument", "connect", "colour", "drawing"]
        title: str
        text: str
        label: str
        way: tuple[WayText, ...] = Field(min_length=3, max_length=6)
        explanation: str = ""
        outcome: str
        competences: tuple[str, ...]
        source: str
        level: int = Field(default=1, ge=1, le=4)
        supply: Literal["any", "fixed", "plug"] = "any"
        needs: str = ""

    class File(StrictModel):
        item: tuple[ItemText, ...]

    path = folder / "knowhow.toml"
    found: list[Item] = []
    for number, text in enumerate(load_text(path, File).item):
        where = f"{path.name}: item[{number + 1}]"
        right = sum(not way.slip for way in text.way)
        if right != 1:
            raise ScenarioError(
                f"'{text.id}' has {right} ways without a slip",
                where=f"{where}.way",
                remedy="leave 'slip' out of the right way and give every other one its slip",
            )
        if any(text.id == other.id for other in found):
            raise ScenarioError(f"the id '{text.id}' is used twice", where=f"{where}.id", remedy="give each its own")
        found.append(
            Item(
                text.id,
                text.form,
                text.title,
                text.text,
                text.label,
                tuple(Way(w.text, w.here, w.slip, w.critical) for w in text.way),
                text.explanation,
                text.outcome,
                text.competences,
                text.source,
                text.level,
                text.supply,
                text.needs,
            )
        )
    return tuple(found)

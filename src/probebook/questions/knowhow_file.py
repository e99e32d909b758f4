"""Questions of knowledge as ``text/en/knowhow.toml`` holds them: items, ways to choose, holes of their texts."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Annotated

from probebook.errors import ScenarioError
from probebook.regions.facts import RegionFacts
from probebook.regions.loading import check_regions
from probebook.words import Noun, Words

__all__ = ["FILE", "Item", "ItemFacts", "Way", "load_items"]

#: The file, in the folder of a language.
FILE = "knowhow.toml"
#: Keys that hold templates.
TEMPLATES = ("title", "text", "other", "label", "explanation", "here")


@dataclass(frozen=True)
class ItemFacts(RegionFacts):
    """What an item may speak of: the appliance, an element of it, its mark, its cold ohms and rating, the region."""

    appliance: Noun
    part: Noun
    mark: str
    ohms: Annotated[float, "ohm"]
    watts: Annotated[float, "W"]
    volts: Annotated[float, "V"]


@dataclass(frozen=True, slots=True)
class Way:
    """Something to choose: ``slip`` is empty for the right one; ``here`` says why it is right or wrong.

    ``other`` is another wording of ``text``, shorter or longer. Texts are templates.
    """

    text: str
    here: str
    slip: str = ""
    critical: bool = False
    other: str = ""


@dataclass(frozen=True, slots=True)
class Item:
    """One question of the file; ``supply`` and ``needs`` (a part kind) say which appliances it fits.

    ``regions`` are those it is true of, all where none is named.

    ``title``, ``text``, ``label``, ``explanation`` and the texts of the ways are templates of :class:`ItemFacts`.
    """

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
    regions: tuple[str, ...] = ()


@cache
def load_items(folder: Path, words: Words | None = None) -> tuple[Item, ...]:
    """Every item of the file, in order, in the language of ``words`` (English for None).

    Raises
    ------
    ScenarioError
        The file is bad: an item without exactly one right way, an id used twice, a template that cannot be said.
    """
    from probebook.questions.formats import KnowhowText
    from probebook.scenario_layers import load_joined
    from probebook.words.tutor_texts import check_templates

    found: dict[str, Item] = {}
    for number, text in enumerate(load_joined(folder / "text" / "en" / FILE, KnowhowText, words).item, 1):
        where = f"{FILE}: item[{number}]"
        row = text.model_dump()
        _check(row, where, found)
        check_regions(text.regions, folder, f"{where}.regions")
        check_templates(ItemFacts, row, TEMPLATES, f"{where}.")
        ways = tuple(Way(**way) for way in row.pop("way"))
        found[text.id] = Item(ways=ways, **row)
    return tuple(found.values())


def _check(row: dict[str, object], where: str, others: dict[str, Item]) -> None:
    ways = row["way"]
    assert isinstance(ways, tuple)
    right = sum(not way["slip"] for way in ways)
    if right != 1:
        raise ScenarioError(
            f"'{row['id']}' has {right} ways without a slip",
            where=f"{where}.way",
            remedy="leave 'slip' out of the right way and give every other one its slip",
        )
    if row["id"] in others:
        raise ScenarioError(f"the id '{row['id']}' is used twice", where=f"{where}.id", remedy="give each its own")

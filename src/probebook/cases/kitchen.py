"""The invented setting of all cases, read from ``kitchen.toml``: names, premises, and what people say of an appliance.

Phrases are listed by symptom and never by fault, so that two faults with the same symptoms get words from one pool.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from probebook.appliances import Appliance
from probebook.errors import ScenarioError

__all__ = ["Kitchen", "Manner", "kitchen"]


@dataclass(frozen=True, slots=True)
class Manner:
    """How people speak of one appliance.

    Attributes
    ----------
    family
        The sort of appliance, which chooses among phrases.
    thing
        What it is called.
    usual
        The position that a household uses most.
    leads
        Position → the words that open a sentence about it ('when I bake').
    """

    family: str
    thing: str
    usual: str
    leads: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Kitchen:
    """The setting: lists of words to draw from, and the phrases by (family, subject, how)."""

    given: tuple[str, ...]
    family: tuple[str, ...]
    premises: tuple[str, ...]
    days: tuple[str, ...]
    since: tuple[str, ...]
    remarks: tuple[str, ...]
    vague: tuple[str, ...]
    manners: Mapping[str, Manner]
    phrases: Mapping[tuple[str, str, str], tuple[str, ...]]

    def manner(self, appliance: Appliance) -> Manner:
        """How people speak of an appliance; ScenarioError when the file does not say."""
        if appliance.id not in self.manners:
            raise ScenarioError(
                f"it is not said how people speak of the {appliance.title}",
                where="kitchen.toml: appliance",
                remedy=f'add an [[appliance]] with id = "{appliance.id}"',
            )
        return self.manners[appliance.id]

    def says(self, appliance: Appliance, subject: str, how: str) -> tuple[str, ...]:
        """Ways to say that a subject does so; empty when nobody notices such a thing."""
        family = self.manner(appliance).family
        kind = next((b.kind.value for b in appliance.branches if b.name == subject), subject)
        for name in (subject, kind):
            for sort in (family, ""):
                found = self.phrases.get((sort, name, how))
                if found:
                    return found
        return ()


@cache
def kitchen(folder: Path) -> Kitchen:
    """The setting described in a ``scenarios`` folder; ScenarioError when the file is bad."""
    from pydantic import Field

    from probebook.textfiles import StrictModel, load_text

    class Speech(StrictModel):
        id: str
        family: str
        thing: str
        usual: str
        leads: dict[str, str] = Field(min_length=1)

    class Phrase(StrictModel):
        subject: str
        family: str = ""
        how: str
        says: tuple[str, ...] = Field(min_length=1)

    class File(StrictModel):
        given: tuple[str, ...] = Field(min_length=1)
        family: tuple[str, ...] = Field(min_length=1)
        premises: tuple[str, ...] = Field(min_length=1)
        days: tuple[str, ...] = Field(min_length=1)
        since: tuple[str, ...] = Field(min_length=1)
        remarks: tuple[str, ...] = Field(min_length=1)
        vague: tuple[str, ...] = Field(min_length=1)
        appliance: tuple[Speech, ...]
        phrase: tuple[Phrase, ...]

    text = load_text(folder / "kitchen.toml", File)
    phrases: dict[tuple[str, str, str], tuple[str, ...]] = {}
    for number, row in enumerate(text.phrase, 1):
        key = (row.family, row.subject, row.how)
        if key in phrases:
            raise ScenarioError(
                f"'{row.subject}' that is '{row.how}' is worded twice",
                where=f"kitchen.toml: phrase[{number}]",
                remedy="put all ways to say it into one [[phrase]]",
            )
        phrases[key] = row.says
    return Kitchen(
        given=text.given,
        family=text.family,
        premises=text.premises,
        days=text.days,
        since=text.since,
        remarks=text.remarks,
        vague=text.vague,
        manners={a.id: Manner(a.family, a.thing, a.usual, a.leads) for a in text.appliance},
        phrases=phrases,
    )

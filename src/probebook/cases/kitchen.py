"""The invented setting of all cases, from ``text/en/kitchen.toml``: names, premises, what people say of an appliance.

Phrases are listed by symptom and never by fault, so that two faults with the same symptoms get words from one pool.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from probebook.appliances import Appliance
from probebook.cases.facts import VagueFacts
from probebook.errors import ScenarioError
from probebook.regions.facts import RegionFacts
from probebook.words import Words

__all__ = ["FILE", "Kitchen", "Manner", "kitchen", "kitchen_path"]

FILE = "kitchen.toml"


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
                where=f"{FILE}: appliance",
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


def kitchen_path(folder: Path) -> Path:
    """The file of the setting in a ``scenarios`` folder."""
    return folder / "text" / "en" / FILE


@cache
def kitchen(folder: Path, words: Words | None = None) -> Kitchen:
    """The setting of a ``scenarios`` folder in the language of ``words``; ScenarioError when the file is bad."""
    from probebook.cases.formats import KitchenText
    from probebook.scenario_layers import load_joined
    from probebook.words.tutor_texts import check_template

    text = load_joined(kitchen_path(folder), KitchenText, words)
    for number, template in enumerate(text.vague, 1):
        check_template(VagueFacts, template, f"{FILE}: vague[{number}]")
    for number, phrase in enumerate(text.phrase, 1):
        for template in phrase.says:
            check_template(RegionFacts, template, f"{FILE}: phrase[{number}].says")
    return Kitchen(
        given=text.given,
        family=text.family,
        premises=text.premises,
        days=text.days,
        since=text.since,
        remarks=text.remarks,
        vague=text.vague,
        manners={a.id: Manner(a.family, a.thing, a.usual, a.leads) for a in text.appliance},
        phrases=_phrases([(row.family, row.subject, row.how, row.says) for row in text.phrase]),
    )


def _phrases(rows: Sequence[tuple[str, str, str, tuple[str, ...]]]) -> dict[tuple[str, str, str], tuple[str, ...]]:
    """The phrases by (family, subject, how); ScenarioError when one is worded twice."""
    found: dict[tuple[str, str, str], tuple[str, ...]] = {}
    for number, (family, subject, how, says) in enumerate(rows, 1):
        if (family, subject, how) in found:
            raise ScenarioError(
                f"'{subject}' that is '{how}' is worded twice",
                where=f"{FILE}: phrase[{number}]",
                remedy="put all ways to say it into one [[phrase]]",
            )
        found[family, subject, how] = says
    return found

"""Wording for owners: a reading that somebody else has taken, told as a line of a report; nothing for them to measure.

Builders that can speak to an owner read the option ``reader = "owner"``.
"""

from __future__ import annotations

from dataclasses import dataclass

from probebook.appliances import Appliance
from probebook.cases.kitchen import kitchen
from probebook.cases.library import Library
from probebook.meters import Conformity
from probebook.questions.frame import Ask
from probebook.words import Facts, Noun, Phrase, Words

__all__ = ["closing", "for_owner", "report"]


@dataclass(frozen=True)
class Report(Facts, group="questions/owner/report", says=("unplugged", "isolated")):
    """A report on an appliance: what the owner calls it, and the line that matters."""

    thing: Noun
    line: Phrase


@dataclass(frozen=True)
class Closing(Facts, group="questions/owner/closing", says=("within", "outside", "cannot")):
    """What a test passed, failed or left open means."""


def for_owner(ask: Ask) -> bool:
    """Whether the question is put to an owner."""
    return ask.text("reader") == "owner"


def report(library: Library, appliance: Appliance, line: Phrase) -> Phrase:
    """The beginning of a prompt: who measured, on what, and what the report says."""
    thing = library.words.noun(kitchen(library.folder, library.words).manner(appliance).thing)
    key = "unplugged" if appliance.supply.kind == "plug" else "isolated"
    return library.words.say(Report(thing, line), key)


def closing(words: Words, conformity: Conformity) -> Phrase:
    """What a test passed, failed or left open means for whoever uses the appliance."""
    return words.say(Closing(), conformity)

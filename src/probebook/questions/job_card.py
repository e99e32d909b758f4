"""A job card and a rating plate as a prompt gives them, for questions that stand by themselves."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.appliances import Appliance, Branch
from probebook.appliances.naming import load_noun, supply_key
from probebook.cases.model import JobCard
from probebook.words import Facts, Noun, Phrase, Words

__all__ = ["job_words", "plate_words"]


@dataclass(frozen=True)
class JobFacts(Facts, group="questions/job_card/job", says=("plain", "timed", "found", "timed-found")):
    """A job card: its number and time, who called from where, what was reported, how the controls were found."""

    number: str
    time: str
    customer: str
    premises: str
    reported: str
    found: str


@dataclass(frozen=True)
class LoadFacts(Facts, group="questions/job_card/load", says=("rated",)):
    """A load and its rating."""

    load: Noun
    watts: Annotated[float, "W"]


@dataclass(frozen=True)
class LoadAtFacts(Facts, group="questions/job_card/load", says=("rated-at",)):
    """A load of a three-phase appliance, its rating, and the volts that is for."""

    load: Noun
    watts: Annotated[float, "W"]
    volts: Annotated[float, "V"]


@dataclass(frozen=True)
class PlateFacts(Facts, group="questions/job_card/plate", says=("whole", "whole-star", "whole-three")):
    """A rating plate: of the whole appliance, of one phase or of three with neutral or without, and of each load."""

    volts: Annotated[float, "V"]
    watts: Annotated[float, "W"]
    protection: Noun
    loads: tuple[Phrase, ...]


def job_words(words: Words, card: JobCard) -> Phrase:
    """The job card: number, customer, what was reported, how the controls were found."""
    key = "-".join([*(["timed"] if card.time else []), *(["found"] if card.found else [])]) or "plain"
    number, time = str(card.number), card.time
    return words.say(JobFacts(number, time, card.customer, card.premises, card.reported, card.found), key)


def plate_words(words: Words, appliance: Appliance) -> Phrase:
    """The rating of the whole and of each load, in a sentence; of three phases with the volts of each load."""
    plate = appliance.plate
    loads = tuple(_load(words, appliance, b) for b in appliance.branches if b.watts > 0)
    facts = PlateFacts(plate.between_lines or plate.volts, plate.watts, words.noun(str(plate.protection)), loads)
    return words.say(facts, supply_key(appliance, "whole"))


def _load(words: Words, appliance: Appliance, branch: Branch) -> Phrase:
    load = load_noun(words, appliance, branch.name)
    if not appliance.other_lines:
        return words.say(LoadFacts(load, branch.watts), "rated")
    volts = appliance.rated_volts(branch, appliance.plate.volts)
    return words.say(LoadAtFacts(load, branch.watts, volts), "rated-at")

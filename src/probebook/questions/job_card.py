"""A job card and a rating plate as a prompt gives them, for questions that stand by themselves."""

from __future__ import annotations

from probebook.appliances import Appliance
from probebook.cases.model import JobCard
from probebook.cases.words import load_words

__all__ = ["job_words", "plate_words"]


def job_words(card: JobCard) -> str:
    """The job card: number, customer, what was reported, how the controls were found."""
    when = f", {card.time}" if card.time else ""
    said = f"**Job {card.number}{when}.** {card.customer}, {card.premises}. Reported: “{card.reported}”"
    return said + (f" Controls as found: {card.found}." if card.found else "")


def plate_words(appliance: Appliance) -> str:
    """The rating of the whole and of each load, in a sentence."""
    plate = appliance.plate
    loads = [f"{load_words(appliance, b.name)} {b.watts:g} W" for b in appliance.branches if b.watts > 0]
    return f"**Rating plate.** {plate.volts:g} V, {plate.watts:g} W, {plate.protection}: {', '.join(loads)}."

"""Who and where: invented customers, premises, job numbers and times, which vary and never bear on the fault."""

from __future__ import annotations

import random
from dataclasses import dataclass

from probebook.cases.facts import CustomerFacts, TimeFacts
from probebook.cases.kitchen import Kitchen
from probebook.words import Words

__all__ = ["Visit", "draw_visit"]


@dataclass(frozen=True, slots=True)
class Visit:
    """The heading of a job card."""

    number: str
    customer: str
    premises: str
    time: str


def draw_visit(setting: Kitchen, rng: random.Random, words: Words) -> Visit:
    """Draw the heading of a job card."""
    return Visit(
        number=f"TR-{rng.randrange(1000, 10000)}",
        customer=words.say(CustomerFacts(rng.choice(setting.given), rng.choice(setting.family)), "customer"),
        premises=rng.choice(setting.premises),
        time=words.say(
            TimeFacts(rng.choice(setting.days), rng.randrange(8, 17), rng.choice(("00", "15", "30", "45"))), "time"
        ),
    )

"""Wording for owners: a reading that somebody else has taken, told as a line of a report; nothing for them to measure.

Builders that can speak to an owner read the option ``reader = "owner"``.
"""

from __future__ import annotations

from probebook.appliances import Appliance
from probebook.cases.kitchen import kitchen
from probebook.cases.library import Library
from probebook.meters import Outcome
from probebook.questions.frame import Ask

__all__ = ["closing", "for_owner", "report"]


def for_owner(ask: Ask) -> bool:
    """Whether the question is put to an owner."""
    return ask.text("reader") == "owner"


def report(library: Library, appliance: Appliance, line: str) -> str:
    """The beginning of a prompt: who measured, on what, and what the report says."""
    state = "unplugged it" if appliance.supply.kind == "plug" else "isolated it"
    thing = kitchen(library.folder).manner(appliance).thing
    return (
        f"A licensed person has looked at your **{thing}**, {state}, proved it dead and measured. "
        f"The report says: *{line}*"
    )


def closing(outcome: Outcome) -> str:
    """What a test passed, failed or left open means for whoever uses the appliance."""
    return {
        Outcome.WITHIN: (
            "This test is passed. It is one of several: whoever made them says when the appliance may be used."
        ),
        Outcome.OUTSIDE: (
            "Until a licensed person has found the cause, mended it and tested again, it stays off and nobody uses it."
        ),
        Outcome.CANNOT_TELL: "Ask for a second test with a better instrument; until then it stays off.",
    }[outcome]

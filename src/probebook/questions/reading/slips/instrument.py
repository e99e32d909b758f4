"""What goes wrong with leads and with the beeper."""

from __future__ import annotations

from probebook.questions import scene as sc
from probebook.questions.assembling import wrong_numbers, wrong_options
from probebook.questions.frame import WrongNumber, WrongOption
from probebook.questions.reading.facts.instrument import BeeperFacts, LeadsCase, LeadsFacts
from probebook.words import Words

__all__ = ["beeper_slips", "leads_slips"]


def leads_slips(words: Words, case: LeadsCase, facts: LeadsFacts) -> list[WrongNumber]:
    """The slips of a low resistance with leads, by what is asked for."""
    lead, shown, path = facts.lead, facts.shown, facts.path
    values = {
        "shows": {
            "leads-ignored": path,
            "leads-wrong-sign": path - lead,
            "parallel-for-series": sc.parallel([path, lead]),
            "prefix-lost": facts.both * 1000,
        },
        "nulled": {
            "leads-taken-twice": shown - lead,
            "leads-wrong-sign": shown + lead,
            "prefix-lost": shown * 1000,
        },
        "true": {
            "leads-left-in": shown,
            "leads-taken-twice": shown - 2 * lead,
            "leads-wrong-sign": shown + lead,
            "prefix-lost": facts.key * 1000,
        },
    }[case.asks]
    return wrong_numbers(words, facts, values, keys={slip: f"{case.asks}.{slip}" for slip in values})


def beeper_slips(words: Words, facts: BeeperFacts) -> tuple[list[WrongOption], list[WrongOption]]:
    """The slips of what the beeper does, and of what it can tell."""
    if facts.sounds:
        does = wrong_options(words, facts, {"beeper-silence": "silent"}, keys={"beeper-silence": "here.below"})
    else:
        does = wrong_options(words, facts, {"beeper-is-sound": "sounds"}, keys={"beeper-is-sound": "here.above"})
    says = wrong_options(
        words,
        facts,
        {"beeper-silence": "open", "beeper-is-sound": "sound", "any-reading-passes": "any"},
        keys={"beeper-silence": "here.silent-when-high" if facts.sounds else "here.silent-when-sound"},
    )
    return does, says

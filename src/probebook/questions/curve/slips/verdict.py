"""What goes wrong in judging a record: which slip leads to which verdict."""

from __future__ import annotations

from collections.abc import Mapping

from probebook.questions.assembling import wrong_options
from probebook.questions.curve.facts.judging import Says
from probebook.questions.curve.facts.record import HeatUp
from probebook.questions.curve.facts.verdict import VerdictFacts
from probebook.questions.frame import WrongOption
from probebook.words import Words

__all__ = ["verdict_slips"]

#: What the record says → slip → what is then concluded.
LEADS_TO: Mapping[Says, Mapping[str, Says]] = {
    "sound": {"cycling-for-fault": "cut-out", "overshoot-for-plateau": "calibration", "usual-suspect": "heater-open"},
    "calibration": {
        "set-point-for-plateau": "sound",
        "usual-suspect": "heater-open",
        "cycling-for-fault": "cut-out",
    },
    "heater-open": {
        "power-unread": "sound",
        "set-point-for-plateau": "sound",
        "thermostat-blamed": "calibration",
    },
    "low-supply": {"power-unread": "sound", "usual-suspect": "heater-open", "thermostat-blamed": "calibration"},
    "welded": {"set-point-for-plateau": "sound"},
    "cut-out": {
        "set-point-for-plateau": "sound",
        "trip-for-cycling": "calibration",
        "usual-suspect": "heater-open",
    },
}


def verdict_slips(words: Words, shown: HeatUp, says: Says, facts: VerdictFacts) -> list[WrongOption]:
    """The slips of a verdict, each with this record's figures."""
    leads = dict(LEADS_TO[says])
    keys = {slip: f"{says}.{slip}" for slip in leads}
    if says == "heater-open":
        # Who sees it reach its setting has not read the current; who does not has not looked where it ends.
        leads.pop("set-point-for-plateau" if shown.facts.reached_set_point else "power-unread")
        if not shown.facts.cycles:
            keys["thermostat-blamed"] += "-never-off"
    return wrong_options(words, facts, leads, keys=keys)

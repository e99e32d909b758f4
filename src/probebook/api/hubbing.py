"""A hub for a class on one machine: what the command ``hub`` does, and what it says."""

from __future__ import annotations

from probebook.assessment.sitting.handin import SUFFIX
from probebook.hub.facts import CollectingFailed, HandInCollected, HubStarted, HubStopped
from probebook.hub.opening import open_hub
from probebook.hub.options import LOOPBACK, HubOptions
from probebook.hub.starting import RunningHub
from probebook.words import Phrase, Words

__all__ = ["HubOptions", "collected_line", "failed_line", "open_hub", "started_lines", "stopped_line", "stopping_line"]


def started_lines(hub: RunningHub, options: HubOptions, words: Words) -> list[str]:
    """What a tutor is told when the hub runs."""
    told = HubStarted(Phrase(hub.sitting.title), len(hub.sitting.names), hub.address, str(hub.into))
    keys = ["test"] if options.test_password else []
    keys += ["started", "address"]
    if options.ip not in LOOPBACK and options.certificate is None:
        keys.append("plain")
    return [words.say(told, key) for key in (*keys, "collected-in", "stop")]


def collected_line(name: str, words: Words) -> str:
    """That a hand-in came in."""
    return words.say(HandInCollected(name), "collected")


def failed_line(reason: str, words: Words) -> str:
    """That hand-ins cannot be collected just now."""
    return words.say(CollectingFailed(reason), "failed")


def stopping_line(words: Words) -> str:
    """That the hub is being stopped."""
    return words.say(HubStopped(), "stopping")


def stopped_line(hub: RunningHub, words: Words) -> str:
    """That the hub has stopped, and how many have handed in."""
    names = hub.sitting.names
    handed = sum((hub.into / f"{stem}{SUFFIX}").exists() for _, stem in names)
    return words.say(HubStopped(len(names), handed, str(hub.into)), "stopped")

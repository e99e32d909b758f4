"""A hub for a class on one machine: what the command ``hub`` does, and what it says."""

from __future__ import annotations

from probebook.assessment.model import PaperSet
from probebook.hub.facts import HandInCollected, HubStarted, HubStopped
from probebook.hub.opening import open_hub
from probebook.hub.options import HubOptions
from probebook.hub.starting import RunningHub
from probebook.words import Phrase, Words

__all__ = ["HubOptions", "collected_line", "open_hub", "started_lines", "stopped_line", "stopping_line"]

#: Addresses that only this machine reaches.
LOOPBACK = ("127.0.0.1", "localhost", "::1")


def started_lines(hub: RunningHub, papers: PaperSet, options: HubOptions, words: Words) -> list[str]:
    """What a tutor is told when the hub runs."""
    told = HubStarted(Phrase(papers.blueprint.title), len(papers.papers), hub.address, str(hub.into))
    keys = ["test"] if options.test_password else []
    keys += ["started", "address"]
    if options.ip not in LOOPBACK and options.certificate is None:
        keys.append("plain")
    return [words.say(told, key) for key in (*keys, "collected-in", "stop")]


def collected_line(name: str, words: Words) -> str:
    """That a hand-in came in."""
    return words.say(HandInCollected(name), "collected")


def stopping_line(words: Words) -> str:
    """That the hub is being stopped."""
    return words.say(HubStopped(), "stopping")


def stopped_line(hub: RunningHub, papers: PaperSet, words: Words) -> str:
    """That the hub has stopped, and how many have handed in."""
    names = (papers.blueprint.paper_name(paper.learner) for paper in papers.papers)
    handed = sum((hub.into / f"{name}.handin.json").exists() for name in names)
    return words.say(HubStopped(len(papers.papers), handed, str(hub.into)), "stopped")

"""What the sentences about a hub are told."""

from __future__ import annotations

from dataclasses import dataclass

from probebook.words import Facts, Phrase

HUB = "assessment/hub"


@dataclass(frozen=True)
class HubStarted(Facts, group=f"{HUB}/tutor", says=("started", "address", "collected-in", "stop", "test", "plain")):
    """A hub that runs: whose papers, for how many, where, and where hand-ins go."""

    title: Phrase
    learners: int
    address: str
    folder: str


@dataclass(frozen=True)
class HandInCollected(Facts, group=f"{HUB}/tutor", says=("collected",)):
    """A hand-in that came in."""

    file: str


@dataclass(frozen=True)
class CollectingFailed(Facts, group=f"{HUB}/tutor", says=("failed",)):
    """A round of collecting that failed, and why."""

    reason: str


@dataclass(frozen=True)
class HubStopped(Facts, group=f"{HUB}/tutor", says=("stopping", "stopped")):
    """A hub that has ended: how many papers there were, how many hand-ins, and where."""

    papers: int = 0
    handed: int = 0
    folder: str = ""

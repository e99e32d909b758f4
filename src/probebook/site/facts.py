"""What the sentences of the static pages are told."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.words import Facts, Noun, Phrase

__all__ = ["BenchListed", "BenchTexts", "Earned", "Minutes", "SiteTexts"]

SITE = "site"


@dataclass(frozen=True)
class SiteTexts(
    Facts,
    group=f"{SITE}/page",
    says=(
        "title",
        "about",
        "private",
        "open-key",
        "owners",
        "benches",
        "benches-about",
        "more",
        "sheet",
        "glossary",
        "skip",
        "home",
        "save",
        "save-all",
        "forget",
        "forgotten",
        "not-kept",
        "no-script",
        "kept",
    ),
):
    """What stands on the pages beside their own text."""


@dataclass(frozen=True)
class BenchTexts(
    Facts, group=f"{SITE}/bench", says=("go-on", "nothing-done", "right", "wrong", "unproved", "left-on", "not-weighed")
):
    """What is said of a job on a bench that is a table."""


@dataclass(frozen=True)
class BenchListed(Facts, group=f"{SITE}/bench", says=("listed",)):
    """A bench in the list: its number and its appliance."""

    number: int
    appliance: Noun


@dataclass(frozen=True)
class Earned(Facts, group=f"{SITE}/bench", says=("parts",)):
    """What a job earned of what the table can tell, each out of how many; numbers as the page writes them."""

    safety: Phrase
    safety_most: Annotated[float, "1"]
    economy: Phrase
    economy_most: Annotated[float, "1"]
    conclusion: Phrase
    conclusion_most: Annotated[float, "1"]


@dataclass(frozen=True)
class Minutes(Facts, group=f"{SITE}/page", says=("minutes",)):
    """How long a workbook takes."""

    minutes: int

"""What the sentences of bench questions are told."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.words import Facts, Noun, Phrase

__all__ = [
    "JobFacts",
    "JobLabel",
    "JobNotMarked",
    "JobRight",
    "Mending",
    "NothingWrong",
    "RivalsAnswered",
    "SlipHere",
    "SoundRival",
    "StepLast",
    "StepShown",
    "WhatIsWrong",
]


@dataclass(frozen=True)
class JobFacts(Facts, group="questions/bench/job", says=("title", "prompt", "explanation", "working")):
    """A job on the bench.

    ``rest`` is where the controls stand, ``card`` and ``plate`` the job card and the rating in words, ``parts`` the
    sentences of the explanation, ``steps`` the investigation as a list, with its tests and working minutes.
    """

    appliance: Noun
    rest: Noun
    card: Phrase
    plate: Phrase
    meter: Noun
    tester: Noun
    parts: tuple[Phrase, ...]
    steps: Phrase
    tests: int
    minutes: Annotated[float, "min"]


@dataclass(frozen=True)
class JobLabel(Facts, group="questions/bench/job", says=("label",)):
    """The label of the bench field."""


@dataclass(frozen=True)
class StepShown(Facts, group="questions/bench/step", says=("shown",)):
    """A step of the investigation, from 1: the act and what it showed."""

    number: int
    act: Phrase
    shown: Phrase


@dataclass(frozen=True)
class StepLast(Facts, group="questions/bench/step", says=("last",)):
    """The conclusion as a step."""

    number: int
    act: Phrase


@dataclass(frozen=True)
class WhatIsWrong(Facts, group="questions/bench/why", says=("wrong",)):
    """The faults present, in words."""

    faults: Phrase


@dataclass(frozen=True)
class NothingWrong(Facts, group="questions/bench/why", says=("nothing",)):
    """No fault is present."""


@dataclass(frozen=True)
class RivalsAnswered(Facts, group="questions/bench/why", says=("against",)):
    """What an observation would be otherwise, and the rivals that it speaks against."""

    contrast: Phrase
    rivals: tuple[Phrase, ...]


@dataclass(frozen=True)
class SoundRival(Facts, group="questions/bench/why", says=("sound",)):
    """The rival that nothing is wrong."""


@dataclass(frozen=True)
class Mending(Facts, group="questions/bench/why", says=("mend",)):
    """What is to be done."""

    mends: tuple[Noun, ...]


@dataclass(frozen=True)
class SlipHere(Facts, group="questions/bench/here", says=("no-reference", "rules-out-nothing")):
    """What a slip was on the bench."""


@dataclass(frozen=True)
class JobNotMarked(Facts, group="questions/bench/marking", says=("nothing-done", "no-acts", "go-on", "unfinished")):
    """Why a job is not marked yet, or not whole."""


@dataclass(frozen=True)
class JobRight(Facts, group="questions/bench/marking", says=("right",)):
    """What is said of a faultless job."""

    job: Phrase

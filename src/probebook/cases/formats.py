"""The text formats of ``kitchen.toml``, ``slips.toml``, ``outcomes.toml``. Loads pydantic; readers import it late."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from probebook.textfiles import Prose, StrictModel

Some = Annotated[tuple[Prose, ...], Field(min_length=1)]
Names = Annotated[tuple[str, ...], Field(min_length=1)]


class SpeechText(StrictModel):
    """``[[appliance]]``: how people speak of an appliance.

    ``family`` is the sort whose phrases suit it; ``thing`` what they call it; ``usual`` the position they use most;
    ``leads`` how a complaint begins, by position.
    """

    id: str
    family: str
    thing: Prose
    usual: str
    leads: dict[str, Prose] = Field(min_length=1)


class PhraseText(StrictModel):
    """``[[phrase]]``: ways to say that a subject does something.

    ``subject`` is a load, a place, or a kind of branch; ``family`` the sort of appliance, empty for all; ``how`` what
    it does.
    """

    subject: str
    family: str = ""
    how: str
    says: Some


class KitchenText(StrictModel):
    """``kitchen.toml``: people and places of job cards, and how customers put things.

    ``given`` and ``family`` names; ``premises``; ``days`` of a visit; ``since`` when; ``remarks`` beside the point;
    ``vague`` complaints.
    """

    given: Names
    family: Names
    premises: Some
    days: Some
    since: Some
    remarks: Some
    vague: Some
    appliance: tuple[SpeechText, ...]
    phrase: tuple[PhraseText, ...]


class SlipUse(StrictModel):
    """``on``: a form of question in which a slip is met without any code.

    ``form`` is a kind and a form (``power/watts``); ``path`` one of the wrong paths that the form can compute.
    """

    form: str
    path: str


class SlipText(StrictModel):
    """``[[slip]]``: a named wrong way of working.

    ``name`` heads it; ``way`` completes 'you have …'; ``advice``, sentence by sentence, says what to do instead;
    ``source`` on whose word people do this; ``competences`` it is a lack of; ``on`` where it is met without any code.
    """

    id: str
    name: Prose
    way: Prose
    advice: tuple[Prose, ...]
    source: str
    competences: tuple[str, ...]
    on: tuple[SlipUse, ...] = ()


class SlipsText(StrictModel):
    """``slips.toml``: all slips."""

    slip: tuple[SlipText, ...]


class OutcomeText(StrictModel):
    """``[[outcome]]``: something to be learnt: a row of a blueprint and of a report.

    ``able`` and ``owner`` complete "you can …" for an apprentice and for an owner; without them the title does.
    """

    id: str
    title: Prose
    able: Prose = ""
    owner: Prose = ""


class OutcomesText(StrictModel):
    """``outcomes.toml``: all outcomes, in teaching order."""

    outcome: tuple[OutcomeText, ...]

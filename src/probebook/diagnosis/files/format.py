"""The text format of an evidence file. Loads pydantic; :mod:`probebook.diagnosis.evidence_file` imports it when needed.

Every list is optional. A reading needs its probes and display; whatever else it leaves out is as at rest: controls at
off, nothing lifted, ohms.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from probebook.meters import Function
from probebook.textfiles import StrictModel

Text = Annotated[str, Field(min_length=1, max_length=200)]
Lines = Annotated[dict[str, Text], Field(min_length=1)]


class ReadingText(StrictModel):
    """``[[reading]]``: one display, and how it was taken."""

    probes: tuple[Text, Text]
    display: Text
    function: Literal[Function.OHMS, Function.CONTINUITY, Function.INSULATION] = Function.OHMS
    position: str = ""
    lift: tuple[Text, ...] = ()
    calling: bool = True
    dried: bool = False
    nulled: bool = False


class SeenText(StrictModel):
    """``[[seen]]``: a look at a part or wire; ``what`` in the words of the appliance's file, left out for nothing."""

    at: Text
    what: str = ""


class SymptomsText(StrictModel):
    """``[[complaint]]`` or ``[[ran]]``: in one position, how each subject does: ``shows = { base = "off" }``."""

    position: Text
    shows: Lines


class TrippedText(StrictModel):
    """``[[tripped]]``: what a protective device did in a position."""

    position: Text
    how: Text


class EvidenceText(StrictModel):
    """A whole evidence file."""

    appliance: str = ""
    reading: tuple[ReadingText, ...] = ()
    seen: tuple[SeenText, ...] = ()
    complaint: tuple[SymptomsText, ...] = ()
    ran: tuple[SymptomsText, ...] = ()
    tripped: tuple[TrippedText, ...] = ()

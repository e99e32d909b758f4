"""The text formats of a workbook's plan, of cautions, of the glossary. Loads pydantic; readers import it late."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from probebook.questions.model import Kind
from probebook.textfiles import Prose, StrictModel


class CautionsText(StrictModel):
    """``cautions.toml``: what stands at the head of every workbook for a reader; it may name things of the region."""

    apprentice: Prose
    owner: Prose


class TermText(StrictModel):
    """``[[term]]``: a word that is explained where a lesson first uses it, and at the end of the workbook.

    ``word`` heads the explanation ``text``; ``forms`` are how it may stand in a lesson. All may name things of the
    region.
    """

    id: str
    word: Prose
    forms: tuple[Prose, ...] = Field(min_length=1)
    text: Prose


class GlossaryText(StrictModel):
    """``glossary.toml``: words of the trade, in the order of teaching."""

    term: tuple[TermText, ...]


class BlockText(StrictModel):
    """``[[block]]``: one of ``text``, ``show``, ``example``, ``ask``, ``case`` or ``worked``.

    ``text`` is Markdown to read; ``show`` draws the appliance in a ``position``, a schematic with the path of the
    current drawn heavy, and names in ``paths`` further positions whose path a page shows when they are chosen (those
    that a trace question of the workbook asks about are left out); ``example`` works a question out and
    ``ask`` asks one, ``times`` over with fresh draws; ``case`` names a case, with a job card, a diagram and readings,
    about which ``asks`` asks several kinds; ``truth`` names the faults it must have; ``worked`` names
    a case that is worked aloud instead, and ``asks`` the kinds worked out after it. ``appliance`` replaces that of the
    plan. ``options`` are those of the kinds asked. ``regions`` keeps the block for some regions alone.
    """

    name: str = ""
    text: Prose = ""
    show: Literal["", "schematic", "harness", "plate", "heat-up"] = ""
    example: Kind | None = None
    ask: Kind | None = None
    case: str = ""
    worked: str = ""
    asks: tuple[Kind, ...] = ()
    appliance: str = ""
    position: str = ""
    paths: tuple[str, ...] = ()
    level: int = Field(default=1, ge=1, le=4)
    times: int = Field(default=1, ge=1, le=50)
    truth: tuple[str, ...] | None = None
    options: dict[str, str | float | bool | tuple[str, ...]] = Field(default_factory=dict)
    regions: tuple[str, ...] = ()


class PlanText(StrictModel):
    """``workbooks/<id>.toml``: a workbook.

    ``number`` orders workbooks; ``seed`` fixes every draw; ``appliance`` is what blocks are about that name none;
    ``after`` names the workbooks (their ids) that come before this one; ``aims`` the outcomes that one has learnt after
    it, where they are fewer than those it asks about.
    """

    id: str
    number: int = Field(ge=1, le=99)
    title: Prose
    reader: Literal["apprentice", "owner"]
    summary: Prose
    seed: str
    appliance: str = "conventional-oven"
    after: tuple[str, ...] = ()
    aims: tuple[str, ...] = ()
    block: tuple[BlockText, ...]

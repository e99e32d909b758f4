"""The plan of a workbook: a text file with its reading matter, worked examples, cases and questions in order."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from probebook.errors import ScenarioError
from probebook.questions.model import Kind

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

__all__ = ["Block", "Plan", "load_plan", "load_plans"]


@dataclass(frozen=True, slots=True)
class Block:
    """One block of a workbook; exactly one of ``text``, ``show``, ``example``, ``ask`` or ``case`` is set.

    Attributes
    ----------
    text
        Markdown to read.
    show
        What to draw: ``schematic``, ``harness``, ``plate``, ``heat-up``.
    example
        Kind of question whose worked solution is shown instead of asked.
    ask
        Kind of question to ask.
    case
        Name of a case in this workbook: its job card, diagram and readings are shown, then ``asks``.
    asks
        Kinds of question asked about the case.
    appliance, position, level, times, options
        As the block says; ``times`` repeats an ask with fresh draws.
    truth
        Faults the case must have (any that fits, where the file is silent).
    """

    where: str
    text: str = ""
    show: str = ""
    example: Kind | None = None
    ask: Kind | None = None
    case: str = ""
    asks: Sequence[Kind] = ()
    appliance: str = ""
    position: str = ""
    level: int = 1
    times: int = 1
    truth: tuple[str, ...] | None = None
    options: Mapping[str, str | float | bool | Sequence[str]] | None = None


@dataclass(frozen=True, slots=True)
class Plan:
    """A workbook to be built: who reads it, what it is called, its blocks."""

    id: str
    number: int
    title: str
    reader: str
    summary: str
    seed: str
    appliance: str
    blocks: tuple[Block, ...]

    @property
    def stem(self) -> str:
        """File name without its ending: ``03-ohms-and-watts``."""
        return f"{self.number:02d}-{self.id}"


def load_plan(path: Path) -> Plan:
    """Read one plan; :class:`ScenarioError`, one sentence naming file, key and remedy."""
    from typing import Literal

    from pydantic import Field

    from probebook.textfiles import StrictModel, load_text

    class BlockText(StrictModel):
        text: str = ""
        show: Literal["", "schematic", "harness", "plate", "heat-up"] = ""
        example: Kind | None = None
        ask: Kind | None = None
        case: str = ""
        asks: tuple[Kind, ...] = ()
        appliance: str = ""
        position: str = ""
        level: int = Field(default=1, ge=1, le=4)
        times: int = Field(default=1, ge=1, le=50)
        truth: tuple[str, ...] | None = None
        options: dict[str, str | float | bool | tuple[str, ...]] = Field(default_factory=dict)

    class PlanText(StrictModel):
        id: str
        number: int = Field(ge=1, le=99)
        title: str
        reader: Literal["apprentice", "owner"]
        summary: str
        seed: str
        appliance: str = "conventional-oven"
        block: tuple[BlockText, ...]

    text = load_text(path, PlanText)
    if text.id != path.stem:
        raise ScenarioError(
            f"the id '{text.id}' differs from the file's name",
            where=f"{path.name}: id",
            remedy=f'write id = "{path.stem}"',
        )
    blocks: list[Block] = []
    for i, item in enumerate(text.block):
        where = f"{path.name}: block[{i + 1}]"
        chosen = [key for key in ("text", "show", "example", "ask", "case") if getattr(item, key)]
        if len(chosen) != 1:
            raise ScenarioError(
                "a block says one thing", where=where, remedy="give it one of text, show, example, ask or case"
            )
        if bool(item.case) != bool(item.asks):
            raise ScenarioError("a case and its asks go together", where=where, remedy='write asks = ["fault"]')
        blocks.append(
            Block(
                where=where,
                text=item.text,
                show=item.show,
                example=item.example,
                ask=item.ask,
                case=item.case,
                asks=item.asks,
                appliance=item.appliance or text.appliance,
                position=item.position,
                level=item.level,
                times=item.times,
                truth=item.truth,
                options=item.options,
            )
        )
    return Plan(text.id, text.number, text.title, text.reader, text.summary, text.seed, text.appliance, tuple(blocks))


def load_plans(folder: Path) -> tuple[Plan, ...]:
    """Every plan in ``folder/workbooks`` (``folder`` is the scenarios folder), in order of number."""
    plans = sorted((load_plan(p) for p in sorted((folder / "workbooks").glob("*.toml"))), key=lambda p: p.number)
    seen: dict[int, str] = {}
    for plan in plans:
        if plan.number in seen:
            raise ScenarioError(
                f"the number {plan.number} is also that of '{seen[plan.number]}'",
                where=f"{plan.id}.toml: number",
                remedy="give each workbook a number of its own",
            )
        seen[plan.number] = plan.id
    return tuple(plans)

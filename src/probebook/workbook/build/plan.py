"""The plan of a workbook: a text file with its reading matter, worked examples, cases and questions in order."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from typing import TYPE_CHECKING

from probebook.errors import ScenarioError
from probebook.questions.model import Kind
from probebook.questions.registry import options_of
from probebook.regions.loading import check_regions
from probebook.scenario_layers import OWN, files_in, own_folder

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from probebook.words import Words

__all__ = ["PLANS", "Block", "Plan", "load_plan", "load_plans"]

#: Folder of the plans in one of scenario files.
PLANS = "workbooks"


@dataclass(frozen=True, slots=True)
class Block:
    """One block of a workbook; exactly one of ``text``, ``show``, ``example``, ``ask``, ``case`` or ``worked`` is set.

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
    worked
        Name of a case that is worked aloud, then ``asks`` as worked examples.
    asks
        Kinds of question asked about the case.
    appliance, position, level, times, options
        As the block says; ``times`` repeats an ask with fresh draws.
    truth
        Faults the case must have (any that fits, where the file is silent).
    regions
        Ids of the regions the block is for; all where none is named.
    """

    where: str
    text: str = ""
    show: str = ""
    example: Kind | None = None
    ask: Kind | None = None
    case: str = ""
    worked: str = ""
    asks: Sequence[Kind] = ()
    appliance: str = ""
    position: str = ""
    paths: tuple[str, ...] = ()
    level: int = 1
    times: int = 1
    truth: tuple[str, ...] | None = None
    options: Mapping[str, str | float | bool | Sequence[str]] | None = None
    regions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Plan:
    """A workbook to be built: who reads it, what it is called, its blocks.

    ``after`` names the workbooks that come before it, ``aims`` the outcomes it is for; all it asks about where none is
    named.
    """

    id: str
    number: int
    title: str
    reader: str
    summary: str
    seed: str
    appliance: str
    blocks: tuple[Block, ...]
    after: tuple[str, ...] = ()
    aims: tuple[str, ...] = ()

    @property
    def stem(self) -> str:
        """File name without its ending: ``03-ohms-and-watts``."""
        return f"{self.number:02d}-{self.id}"

    def blocks_in(self, region_id: str) -> tuple[Block, ...]:
        """The blocks that are for a region."""
        return tuple(block for block in self.blocks if not block.regions or region_id in block.regions)


def load_plan(path: Path, words: Words | None = None) -> Plan:
    """Read one plan, in the language of ``words``; :class:`ScenarioError`, one sentence naming file, key and remedy."""
    from probebook.textfiles import load_text
    from probebook.workbook.build.formats import PlanText

    text = load_text(path, PlanText, words)
    if text.id != path.stem:
        raise ScenarioError(
            f"the id '{text.id}' differs from the file's name",
            where=f"{path.name}: id",
            remedy=f'write id = "{path.stem}"',
        )
    _check_after(text.id, text.after, path)
    blocks: list[Block] = []
    for i, item in enumerate(text.block):
        where = f"{path.name}: block[{i + 1}]"
        chosen = [key for key in ("text", "show", "example", "ask", "case", "worked") if getattr(item, key)]
        if len(chosen) != 1:
            raise ScenarioError(
                "a block says one thing",
                where=where,
                remedy="give it one of text, show, example, ask, case or worked",
            )
        _check_options(item.options, [kind for kind in (item.example, item.ask, *item.asks) if kind], where)
        check_regions(item.regions, path.resolve().parent.parent, f"{where}.regions")
        if not item.worked and bool(item.case) != bool(item.asks):
            raise ScenarioError("a case and its asks go together", where=where, remedy='write asks = ["fault"]')
        blocks.append(
            Block(
                where=where,
                text=item.text,
                show=item.show,
                example=item.example,
                ask=item.ask,
                case=item.case,
                worked=item.worked,
                asks=item.asks,
                appliance=item.appliance or text.appliance,
                position=item.position,
                paths=item.paths,
                level=item.level,
                times=item.times,
                truth=item.truth,
                options=item.options,
                regions=item.regions,
            )
        )
    return Plan(
        text.id,
        text.number,
        text.title,
        text.reader,
        text.summary,
        text.seed,
        text.appliance,
        tuple(blocks),
        text.after,
        text.aims,
    )


def _check_after(own: str, after: Iterable[str], path: Path) -> None:
    """Refuse a workbook that comes before this one and that there is not."""
    known = [each.stem for each in files_in(path.resolve().parents[1], path.parent.name) if each.stem != own]
    for name in after:
        if name not in known:
            raise ScenarioError(
                f"there is no workbook '{name}' to come before this one",
                where=f"{path.name}: after",
                remedy=f"choose one of {', '.join(known) or 'none'}",
            )


def _check_options(options: Iterable[str], kinds: Sequence[Kind], where: str) -> None:
    """Refuse an option that none of the kinds in a block reads."""
    known = sorted({option for kind in kinds for option in options_of(kind)})
    for option in options:
        if option not in known:
            near = get_close_matches(option, known, n=1)
            hint = f"did you mean '{near[0]}'" if near else f"the options here are {', '.join(known) or 'none'}"
            raise ScenarioError(f"no question here has the option '{option}'", where=f"{where}.options", remedy=hint)


def load_plans(folder: Path, words: Words | None = None) -> tuple[Plan, ...]:
    """Every plan that a ``scenarios`` folder builds, in order of number.

    Of somebody's own folder these are the plans in it, unless it says that those it lies over are built too.
    """
    own = own_folder(folder)
    paths = sorted((folder / PLANS).glob("*.toml")) if own and own.workbooks == OWN else files_in(folder, PLANS)
    plans = sorted((load_plan(path, words) for path in paths), key=lambda plan: plan.number)
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

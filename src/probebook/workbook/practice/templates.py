"""The asks of plans as templates of fresh questions.

Templates are the asks of all plans whose marking sheets are at hand: the sheets say which outcome each served and how
hard it was.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING

from probebook.learning.choosing import Options, Template
from probebook.questions.model import Kind
from probebook.regions import DEFAULT_REGION

if TYPE_CHECKING:
    from probebook.questions.codec import Sheet
    from probebook.workbook.build.plan import Plan

__all__ = ["templates_of"]


def templates_of(plans: Iterable[Plan], sheets: Mapping[str, Sheet]) -> tuple[Template, ...]:
    """Every question that the sheets hold, as a template; plans and sheets that do not belong together are left out."""
    found: list[Template] = []
    for plan in plans:
        sheet = sheets.get(plan.stem)
        region = str(sheet.meta.get("region", DEFAULT_REGION)) if sheet else DEFAULT_REGION
        asks = list(_asks(plan, region))
        if sheet is None or [kind for kind, *_ in asks] != [question.kind for question in sheet.questions]:
            continue
        for (kind, level, appliance, is_case, options), question in zip(asks, sheet.questions, strict=True):
            found.append(
                Template(
                    workbook=plan.stem,
                    question=question.id,
                    kind=kind,
                    outcome=question.outcome,
                    level=level,
                    appliance=appliance,
                    difficulty=question.difficulty,
                    case=is_case,
                    options=options,
                )
            )
    return tuple(found)


def _asks(plan: Plan, region: str) -> Iterator[tuple[Kind, int, str, bool, Options]]:
    for block in plan.blocks_in(region):
        if block.worked:
            continue  # worked out, and asked of nobody
        kinds = [block.ask] * block.times if block.ask else list(block.asks)
        for kind in kinds:
            if kind is not None:
                yield kind, block.level, block.appliance, bool(block.case), block.options or {}

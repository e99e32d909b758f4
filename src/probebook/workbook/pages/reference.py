"""The reference sheet: one page of formulas, usual ohms, limits and the order of isolating, worked out for a region."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from probebook.appliances.model import BranchKind
from probebook.questions.procedure_files import load_procedures
from probebook.questions.procedures import ProcedureFacts
from probebook.regions.facts import region_fields
from probebook.words import Phrase
from probebook.workbook.pages.reference_facts import (
    CONCESSIONS,
    MOST_OHMS,
    ROLES,
    SHARES,
    VOLTS,
    LeastRow,
    MostRow,
    RuleNamed,
    Seen,
    ShareRow,
    SheetTexts,
    StepLine,
    UsualRow,
    VoltsRow,
)

if TYPE_CHECKING:
    from probebook.cases.library import Library
    from probebook.regions.limits import Limit

__all__ = ["reference_page", "usual_rows"]

#: Elements of fewer watts (W) are left out: lamps and warming elements are no use to compare with.
LEAST_WATTS = 200.0
#: The power input is told as a part of the rating, from a rating (W) to which the general row of the rule applies.
RATED = 1000.0


def reference_page(library: Library, reader: str) -> str:
    """The sheet as Markdown: what an apprentice needs at the bench, or an owner with a report in hand."""
    known = region_fields(library.region, library.words)
    texts = SheetTexts(**{name: known[name] for name in SheetTexts.__dataclass_fields__})

    def said(key: str) -> str:
        return library.words.say(texts, key).strip()

    usual = "\n".join([said("usual-heads"), *(_usual(library, row) for row in usual_rows(library))])
    limits = "\n".join([said("limit-heads"), *_limits(library)])
    parts = [said("head"), said("sums"), said("usual"), usual]
    if reader == "owner":
        look = [said("owner-look"), _steps(library, "owner-look")]
        parts += [said("limits-owner"), limits, said("cannot-owner"), *look, said("stop-owner")]
    else:
        parts += [said("limits"), limits, said("isolate"), said("fixed"), _steps(library, "isolate-fixed", "cover")]
        parts += [said("plug"), _steps(library, "isolate-plug", "cover"), said("cannot")]
    return "\n\n".join(parts)


def usual_rows(library: Library) -> list[UsualRow]:
    """What the heating elements of the library take and read at the region's volts, by rating.

    Cold ohms are those hot times what the alloys of the elements of that rating have cold.
    """
    volts = library.region.supply.nominal
    shares: dict[float, list[float]] = {}
    for name in library.appliance_ids:
        for branch in library.appliance(name).branches:
            if branch.kind is BranchKind.ELEMENT and branch.watts >= LEAST_WATTS:
                shares.setdefault(branch.watts, []).append(branch.cold_ohms / branch.hot_ohms)
    rows = []
    for watts in sorted(shares):
        hot = volts**2 / watts
        rows.append(UsualRow(watts, watts / volts, hot, hot * min(shares[watts]), hot * max(shares[watts])))
    return rows


def _usual(library: Library, row: UsualRow) -> Phrase:
    is_one = f"{row.least:.1f}" == f"{row.most:.1f}"
    return library.words.say(row, "usual-one" if is_one else "usual")


def _limits(library: Library) -> Iterator[Phrase]:
    region, words = library.region, library.words
    for name in ROLES:
        kind, _, rest = name.partition("-")
        role = name if name in SHARES else f"{kind}.{rest}"
        is_borrowed = role in region.borrowed
        if (name in SHARES or region.has(role)) and not (is_borrowed and name in CONCESSIONS):
            limit = region.rule(role, watts=RATED)
            seen: Seen = "borrowed" if is_borrowed else "seen" if limit.status == "seen" else "reported"
            rule = words.say(RuleNamed(words.noun(limit.rule), seen), "rule")
            yield words.say(_row(name, limit, rule), name)


def _row(name: str, limit: Limit, rule: Phrase) -> ShareRow | VoltsRow | MostRow | LeastRow:
    if name in SHARES:
        return ShareRow(rule, limit.low / RATED, limit.high / RATED)
    if name in VOLTS:
        return VoltsRow(rule, limit.low, limit.high)
    return MostRow(rule, limit.high) if name in MOST_OHMS else LeastRow(rule, limit.low)


def _steps(library: Library, procedure: str, last: str = "") -> str:
    """The steps of a procedure in the order of its file, which is a right one, up to the step ``last``."""
    words = library.words
    facts = ProcedureFacts(**region_fields(library.region, words), appliance=words.noun("appliance"))
    found = next(item for item in load_procedures(library.folder, words) if item.id == procedure)
    ids = [step.id for step in found.steps]
    told = found.steps[: ids.index(last) + 1] if last in ids else found.steps
    texts = [words.say_text(facts, step.text, procedure) for step in told]
    return "\n".join(words.say(StepLine(place, text), "step") for place, text in enumerate(texts, start=1))

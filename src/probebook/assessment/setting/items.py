"""One item drawn for one learner: appliance, case, question, neutral ids. The same name draws the same item."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from probebook.assessment.model import Item, Row
from probebook.assessment.setting.neutral import neutral
from probebook.bench.table.readings import fits_a_table
from probebook.cases.seeds import stream
from probebook.errors import ProbebookError, ScenarioError
from probebook.questions.frame import Ask
from probebook.questions.model import REWORDED, Kind

if TYPE_CHECKING:
    from probebook.cases.library import Library
    from probebook.cases.model import Case
    from probebook.workbook.pages.prompts import Page

__all__ = ["Drawn", "draw_item", "inlined", "name_of_text"]

#: Draws of an appliance, a case and a question before a row is given up.
DRAWS = 60
#: A bench in a paper runs from a table, which holds instruments that err alike in every reading.
STEADY = {"steady": True}
#: Kinds that always ask about a case that is read before them.
OF_CASES = frozenset({Kind.FAULT, Kind.RECORD})


@dataclass(frozen=True, slots=True)
class Drawn:
    """An item as it was drawn, the appliance it is about, and what must not stand twice in a class.

    ``text`` names the wording, whatever its order; ``case`` the case, empty for none.
    """

    item: Item
    appliance: str
    text: str
    case: str


def draw_item(row: Row, item_id: str, name: str, library: Library) -> Drawn:
    """Draw an item of a row.

    Parameters
    ----------
    row, item_id
        What it must meet, and its id in the paper.
    name
        Names every draw; nobody who lacks the tutor's secret can guess it.
    library
        The trade.

    Raises
    ------
    ScenarioError
        No draw met the row; the sentence says why the last did not.
    """
    reason = "no draw was fair"
    appliances = row.appliances or _appliances(row, library)
    for draw in range(DRAWS):
        rng = stream("assessment", name, draw)
        appliance = appliances[rng.randrange(len(appliances))]
        try:
            drawn = _draw(row, item_id, f"{name}/{draw}", appliance, library)
        except ProbebookError as error:
            reason = error.message
            continue
        if drawn.item.question.outcome == row.outcome:
            return drawn
        reason = f"its questions teach '{drawn.item.question.outcome}'"
    raise ScenarioError(
        f"no {row.kind} question for '{row.outcome}' was found in {DRAWS} draws ({reason})",
        remedy="change its options, level, outcome or appliances",
    )


def _appliances(row: Row, library: Library) -> tuple[str, ...]:
    """What a row that names no appliance draws from."""
    if row.kind is not Kind.BENCH:
        return library.appliance_ids
    return tuple(name for name in library.appliance_ids if fits_a_table(library.appliance(name)))


def _draw(row: Row, item_id: str, name: str, appliance: str, library: Library) -> Drawn:
    from probebook.learning.difficulty import rated_question

    case, before = None, ""
    if row.case or row.kind in OF_CASES:
        from probebook.cases.generate import make_case

        case = make_case(library, appliance, f"{name}/case", row.level)
        before = _case_text(case, library, item_id)
    options = {**row.options, **STEADY} if row.kind is Kind.BENCH else row.options
    ask = Ask(item_id, row.kind, name, row.level, appliance, options, case)
    question = rated_question(ask, library)
    plain, names = neutral(question, row.marks, stream("assessment", name, "places"))
    shown = replace(plain, case=_digest(question.case) if question.case else "")
    item = Item(row.id, shown, before, names, appliance)
    return Drawn(item, appliance, name_of_text(item), question.case)


def _case_text(case: Case, library: Library, item_id: str) -> str:
    """The case as Markdown with its drawing in it; numbered as the item that asks about it."""
    from probebook.workbook.pages.case import case_page

    return inlined(case_page(case, library, number=int(item_id[1:])))


def inlined(page: Page) -> str:
    """The Markdown of a page with each picture in it as a data address."""
    text = page.text
    for name, forms in page.attachments().items():
        ((kind, data),) = forms.items()
        text = text.replace(f"(attachment:{name})", f"(data:{kind};base64,{data})")
    return text


def name_of_text(item: Item) -> str:
    """Names what a learner reads of an item: options in another order, or in other wordings, make no other text."""
    plain = item.question.kind not in REWORDED
    fields = [[f.label, sorted(option.text for option in f.options if plain)] for f in item.question.fields]
    told = [item.before, item.question.prompt, fields]
    return _digest(json.dumps(told, ensure_ascii=False))


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:16]

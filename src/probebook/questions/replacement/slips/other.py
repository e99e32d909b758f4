"""Lines for other parts, which a wrong conclusion would order."""

from __future__ import annotations

from collections.abc import Iterator

from probebook.appliances import Appliance, Part, PartKind
from probebook.appliances.naming import part_noun
from probebook.cases.generate import case_meters
from probebook.cases.library import Library
from probebook.cases.model import Case
from probebook.diagnosis import posterior
from probebook.questions.misreadings.slips import misreadings
from probebook.questions.replacement.facts import why
from probebook.questions.replacement.items import part_wanted
from probebook.questions.replacement.mending import part_of
from probebook.questions.replacement.slips.line import Line, line_of
from probebook.questions.replacement.stock import Stock

__all__ = ["SPARES", "lines_of_other_parts"]

#: Kinds of which any part is offered beside the right one.
SPARES = (PartKind.ELEMENT, PartKind.THERMOSTAT, PartKind.CUT_OUT)


def lines_of_other_parts(
    case: Case, appliance: Appliance, library: Library, part: Part | None, source: Stock
) -> Iterator[Line]:
    """Parts for the faults that a misreading leads to, then other parts that no reading points to."""
    words = library.words
    found = posterior(appliance, case.evidence, case_meters(case, library))
    for slip in misreadings(words, case, appliance, found):
        if len(slip.faults) != 1:
            continue
        fault = appliance.fault(next(iter(slip.faults)))
        wrong = part_of(appliance, fault)
        if wrong is None or (part and wrong.mark == part.mark):
            continue
        because = words.say(why.OtherFault(words.noun(fault.title), slip.here), "other-fault")
        yield line_of(words, slip.slip, part_wanted(words, appliance, wrong, source), because)
    for spare in appliance.parts:
        if spare.kind in SPARES and (not part or spare != part):
            because = words.say(why.NotPointed(part_noun(words, spare)), "not-pointed")
            yield line_of(words, "", part_wanted(words, appliance, spare, source), because)

"""Replacement questions: which line of the stock list puts it right, by rating and fit; or that no part is wanted."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence

from probebook.appliances import Appliance, BranchKind, Fault, FaultKind, Part, PartKind
from probebook.cases.generate import case_meters
from probebook.cases.library import Library
from probebook.cases.model import Case
from probebook.cases.words import load_words, short
from probebook.diagnosis import posterior
from probebook.diagnosis.trials import place_of
from probebook.questions.difficulty import rated
from probebook.questions.frame import (
    Ask,
    Unfit,
    WrongNumber,
    WrongOption,
    choice_field,
    numeric_slips,
    option_slips,
    quantity_field,
    shuffled,
)
from probebook.questions.job_card import plate_words
from probebook.questions.misreadings import misreadings
from probebook.questions.model import Field, Option, Question, Slip
from probebook.questions.stock import Item, Stock, control_rating, part_wanted, rating_of, stock
from probebook.questions.stock_lines import LINK, Line, lines_of_its_kind

__all__ = ["build_replacement"]

#: Faults that a new part mends.
BY_PART = (
    FaultKind.OPEN,
    FaultKind.DRIFT,
    FaultKind.WRONG_PART,
    FaultKind.LEAK,
    FaultKind.STUCK_OPEN,
    FaultKind.STUCK_CLOSED,
    FaultKind.OUT_OF_CALIBRATION,
    FaultKind.SEIZED,
)
#: Wrong lines offered.
WRONG = 5
NONE = "no-part"


def build_replacement(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Build a replacement question on a case, or on one part of the appliance when there is none.

    Option of the plan: ``part``, the mark of the part to be replaced, where there is no case.

    Raises
    ------
    Unfit
        Too few slips lead to a wrong line.
    """
    source = stock(library.folder)
    case = ask.case
    appliance = library.appliance(case.appliance if case else ask.appliance)
    fault = _to_mend(case, appliance)
    part = _part(ask, appliance, fault, rng)
    right = part_wanted(appliance, part, source) if part else None
    lines = list(_wrong_lines(case, appliance, library, part, fault, source))
    chosen = _chosen(lines, right)
    key = Option(right.code if right else NONE, right.row() if right else _none(), _right(part, fault))
    options = [key, *(Option(line.id, line.text, line.why) for line in chosen)]
    target = choice_field("part", "What is to be fetched from the stores?", shuffled(options, rng), key.id, marks=2)
    wrong = [WrongOption(line.slip, line.id, line.why, critical=line.critical) for line in chosen if line.slip]
    if len(wrong) < 3:
        raise Unfit(f"only {len(wrong)} slips lead to a wrong line of the stock list")
    fields: list[Field] = [target]
    slips: list[Slip] = list(option_slips(library, target, wrong))
    second = _cold_ohms(appliance, library, part) if part and ask.level >= 2 else None
    if second:
        fields.append(second[0])
        slips += second[1]
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="part",
            level=ask.level,
            title="The right part",
            prompt=_prompt(case, appliance, part, fault, lines, source),
            fields=tuple(fields),
            slips=tuple(slips),
            explanation=_explanation(key, options, fault),
            working=f"{key.text}: {key.why}",
            competences=("C38", "C22", "C16") if part else ("C38", "C26"),
            case=case.id if case else "",
        ),
        library,
    )


def _to_mend(case: Case | None, appliance: Appliance) -> Fault | None:
    """The one fault of a case; None without a case, with nothing wrong, or with two faults."""
    if case is None:
        return None
    faults = [appliance.fault(f) for f in case.truth if appliance.fault(f).kind is not FaultKind.USER_SETTING]
    if len(faults) > 1:
        raise Unfit("two parts would have to be fetched")
    return faults[0] if faults else None


def _part(ask: Ask, appliance: Appliance, fault: Fault | None, rng: random.Random) -> Part | None:
    """The part to be replaced; None when no part is wanted."""
    if ask.case is None:
        wanted = ask.text("part")
        heaters = [p for p in appliance.parts if p.kind is PartKind.ELEMENT]
        return appliance.part(wanted) if wanted else rng.choice(heaters)
    return _part_of(appliance, fault) if fault else None


def _part_of(appliance: Appliance, fault: Fault) -> Part | None:
    if fault.kind not in BY_PART:
        return None
    mark = place_of(appliance, fault)
    return next((p for p in appliance.parts if p.mark == mark), None)


def _wrong_lines(
    case: Case | None, appliance: Appliance, library: Library, part: Part | None, fault: Fault | None, source: Stock
) -> Iterator[Line]:
    if part:
        yield from lines_of_its_kind(appliance, part, fault, source)
    if case:
        yield from _other_parts(case, appliance, library, part, source)
    if case and part:
        yield Line("", NONE, _none(), "A part has failed here: mending a connection does not cure it.")


def _other_parts(
    case: Case, appliance: Appliance, library: Library, part: Part | None, source: Stock
) -> Iterator[Line]:
    """The parts that a wrong conclusion would order."""
    meters = case_meters(case, library)
    found = posterior(appliance, case.evidence, meters)
    for slip in misreadings(case, appliance, meters, found):
        if len(slip.faults) != 1:
            continue
        fault = appliance.fault(next(iter(slip.faults)))
        wrong = _part_of(appliance, fault)
        if wrong is None or (part and wrong.mark == part.mark):
            continue
        item = part_wanted(appliance, wrong, source)
        yield Line(slip.slip, item.code, item.row(), f"That would be for {fault.title}. {slip.here}")
    for spare in appliance.parts:
        if spare.kind in (PartKind.ELEMENT, PartKind.THERMOSTAT, PartKind.CUT_OUT) and (not part or spare != part):
            item = part_wanted(appliance, spare, source)
            yield Line("", item.code, item.row(), f"The readings do not point to the {short(spare.title)}.")


def _chosen(lines: Sequence[Line], right: Item | None) -> list[Line]:
    """The first line of every slip, then others, all different."""
    chosen: list[Line] = []
    texts = {right.row()} if right else set()
    ids = {right.code} if right else {NONE}
    seen: set[str] = set()
    for again in (False, True):
        for line in lines:
            fresh = line.text not in texts and line.id not in ids
            if len(chosen) < WRONG and fresh and (again or (line.slip and line.slip not in seen)):
                chosen.append(line)
                texts.add(line.text)
                ids.add(line.id)
                seen.add(line.slip)
    return chosen


def _none() -> str:
    """No part: what is done in its place, said the same whatever the fault."""
    return "no part: remake, dry out, set right or report what was found, and test again"


def _right(part: Part | None, fault: Fault | None) -> str:
    if part:
        return "It agrees in rating with the plate and in fixing, terminals and size with the old one."
    if fault:
        return f"Here the thing to do is: {fault.mend}."
    return "Nothing has failed: no part is wanted."


def _prompt(
    case: Case | None,
    appliance: Appliance,
    part: Part | None,
    fault: Fault | None,
    lines: Sequence[Line],
    source: Stock,
) -> str:
    marks = {part.mark} if part else set()
    codes = {line.id for line in lines if line.slip}
    for p in appliance.parts:
        if p.kind in _WITH_FIT and part_wanted(appliance, p, source).code in codes:
            marks.add(p.mark)
    if case:
        marks |= {
            p.mark for p in appliance.parts if p.kind in (PartKind.ELEMENT, PartKind.THERMOSTAT, PartKind.CUT_OUT)
        }
    rows = ["| part in it | fixing | terminals | size | marking |", "| --- | --- | --- | --- | --- |"]
    for p in appliance.parts:
        if p.mark in marks and p.kind in _WITH_FIT:
            item = part_wanted(appliance, p, source)
            words = [f"{item.name} {p.mark}", item.fixing, item.terminals, item.size, _marking(appliance, p, fault)]
            rows.append(f"| {' | '.join(words)} |")
    opening = f"Go by the job card and the readings of the {appliance.title} above."
    if not case and part:
        opening = f"The {short(part.title)} of the {appliance.title} has to be replaced. {plate_words(appliance)}"
    return f"{opening} The parts in it are fitted like this:\n\n" + "\n".join(rows)


_WITH_FIT = (
    PartKind.ELEMENT,
    PartKind.LAMP,
    PartKind.NEON,
    PartKind.CUT_OUT,
    PartKind.THERMOSTAT,
    PartKind.MOTOR,
    PartKind.FUSE,
    PartKind.SELECTOR,
    PartKind.SWITCH,
    PartKind.REGULATOR,
)


def _marking(appliance: Appliance, part: Part, fault: Fault | None) -> str:
    """What can be read on the part in it: the figures of a control; of a load only where it is a wrong one."""
    if fault and fault.kind is FaultKind.WRONG_PART and place_of(appliance, fault) == part.mark:
        scale = next(c.factor for c in fault.changes)
        return rating_of(appliance, part, scale=1.0 / scale)
    if control_rating(part):
        return control_rating(part)
    loads = any(b.part == part.mark and b.watts > 0 for b in appliance.branches)
    return "worn off" if loads else rating_of(appliance, part)


def _cold_ohms(appliance: Appliance, library: Library, part: Part) -> tuple[Field, tuple[Slip, ...]] | None:
    """What the new part should read before it is wired in, for an element of one circuit."""
    loads = [b for b in appliance.branches if b.part == part.mark and b.kind is BranchKind.ELEMENT]
    if len(loads) != 1:
        return None
    load = loads[0]
    volts = appliance.plate.volts
    hot = volts**2 / load.watts
    target = quantity_field(
        "ohms",
        f"What should the new {load_words(appliance, load.name)} read on the bench, before it is wired in?",
        "ohm",
        load.cold_ohms,
        low=load.cold_ohms * (1 - load.tolerance) - 0.3,
        high=max(load.cold_ohms, hot) * (1 + load.tolerance) + 0.3,
    )
    amps = load.watts / volts
    wrong = [
        WrongNumber("amps-for-watts", amps, f"{load.watts:g} W ÷ {volts:g} V = {amps:.3g} A is its current."),
        WrongNumber("volts-times-ohms", load.watts * volts, f"{load.watts:g} W × {volts:g} V is not a resistance."),
        WrongNumber("half-voltage", hot / 4, f"The element has the whole {volts:g} V across it, not half."),
    ]
    try:
        return target, numeric_slips(library, target, wrong)
    except Unfit:
        return None


def _explanation(key: Option, options: Sequence[Option], fault: Fault | None) -> str:
    cause = f" The fault is: {fault.title}." if fault else ""
    head = f"**{key.text[:1].upper() + key.text[1:]}.**{cause} {key.why}"
    return head + "\n\n" + "\n".join(f"- Not *{_brief(option)}*: {option.why}" for option in options[1:])


def _brief(option: Option) -> str:
    """The code of a line, or the words of what is no part."""
    return option.text.partition(":")[0] if option.id in (NONE, LINK) else option.id

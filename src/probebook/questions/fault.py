"""Fault questions: which fault explains all that is known, and what rules out its best rival."""

from __future__ import annotations

import math
import random
import re
from collections.abc import Iterable, Mapping, Sequence

from probebook.appliances import Appliance
from probebook.cases.generate import case_meters
from probebook.cases.library import Library
from probebook.cases.model import Case
from probebook.cases.words import observation_line
from probebook.diagnosis import Complaint, Posterior, posterior, title_of
from probebook.diagnosis.trials import joined
from probebook.questions.difficulty import rated
from probebook.questions.frame import Ask, Unfit, WrongOption, choice_field, option_slips, shuffled
from probebook.questions.misreadings import Misreading, misreadings
from probebook.questions.model import Field, Option, Question, Slip
from probebook.questions.reasons import BRACKETS, Against, against

__all__ = ["build_fault", "option_id", "option_text"]

#: Wrong options wanted.
WRONG = 5
#: The observation that rules a rival out is this much better at it than the next best, and does it by this factor.
CLEARLY, ENOUGH = 8.0, 30.0


def option_id(faults: Iterable[str]) -> str:
    """Id of the option that names these faults."""
    return "+".join(sorted(faults)) or "nothing-wrong"


def option_text(appliance: Appliance, faults: Iterable[str]) -> str:
    """These faults as an option puts them."""
    named = sorted(faults)
    return title_of(appliance, named) if named else "nothing wrong with the appliance; it is how it was set or used"


def build_fault(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Build a fault question on a case.

    Raises
    ------
    Unfit
        There is no case, or it has too few rivals that a slip leads to.
    """
    case = ask.case
    if case is None:
        raise Unfit("a fault question is about a case")
    appliance = library.appliance(case.appliance)
    meters = case_meters(case, library)
    found = posterior(appliance, case.evidence, meters)
    row = found.row(case.truth)
    truth = found.hypotheses[row].faults
    wrong, options, figures = _options(case, appliance, library, found)
    fault = choice_field(
        "fault", "Which fault explains all of this?", shuffled(options, rng), option_id(truth), marks=3
    )
    slips: list[Slip] = list(option_slips(library, fault, wrong))
    fields = [fault]
    if case.level >= 2:
        second = _decides(case, appliance, library, found, options, rng)
        if second is not None:
            fields.append(second[0])
            slips += second[1]
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="conclude",
            level=case.level,
            title="What is wrong with it",
            prompt=(
                f"Go by the job card and the numbered readings of the {appliance.title} above. "
                "Which one explanation fits all of them?"
            ),
            fields=tuple(fields),
            slips=tuple(slips),
            explanation=_explanation(case, appliance, found, options, figures),
            working=_working(case, appliance, found),
            competences=("C24", "C25", "C26", *(("C28",) if len(truth) > 1 else ())),
            case=case.id,
        ),
        library,
        branches=len(case.evidence),
    )


def _options(
    case: Case, appliance: Appliance, library: Library, found: Posterior
) -> tuple[list[WrongOption], list[Option], dict[str, str]]:
    """The wrong options that slips lead to, all options with their reasons, and how clearly each is ruled out."""
    row = found.row(case.truth)
    truth = found.hypotheses[row].faults
    wrong: dict[frozenset[str], WrongOption] = {}
    reasons: dict[frozenset[str], Against] = {}
    telling = [i for i in case.proof.observations if i > 0]
    for slip in misreadings(case, appliance, case_meters(case, library), found):
        if len(wrong) >= WRONG or slip.faults in wrong:
            continue
        why = against(appliance, found, row, slip.faults, telling)
        if why is None or _unlike(slip.faults, truth):
            continue
        reasons[slip.faults] = why
        own = re.match(r"Reading (\d+) ", slip.here)
        quoted = against(appliance, found, row, slip.faults, [int(own[1])]) if own else why
        wrong[slip.faults] = WrongOption(slip.slip, option_id(slip.faults), _here(slip, quoted or why))
    if len(wrong) < 3:
        raise Unfit(f"only {len(wrong)} slips lead to a wrong answer here")
    for rival in (*case.rivals, ()):
        faults = frozenset(rival)
        if len(reasons) < WRONG and faults not in reasons and faults != truth and not _unlike(faults, truth):
            why = against(appliance, found, row, faults, telling)
            if why is not None:
                reasons[faults] = why
    options = [Option(option_id(truth), option_text(appliance, truth), "This alone explains every reading.")]
    options += [Option(option_id(f), option_text(appliance, f), why.sentence) for f, why in reasons.items()]
    return list(wrong.values()), options, {option_id(f): why.figure for f, why in reasons.items()}


def _here(slip: Misreading, why: Against) -> str:
    """What went wrong and what speaks against it; a reading that has just been quoted is not quoted again."""
    if not (why.again and slip.here.startswith(f"Reading {why.observation} ")):
        return f"{slip.here} {why.named}"
    told = slip.slip == "any-reading-passes" and not slip.faults
    return slip.here if told else f"{slip.here} {why.again}"


def _unlike(faults: frozenset[str], truth: frozenset[str]) -> bool:
    """Whether a rival looks out of place: two faults where one is asked for, unless it shares one with the truth."""
    return len(faults) > 1 and (len(truth) < 2 or not faults & truth)


def _decides(
    case: Case,
    appliance: Appliance,
    library: Library,
    found: Posterior,
    options: Sequence[Option],
    rng: random.Random,
) -> tuple[Field, list[Slip]] | None:
    """Which observation rules out one of the rivals, most clearly of all; None where no single one does."""
    row = found.row(case.truth)
    best: tuple[float, int, int] | None = None
    for option in options[1:]:
        faults = frozenset(option.id.split("+")) if option.id != "nothing-wrong" else frozenset()
        rival = found.row(faults)
        ratios = (found.by_observation[row] - found.by_observation[rival]).tolist()
        order = sorted(range(len(ratios)), key=lambda i: (-ratios[i], i))
        first, second = ratios[order[0]], ratios[order[1]] if len(order) > 1 else 0.0
        clear = min(first, math.log(1e6)) - max(second, 0.0)
        if first >= math.log(ENOUGH) and clear >= math.log(CLEARLY) and order[0] > 0:
            candidate = (round(clear, 6), -rival, order[0])
            best = max(best, candidate) if best else candidate
    if best is None:
        return None
    rival, key = -best[1], best[2]
    ratios = found.by_observation[row] - found.by_observation[rival]
    others = [i for i in range(len(case.evidence)) if i != key]
    rng.shuffle(others)
    shown = sorted([key, *sorted(others, key=lambda i: i != 0)[:4]])
    title = f"‘{title_of(appliance, sorted(found.hypotheses[rival].faults))}’"
    listed = [_observation(case, appliance, i, float(ratios[i]), title, i == key) for i in shown]
    target = choice_field("decides", f"Which one of these rules out {title}?", listed, f"o{key}", marks=1)
    wrong: list[WrongOption] = []
    for i in shown:
        if i == key:
            continue
        if abs(float(ratios[i])) >= math.log(2.0):
            continue
        if isinstance(case.evidence[i], Complaint):
            wrong.append(WrongOption("symptom-is-cause", "o0", f"The customer would say much the same with {title}."))
        else:
            wrong.append(WrongOption("rules-out-nothing", f"o{i}", f"Reading {i} would be the same with {title}."))
    return target, list(option_slips(library, target, wrong))


def _observation(case: Case, appliance: Appliance, i: int, ratio: float, title: str, key: bool) -> Option:
    item = case.evidence[i]
    text = observation_line(appliance, item)
    text = text[0].upper() + text[1:] if isinstance(item, Complaint) else f"reading {i}: {text}"
    if key:
        why = f"With {title} it would be different."
    elif ratio < math.log(2.0):
        why = f"It would be the same with {title}."
    else:
        why = f"It speaks against {title} as well, but far less strongly."
    return Option(f"o{i}", text, why)


def _explanation(
    case: Case, appliance: Appliance, found: Posterior, options: Sequence[Option], figures: Mapping[str, str]
) -> str:
    truth = frozenset(case.truth)
    lines = [f"**{_capital(option_text(appliance, found.hypotheses[found.row(truth)].faults))}.** {_enough(case)}"]
    lines += [f"- Not *{option.text}* ({figures[option.id]}): {option.why}" for option in options[1:]]
    for fault in sorted(truth):
        lines.append(f"What is to be done: {appliance.fault(fault).mend}.")
    return "\n\n".join(
        [lines[0], BRACKETS, "\n".join(line for line in lines[1:] if line.startswith("-")), *lines[len(options) :]]
    )


def _enough(case: Case) -> str:
    readings = [str(i) for i in case.proof.observations if i > 0]
    heard = "What the customer says and " if 0 in case.proof.observations else ""
    noun = "reading" if len(readings) == 1 else "readings"
    verb = "is" if len(readings) == 1 and not heard else "are"
    sentence = f"{heard}{noun} {joined(readings)} {verb} enough to establish it."
    return sentence[0].upper() + sentence[1:]


def _working(case: Case, appliance: Appliance, found: Posterior) -> str:
    """The observations that establish it, one a line, with what each rules out of what was left."""
    row = found.row(case.truth)
    left = [h.faults for h in sorted(found.hypotheses, key=lambda h: (-h.prior, h.name)) if len(h.faults) <= 1]
    lines: list[str] = []
    for i in case.proof.observations:
        column = found.by_observation[:, i]
        gone = [f for f in left if column[row] - column[found.row(f)] > math.log(10.0)]
        left = [f for f in left if f not in gone]
        names = [title_of(appliance, f) for f in gone]
        if len(names) > 5:
            names = [*names[:4], f"{len(names) - 4} others"]
        heard = isinstance(case.evidence[i], Complaint)
        said = "What the customer says" if heard else f"Reading {i}: {observation_line(appliance, case.evidence[i])}"
        verb = "makes less likely" if heard else "rules out"
        lines.append(f"{said}. This {f'{verb}: {joined(names)}' if names else 'bears it out'}.")
    return "\n".join(lines)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]

"""Record questions: fill in the job record of a case: what was found, the readings that belong in it, the state left.

The readings after the repair are those of the same appliance, mended, read with the same instruments.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass

from probebook.appliances import Appliance, FaultKind
from probebook.cases.generate import case_made, case_meters
from probebook.cases.library import Library
from probebook.cases.model import Case
from probebook.cases.outlook import outlook
from probebook.cases.words import observation_line
from probebook.diagnosis import Measured, Observation, posterior, title_of
from probebook.questions.difficulty import rated
from probebook.questions.frame import Ask, Unfit, WrongOption, advice, choice_field, option_slips, shuffled
from probebook.questions.misreadings import misreadings
from probebook.questions.model import Field, FieldKind, Option, Question, Slip

__all__ = ["build_record"]

#: Ways of leaving an appliance that could kill whoever uses it next.
UNSAFE = frozenset({"bypass", "left-energised", "untested-return"})


@dataclass(frozen=True, slots=True)
class _Job:
    """The case with what was done about it.

    ``done`` is whether it was mended, ``after`` the earth and insulation readings taken last.
    """

    case: Case
    appliance: Appliance
    title: str
    done: bool
    after: tuple[Measured, ...]


def build_record(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Build a record question on a case.

    Raises
    ------
    Unfit
        There is no case.
    """
    if ask.case is None:
        raise Unfit("a record is of a case")
    job = _job(ask.case, library, rng)
    parts = [
        _found(job, library, rng),
        _readings(job, library, rng),
        _state(job, library, rng),
        _told(job, library, rng),
    ]
    fields = [field for field, _ in parts]
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="record",
            level=ask.level,
            title="The job record",
            prompt=_prompt(job),
            fields=tuple(fields),
            slips=tuple(slip for _, slips in parts for slip in slips),
            explanation=_explanation(job, fields),
            working="\n".join(f"{f.label}: {_answer(f)}." for f in fields),
            competences=("C43", "C36", "C05", "C42") if job.done else ("C43", "C36", "C05", "C44"),
            case=ask.case.id,
        ),
        library,
    )


def _job(case: Case, library: Library, rng: random.Random) -> _Job:
    appliance = library.appliance(case.appliance)
    faults = [appliance.fault(f) for f in case.truth]
    real = [f for f in faults if f.kind is not FaultKind.USER_SETTING]
    outside = any(f.kind is FaultKind.LOW_SUPPLY for f in real)
    done = not outside and (not real or rng.random() < 0.55)
    mended = case_made(case, library)
    view = outlook(appliance, case_meters(case, library))
    sound = type(mended)(appliance, frozenset(), mended.spread, mended.meters, f"{mended.errors}/after")
    after = tuple(sound.take(view.trials[c]) for c in view.safety)
    title = title_of(appliance, [f.id for f in real]) if real else "no fault found in the appliance"
    return _Job(case, appliance, title, done, after if done else ())


def _prompt(job: _Job) -> str:
    card = job.case.card
    opening = (
        f"Fill in the record of job {card.number} ({card.customer}, {card.premises}), going by the job card and the "
        "readings above."
    )
    if job.done:
        after = "\n".join(f"- {observation_line(job.appliance, o)}" for o in job.after)
        return (
            f"{opening} What had to be done has been done. Then, dead and with everything back in its place:\n\n{after}"
            "\n\nAfter that the supply went back, and every position was run and worked."
        )
    if _outside(job):
        return f"{opening} The cause lies outside the appliance: nothing in it was changed, and it is together again."
    return f"{opening} What has to be done must wait: what is needed for it comes in three days."


def _nothing_wrong(job: _Job) -> bool:
    return all(job.appliance.fault(f).kind is FaultKind.USER_SETTING for f in job.case.truth)


def _outside(job: _Job) -> bool:
    return any(job.appliance.fault(f).kind is FaultKind.LOW_SUPPLY for f in job.case.truth)


def _telling(job: _Job) -> list[int]:
    """Places of the readings that establish it."""
    return [i for i in job.case.proof.observations if i > 0]


def _line(job: _Job, i: int) -> str:
    return observation_line(job.appliance, job.case.evidence[i])


def _found(job: _Job, library: Library, rng: random.Random) -> tuple[Field, list[Slip]]:
    case, appliance = job.case, job.appliance
    shown = "; ".join(_line(job, i) for i in _telling(job)[:2])
    right = f"{_capital(job.title)} ({shown})"
    complaint = case.card.reported.split(". ")[0].rstrip(".")
    rows = [
        Option("fact", right, "What was found, and the readings that show it."),
        Option(
            "opinion",
            f"The {appliance.title.removeprefix('built-in ')} has seen better days; it was probably never looked after",
            "That is an impression: nobody can check it later.",
        ),
        Option("complaint", f"Customer: “{complaint}”", "That is what was reported, not what was found."),
    ]
    wrong = [
        WrongOption("opinion-for-fact", "opinion"),
        WrongOption(
            "symptom-is-cause", "complaint", "The complaint stands on the card already; here goes what you found."
        ),
    ]
    found = posterior(appliance, case.evidence, case_meters(case, library))
    for slip in misreadings(case, appliance, case_meters(case, library), found):
        if slip.slip in ("usual-suspect", "one-reading-enough", "first-fault-enough") and slip.faults:
            title = title_of(appliance, slip.faults)
            rows.append(
                Option(
                    "guess", f"{_capital(title)}, as is usual with this complaint", "The readings do not bear it out."
                )
            )
            wrong.append(WrongOption(slip.slip, "guess", slip.here))
            break
    target = choice_field("found", "What was found", shuffled(rows, rng), "fact")
    return target, list(option_slips(library, target, wrong))


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _readings(job: _Job, library: Library, rng: random.Random) -> tuple[Field, list[Slip]]:
    """Which entries belong under 'readings': with place, state and value, those that prove it and those for safety."""
    case, appliance = job.case, job.appliance
    right: list[Option] = []
    for n, i in enumerate(_telling(job)[:3]):
        right.append(Option(f"r{n + 1}", _line(job, i), "It is among those that establish the finding."))
    safety: Sequence[Observation] = job.after or [o for o in case.evidence[1:] if _is_safety(o) and _bad(o)]
    for n, item in enumerate(
        o for o in _last(safety) if f"{observation_line(appliance, o)}" not in {r.text for r in right}
    ):
        when = "at the end, " if job.done else ""
        right.append(
            Option(
                f"s{n + 1}",
                f"{when}{observation_line(appliance, item)}",
                "A safety reading always stands in the record.",
            )
        )
    wrong = [
        Option("no-value", "elements tested, all in order", "No place, no state, no number: it says nothing."),
        Option("no-place", f"meter showed {_a_value(job)}", "A number without its place cannot be checked."),
        Option("hearsay", "insulation feels fine, nothing tingled", "That is no reading, and nobody tests by touch."),
    ]
    target = Field(
        key="readings",
        kind=FieldKind.CHOICES,
        label="Which entries belong under ‘readings’? Tick all that do",
        marks=2,
        answer=[o.id for o in right],
        options=shuffled([*right, *wrong], rng),
    )
    slips = [
        Slip("opinion-for-fact", "readings", "hearsay", advice(library, "opinion-for-fact")),
        Slip("opinion-for-fact", "readings", "no-value", advice(library, "opinion-for-fact")),
    ]
    kept = [o.id for o in right if not o.id.startswith("s")]
    if kept and len(kept) < len(right):
        here = "The readings that prove the fault are there, those that prove it safe are not."
        slips.append(Slip("not-recorded", "readings", kept, advice(library, "not-recorded", here)))
    return target, slips


def _is_safety(item: Observation) -> bool:
    return isinstance(item, Measured) and item.trial.function.value in ("insulation", "continuity")


def _bad(item: Observation) -> bool:
    if not isinstance(item, Measured):
        return False
    return item.value < 1e6 if item.trial.function.value == "insulation" else item.value > 1.0


def _last(items: Sequence[Observation]) -> list[Observation]:
    """One earth and one insulation reading are enough in a list to tick: the first and the last of their sorts."""
    earth = [o for o in items if isinstance(o, Measured) and o.trial.function.value == "continuity"]
    insulation = [o for o in items if isinstance(o, Measured) and o.trial.function.value == "insulation"]
    return [*earth[:1], *insulation[-1:]]


def _a_value(job: _Job) -> str:
    shown = [o.display for o in job.case.evidence if isinstance(o, Measured)]
    return shown[-1]


def _state(job: _Job, library: Library, rng: random.Random) -> tuple[Field, list[Slip]]:
    plug = job.appliance.supply.kind == "plug"
    off = "unplugged, the plug taped up and labelled" if plug else "isolated, locked off and labelled at the isolator"
    options = [
        Option("back", "in service: earth and insulation tested, then every position run", ""),
        Option("off", f"{off}: not to be used until it is mended and tested", ""),
        Option("tried", "in service: switched on and seen to work, the cover put on afterwards", ""),
        Option("warned", "left with its supply on, with the advice to use it carefully", ""),
        Option("bridged", "in service for the time being, with the part in question bridged", ""),
        Option("found", "in service as it was found, earth and insulation good; the supply to be looked into", ""),
    ]
    if job.done:
        key, wrong = "back", [("tried", "untested-return"), ("warned", "left-energised"), ("bridged", "bypass")]
    elif _outside(job):
        key, wrong = "found", [("tried", "untested-return"), ("off", "stopped-too-soon"), ("bridged", "bypass")]
    else:
        key, wrong = "off", [("warned", "left-energised"), ("tried", "untested-return"), ("bridged", "bypass")]
    slips = dict(wrong)
    shown = [
        Option(o.id, o.text, "This is how it was left." if o.id == key else library.slips[slips[o.id]].advice)
        for o in options
        if o.id == key or o.id in slips
    ]
    if job.done and not _nothing_wrong(job):
        shown.append(Option("off", f"{off}", "It is mended and tested: the customer may use it."))
    target = choice_field("state", "State it was left in", shuffled(shown, rng), key)
    return target, list(option_slips(library, target, [WrongOption(s, o, critical=s in UNSAFE) for o, s in wrong]))


def _told(job: _Job, library: Library, rng: random.Random) -> tuple[Field, list[Slip]]:
    customer = job.case.card.customer
    if _outside(job):
        right = f"{customer}, and the supply company or a licensed electrician: low voltage, with the evidence for it"
    elif job.done and _nothing_wrong(job):
        right = f"{customer}: nothing is wrong with it, what the settings do, and the readings taken"
    elif job.done:
        right = f"{customer}: what was wrong, what was done, and that it was tested"
    else:
        right = f"{customer}: what is wrong, that it must not be used, and when it will be mended"
    rows = [
        Option("told", right, "The person concerned knows what they need to know."),
        Option("nobody", "nobody: it is all on file at the workshop", "Whoever uses it has to know how it was left."),
        Option("soothed", f"{customer}: not to worry, these things happen", "That tells them nothing they can act on."),
        Option(
            "neighbour", "whoever opened the door, in passing", "Word by way of others gets lost: the customer is told."
        ),
    ]
    wrong = [
        WrongOption("not-recorded", "nobody", "Nobody was told: the record has to name who was, and of what."),
        WrongOption("not-recorded", "soothed", "That tells them nothing: say what is so, and what they may not do."),
    ]
    target = choice_field("told", "Who was told, and what", shuffled(rows, rng), "told")
    return target, list(option_slips(library, target, wrong))


def _answer(field: Field) -> str:
    wanted = [field.answer] if isinstance(field.answer, str) else list(field.answer)
    return "; ".join(o.text for o in field.options if o.id in wanted)


def _explanation(job: _Job, fields: Sequence[Field]) -> str:
    lines = [
        "A record is there for whoever opens the file next: what was found and by which readings, how the appliance "
        "was left, and who knows.",
        *(f"- **{field.label}**: {_answer(field)}." for field in fields),
    ]
    if job.done and not _nothing_wrong(job):
        lines.append(
            "The safety readings are those after the repair: readings before it say nothing of how it was left."
        )
    return "\n\n".join([lines[0], "\n".join(lines[1:5]), *lines[5:]])

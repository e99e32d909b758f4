"""Next-test questions in words: a test as an option, how the job stands, the suspects, the ranking."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from probebook.appliances import Appliance
from probebook.cases.model import Case
from probebook.cases.words import observation_line, probes
from probebook.diagnosis import Complaint, Posterior, Setup, Trial, TrialKind, expected
from probebook.diagnosis.evidence import visible
from probebook.diagnosis.hypotheses import title_of
from probebook.diagnosis.trials import by_number, joined, place_of
from probebook.diagnosis.value import Worth
from probebook.meters import Function
from probebook.questions.frame import Ask
from probebook.questions.job_card import job_words, plate_words
from probebook.questions.next_test_wrong import NAMED, SUSPECTS

__all__ = [
    "Choice",
    "explanation_of",
    "prompt_of",
    "ranking_table",
    "splits_words",
    "suspects",
    "suspects_words",
    "test_words",
    "why",
]

#: From this level on the suspects are not listed in the question.
UNLISTED_FROM = 3


@dataclass(frozen=True, slots=True)
class Choice:
    """A test that is offered: its option id, what it is worth, its share of the best, its wrong way if it is one."""

    id: str
    worth: Worth
    share: float


_FUNCTION = {
    Function.OHMS: "Ohms",
    Function.CONTINUITY: "Low-ohms continuity",
    Function.INSULATION: "Insulation at 500 V",
}


def test_words(appliance: Appliance, trial: Trial) -> str:
    """A test as an option puts it."""
    if trial.kind is TrialKind.LOOK:
        wire = any(w.mark == trial.at for w in appliance.wires)
        return f"Look at wire {trial.at}" if wire else f"Look at the {appliance.part(trial.at).title} ({trial.at})"
    title = appliance.position(trial.position).title
    if trial.kind is TrialKind.RUN:
        return f"Everything refitted and covered: supply back, functional run at {title}"
    if trial.kind is TrialKind.RECORD:
        return f"Everything refitted and covered: supply back, heat-up record at {title}"
    words = [f"{_FUNCTION[trial.function]}, {_between(appliance, *trial.probes)}", f"controls at {title}"]
    if not trial.calling:
        words.append("thermostat turned down")
    words.append(f"{joined(sorted(trial.lifted, key=by_number))} off" if trial.lifted else "all wires on")
    if trial.dried:
        words.append("after drying it out")
    return "; ".join(words)


def _between(appliance: Appliance, a: str, b: str) -> str:
    """Where the probes are: at the supply terminals by what they are, else as a job record has it."""
    names = {appliance.line: "line", appliance.neutral: "neutral", appliance.earth: "earth"}
    if a in names and b in names:
        return f"{names[a]} to {names[b]}: {a} to {b}"
    return probes(appliance, a, b)


def prompt_of(ask: Ask, case: Case, appliance: Appliance, found: Posterior, setup: Setup) -> str:
    """The question as it is asked: the job card, what is known, how the job stands."""
    evidence = found.evidence
    parts: list[str] = []
    if ask.case:
        last = len(evidence) - 1
        known = f"only the readings numbered 1 to {last}" if last > 1 else "only reading 1" if last else "no reading"
        parts.append(f"Go back to the moment when {known} of the case above had been taken. The job card was known.")
    else:
        parts += [job_words(case.card), plate_words(appliance)]
        lines = [
            f"{number}. {observation_line(appliance, item)}"
            for number, item in enumerate((o for o in evidence if not isinstance(o, Complaint)), start=1)
        ]
        parts.append("**What is known so far**\n\n" + "\n".join(lines) if lines else "Nothing has been tested yet.")
    parts.append(_stands(appliance, setup))
    if case.level < UNLISTED_FROM:
        parts.append(suspects_words(appliance, found, shares=False))
    parts.append("Which of these is the best next test: the one that tells most for the minutes it takes?")
    return "\n\n".join(parts)


def _stands(appliance: Appliance, setup: Setup) -> str:
    """How the job stands, in a sentence."""
    covers = joined([f"the {c}" for c in sorted(setup.uncovered)]) if setup.uncovered else ""
    wires = joined(sorted(setup.lifted, key=by_number)) if setup.lifted else ""
    plug = appliance.supply.kind == "plug"
    words = ["It is unplugged and proved dead" if plug else "It is isolated, locked off and proved dead"]
    words.append(f"{covers} {'is' if len(setup.uncovered) == 1 else 'are'} off" if covers else "every cover is on")
    words.append(f"{wires} {'is' if len(setup.lifted) == 1 else 'are'} off at one end" if wires else "every wire is on")
    minutes = [f"{name} {seconds / 60:g} min" for name, seconds in appliance.covers if name not in setup.uncovered]
    times = ", ".join([*minutes, "one end of a wire 1½ min", "turning the controls ⅓ min", "a reading 1 min"])
    return f"**How the job stands.** {'; '.join(words)}. What takes time: {times}."


def suspects(found: Posterior) -> list[tuple[frozenset[str], float]]:
    """The likeliest hypotheses with their probabilities."""
    return [(h.faults, p) for h, p in found.ranked()[:SUSPECTS] if p >= NAMED]


def suspects_words(appliance: Appliance, found: Posterior, *, shares: bool) -> str:
    """What is still possible, with its share where ``shares``."""
    named = [f"{title_of(appliance, faults)}{f' {100 * p:.0f} %' if shares else ''}" for faults, p in suspects(found)]
    return f"**Still possible**, likeliest first: {'; '.join(named)}."


def why(choice: Choice, appliance: Appliance, found: Posterior) -> str:
    """What is said of a test on offer."""
    worth = choice.worth
    rate = f"{worth.bits:.2f} bits in {worth.minutes:.1f} min"
    if choice.id == "best":
        return f"It tells {rate}, more for its minutes than any other safe test now."
    if worth.bits < 0.02:
        return f"It tells next to nothing: {_alike(appliance, found, worth.trial)}"
    return f"It tells {rate}: {100 * choice.share:.0f} % of what the best test gives for its minutes."


def _alike(appliance: Appliance, found: Posterior, trial: Trial) -> str:
    shown = _shows(appliance, found, trial)
    same = len({display for _, display in shown}) == 1
    return f"whichever of the suspects it is, {shown[0][1]}." if same else "nothing in it depends on what is wrong."


def _shows(appliance: Appliance, found: Posterior, trial: Trial) -> list[tuple[str, str]]:
    """What a reading would show with each suspect: (suspect, display), likeliest first; empty for other tests."""
    if trial.kind is not TrialKind.METER:
        return []
    return [
        (title_of(appliance, faults), f"the meter would show {expected(appliance, trial, faults, found.meters).text}")
        for faults, _ in suspects(found)
    ]


def splits_words(appliance: Appliance, found: Posterior, best: Worth) -> str:
    """How the best test parts the suspects."""
    if best.trial.kind is TrialKind.LOOK:
        return _sights_words(appliance, found, best.trial.at)
    shown = _shows(appliance, found, best.trial)
    if not shown:
        return "The suspects differ in what the appliance would do, so it parts them."
    groups: dict[str, list[str]] = {}
    for name, display in shown:
        groups.setdefault(display, []).append(name)
    return " ".join(f"With {either(names)}: {display}." for display, names in groups.items())


def either(names: Sequence[str]) -> str:
    """Names of which one holds: ``a, b or c``."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} or {names[-1]}"


def _sights_words(appliance: Appliance, found: Posterior, mark: str) -> str:
    """What there would be to see at a part or wire, with which of the suspects."""
    seen: dict[str, str] = {}
    for faults, _ in suspects(found):
        here = [appliance.fault(f) for f in sorted(faults) if place_of(appliance, appliance.fault(f)) == mark]
        for fault in here:
            if visible(fault):
                seen[title_of(appliance, faults)] = visible(fault)
    told = "; ".join(f"with {name}: {what}" for name, what in seen.items())
    return f"What there would be to see: {told}; with the others nothing." if told else "It may show what is burnt."


def ranking_table(appliance: Appliance, choices: Sequence[Choice], said: dict[str, str]) -> str:
    """The tests offered as a table, best first."""
    lines = ["| test | bits | minutes | bits a minute | of the best |", "| --- | ---: | ---: | ---: | ---: |"]
    for choice in sorted(choices, key=lambda c: (-c.share, c.id)):
        worth = choice.worth
        text = said.get(choice.id) or test_words(appliance, worth.trial)
        lines.append(
            f"| {text} | {worth.bits:.2f} | {worth.minutes:.1f} | {worth.rate:.3f} | {100 * choice.share:.0f} % |"
        )
    return "\n".join(lines)


def explanation_of(appliance: Appliance, found: Posterior, best: Worth) -> str:
    """How much doubt is left, what the best test takes away of it, and how."""
    doubt = float(-np.sum(found.probabilities * np.log2(found.probabilities)))
    return (
        f"The doubt left is {doubt:.1f} bits (one bit is a choice between two things equally likely). The best test, "
        f"‘{test_words(appliance, best.trial)}’, is expected to take away {best.bits:.2f} of them in "
        f"{best.minutes:.1f} min. {splits_words(appliance, found, best)} The working ranks the safe tests on "
        "offer; isolating and proving dead are never counted as minutes lost."
    )

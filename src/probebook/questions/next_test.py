"""Next-test questions: which of these is the best next test, as the job stands now.

A test is worth the information expected of it a minute (:mod:`probebook.diagnosis.value`); the best option is the best
of *all* safe tests there are, not only of those offered. Others earn their share of its worth. Isolating and proving
dead have been done and are never part of the minutes.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from probebook.appliances import Appliance
from probebook.cases.generate import case_meters, make_case
from probebook.cases.library import Library
from probebook.cases.model import Case
from probebook.cases.words import observation_line, probes
from probebook.diagnosis import (
    ARRIVED,
    Complaint,
    Posterior,
    Setup,
    Trial,
    TrialKind,
    after,
    determined,
    expected,
    posterior,
)
from probebook.diagnosis.evidence import Evidence, trial_of
from probebook.diagnosis.hypotheses import title_of
from probebook.diagnosis.proving import Proved, proved
from probebook.diagnosis.trials import by_number, joined
from probebook.diagnosis.value import Worth, values
from probebook.drawings.schematic import schematic
from probebook.meters import Function
from probebook.questions.difficulty import rated
from probebook.questions.frame import Ask, Unfit, WrongOption, choice_field, option_slips, shuffled
from probebook.questions.job_card import job_words, plate_words
from probebook.questions.model import Option, Question
from probebook.questions.next_test_wrong import NAMED, SUSPECTS, Misstep, missteps

__all__ = ["build_next_test", "standing", "test_words"]

#: Marks of the best test.
MARKS = 3.0
#: The best test tells at least this many bits; below, the job is as good as settled.
LEAST_BITS = 0.25
#: What is offered beside the best is clearly worse: less than this share of its bits a minute.
CLEARLY = 0.80
#: A test of middling worth lies between these shares.
MIDDLING = (0.20, 0.75)
#: Options offered, the best among them.
OFFERED = 6
#: From this level on the suspects are not listed in the question.
UNLISTED_FROM = 3


@dataclass(frozen=True, slots=True)
class _Choice:
    """A test that is offered: its option id, what it is worth, its share of the best, its wrong way if it is one."""

    id: str
    worth: Worth
    share: float


def build_next_test(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Build a next-test question.

    Options of the plan: ``after`` (number of observations that are known, the complaint being the first) and ``slip``
    (a way of going wrong that has to be on offer, such as ``parallel-path``). With a case the question is about its
    first observations, else a case is made from the seed and told in the question.

    Raises
    ------
    Unfit
        The job is settled already, nothing tells enough, or too few ways of going wrong arise.
    """
    case = ask.case or make_case(library, ask.appliance, f"{ask.seed}/{ask.id}/{rng.getrandbits(32)}", ask.level)
    appliance = library.appliance(case.appliance)
    evidence = _known(ask, case, rng)
    found = posterior(appliance, evidence, case_meters(case, library), draws=1)
    if determined(found):
        raise Unfit("the job is settled already")
    setup = standing(appliance, evidence)
    ranking = values(found, setup=setup)
    if not ranking or ranking[0].bits < LEAST_BITS:
        raise Unfit("no test tells enough now")
    best = ranking[0]
    wanted = ask.text("slip")
    wrong = missteps(appliance, found, ranking, rng, is_proved=proved(appliance, evidence)[0] is Proved.GOOD)
    if wanted and all(m.slip != wanted for m in wrong):
        raise Unfit(f"the slip '{wanted}' does not arise here")
    middling = _middling(ranking, rng, 1 if any(m.slip == "parallel-path" for m in wrong) else 2)
    if not middling:
        raise Unfit("no test of middling worth is to be had")
    wrong.sort(key=lambda m: m.slip != wanted)
    return _question(ask, library, rng, case, appliance, found, setup, best, middling, wrong)


def standing(appliance: Appliance, evidence: Evidence) -> Setup:
    """How the job stands after these observations: isolated and proved dead, covers and wires as they were left."""
    setup = ARRIVED
    for observation in evidence:
        trial = trial_of(observation)
        if trial is not None:
            setup = after(appliance, trial, setup)
    return replace(setup, isolated=True)


def _known(ask: Ask, case: Case, rng: random.Random) -> Evidence:
    most = len(case.evidence) - 1
    wanted = ask.options.get("after")
    count = int(wanted) if isinstance(wanted, (int, float)) else rng.randint(1, max(1, most))
    if not 1 <= count <= most:
        raise Unfit(f"the case has no {count} observations with one to follow")
    return case.evidence[:count]


def _middling(ranking: Sequence[Worth], rng: random.Random, most: int) -> list[Worth]:
    """Tests of middling worth, of different places."""
    low, high = (share * ranking[0].rate for share in MIDDLING)
    fitting = [w for w in ranking[1:] if low <= w.rate <= high and w.trial.probes != ranking[0].trial.probes]
    rng.shuffle(fitting)
    found: list[Worth] = []
    for worth in fitting:
        if all((worth.trial.kind, worth.trial.probes, worth.trial.at) != (o.trial.kind, o.trial.probes, o.trial.at)
               for o in found):  # fmt: skip
            found.append(worth)
        if len(found) == most:
            break
    return sorted(found, key=lambda w: (-w.rate, w.trial.key))


def _question(
    ask: Ask,
    library: Library,
    rng: random.Random,
    case: Case,
    appliance: Appliance,
    found: Posterior,
    setup: Setup,
    best: Worth,
    middling: Sequence[Worth],
    wrong: Sequence[Misstep],
) -> Question:
    kept = _kept(wrong, best, OFFERED - 1 - len(middling), rng)
    choices = [_Choice("best", best, 1.0)]
    choices += [_Choice(f"other-{i}", w, w.rate / best.rate) for i, w in enumerate(middling, start=1)]
    choices += [_Choice(m.slip, m.worth, m.worth.rate / best.rate) for m in kept if m.worth is not None]
    said = {m.slip: m.text for m in kept if m.text}
    options = [
        Option(c.id, said.get(c.id) or test_words(appliance, c.worth.trial), _why(c, appliance, found)) for c in choices
    ]
    options += [Option(m.slip, m.text, m.here) for m in kept if m.worth is None]
    field = choice_field(
        "test",
        "The best next test",
        shuffled(options, rng),
        "best",
        marks=MARKS,
        partial=[(c.id, _marks(c.share)) for c in choices if c.id.startswith("other") and _marks(c.share) > 0],
    )
    slips = option_slips(
        library,
        field,
        [
            WrongOption(
                m.slip,
                m.slip,
                m.here,
                marks=0.0 if m.critical or m.worth is None else _marks(m.worth.rate / best.rate),
                critical=m.critical,
            )
            for m in kept
        ],
    )
    ranking, splits = _ranking(appliance, choices, said), _splits(appliance, found, best)
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="next-test",
            level=case.level,
            title="The best next test",
            prompt=_prompt(ask, case, appliance, found, setup),
            fields=(field,),
            slips=slips,
            explanation=_explanation(appliance, found, best),
            working="\n\n".join((_suspects_words(appliance, found, shares=True), ranking, splits)),
            competences=("C10", "C15", "C24", "C25"),
            case=case.id,
            pictures=() if ask.case else ((f"{ask.id}-schematic.svg", schematic(appliance, id_prefix=f"{ask.id}-")),),
        ),
        library,
        branches=len(_suspects(found)),
    )


def _kept(wrong: Sequence[Misstep], best: Worth, most: int, rng: random.Random) -> list[Misstep]:
    """Ways of going wrong to offer: one that is dangerous, then others, each clearly worse than the best."""
    fair = [m for m in wrong if m.worth is None or m.worth.rate < CLEARLY * best.rate]
    dangerous = [m for m in fair if m.critical][:1]
    rest = [m for m in fair if not m.critical]
    first, rest = rest[:1], rest[1:]
    rng.shuffle(rest)
    rest.sort(key=lambda m: m.slip != "parallel-path")
    rest = [*first, *rest]
    kept = [*dangerous, *rest][:most]
    if len(kept) < 3:
        raise Unfit(f"only {len(kept)} slips apply here, 3 are wanted")
    return kept


def _marks(share: float) -> float:
    """Marks for a share of the best test's worth, in halves, and never the whole."""
    return min(MARKS - 0.5, round(2.0 * MARKS * max(share, 0.0)) / 2.0)


# ---------------------------------------------------------------- words

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


def _prompt(ask: Ask, case: Case, appliance: Appliance, found: Posterior, setup: Setup) -> str:
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
        parts.append(_suspects_words(appliance, found, shares=False))
    parts.append("Which of these is the best next test: the one that tells most for the minutes it takes?")
    return "\n\n".join(parts)


def _stands(appliance: Appliance, setup: Setup) -> str:
    """How the job stands, in a sentence."""
    covers = joined([f"the {c}" for c in sorted(setup.uncovered)]) if setup.uncovered else ""
    wires = joined(sorted(setup.lifted, key=by_number)) if setup.lifted else ""
    words = ["It is isolated, locked off and proved dead"]
    words.append(f"{covers} {'is' if len(setup.uncovered) == 1 else 'are'} off" if covers else "every cover is on")
    words.append(f"{wires} {'is' if len(setup.lifted) == 1 else 'are'} off at one end" if wires else "every wire is on")
    minutes = [f"{name} {seconds / 60:g} min" for name, seconds in appliance.covers if name not in setup.uncovered]
    times = ", ".join([*minutes, "one end of a wire 1½ min", "a reading 1 min"])
    return f"**How the job stands.** {'; '.join(words)}. What takes time: {times}."


def _suspects(found: Posterior) -> list[tuple[frozenset[str], float]]:
    return [(h.faults, p) for h, p in found.ranked()[:SUSPECTS] if p >= NAMED]


def _suspects_words(appliance: Appliance, found: Posterior, *, shares: bool) -> str:
    named = [f"{title_of(appliance, faults)}{f' {100 * p:.0f} %' if shares else ''}" for faults, p in _suspects(found)]
    return f"**Still possible**, likeliest first: {'; '.join(named)}."


def _why(choice: _Choice, appliance: Appliance, found: Posterior) -> str:
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
        for faults, _ in _suspects(found)
    ]


def _splits(appliance: Appliance, found: Posterior, best: Worth) -> str:
    """How the best test parts the suspects."""
    shown = _shows(appliance, found, best.trial)
    if not shown:
        return "The suspects differ in what it would show, so it parts them."
    groups: dict[str, list[str]] = {}
    for name, display in shown:
        groups.setdefault(display, []).append(name)
    return " ".join(f"With {'; '.join(names)}: {display}." for display, names in groups.items())


def _ranking(appliance: Appliance, choices: Sequence[_Choice], said: dict[str, str]) -> str:
    """The tests offered as a table, best first."""
    lines = ["| test | bits | minutes | bits a minute | of the best |", "| --- | ---: | ---: | ---: | ---: |"]
    for choice in sorted(choices, key=lambda c: (-c.share, c.id)):
        worth = choice.worth
        text = said.get(choice.id) or test_words(appliance, worth.trial)
        lines.append(
            f"| {text} | {worth.bits:.2f} | {worth.minutes:.1f} | {worth.rate:.3f} | {100 * choice.share:.0f} % |"
        )
    return "\n".join(lines)


def _explanation(appliance: Appliance, found: Posterior, best: Worth) -> str:
    doubt = float(-np.sum(found.probabilities * np.log2(found.probabilities)))
    return (
        f"The doubt left is {doubt:.1f} bits (one bit is a choice between two things equally likely). The best test, "
        f"‘{test_words(appliance, best.trial)}’, is expected to take away {best.bits:.2f} of them in "
        f"{best.minutes:.1f} minutes. {_splits(appliance, found, best)} The working ranks the safe tests on offer; "
        "isolating and proving dead are never counted as minutes lost."
    )

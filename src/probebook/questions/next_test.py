"""Next-test questions: which of these is the best next test, as the job stands now.

A test is worth the information expected of it a minute (:mod:`probebook.diagnosis.value`); the best option is the best
of *all* safe tests there are, not only of those offered. Others earn their share of its worth. Isolating and proving
dead have been done and are never part of the minutes.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace

from probebook.appliances import Appliance
from probebook.cases.generate import case_meters, make_case
from probebook.cases.library import Library
from probebook.cases.model import Case
from probebook.diagnosis import (
    ARRIVED,
    Posterior,
    Setup,
    after,
    determined,
    posterior,
)
from probebook.diagnosis.evidence import Evidence, trial_of
from probebook.diagnosis.proving import Proved, proved
from probebook.diagnosis.value import Worth, values
from probebook.drawings.schematic import schematic
from probebook.questions.difficulty import rated
from probebook.questions.frame import Ask, Unfit, WrongOption, choice_field, option_slips, shuffled
from probebook.questions.model import Option, Question
from probebook.questions.next_test_words import (
    Choice,
    explanation_of,
    prompt_of,
    ranking_table,
    splits_words,
    suspects,
    suspects_words,
    test_words,
    why,
)
from probebook.questions.next_test_wrong import Misstep, missteps

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
    choices = [Choice("best", best, 1.0)]
    choices += [Choice(f"other-{i}", w, w.rate / best.rate) for i, w in enumerate(middling, start=1)]
    choices += [Choice(m.slip, m.worth, m.worth.rate / best.rate) for m in kept if m.worth is not None]
    said = {m.slip: m.text for m in kept if m.text}
    options = [
        Option(c.id, said.get(c.id) or test_words(appliance, c.worth.trial), why(c, appliance, found)) for c in choices
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
    ranking, splits = ranking_table(appliance, choices, said), splits_words(appliance, found, best)
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="next-test",
            level=case.level,
            title="The best next test",
            prompt=prompt_of(ask, case, appliance, found, setup),
            fields=(field,),
            slips=slips,
            explanation=explanation_of(appliance, found, best),
            working="\n\n".join((suspects_words(appliance, found, shares=True), ranking, splits)),
            competences=("C10", "C15", "C24", "C25"),
            case=case.id,
            pictures=() if ask.case else ((f"{ask.id}-schematic.svg", schematic(appliance, id_prefix=f"{ask.id}-")),),
        ),
        library,
        branches=len(suspects(found)),
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

"""Order questions: steps of a procedure to be put in order; every order that the precedence allows is right.

Options of the plan: ``form`` or ``procedure`` name a file of ``scenarios/procedures`` (``isolate-fixed``,
``return-to-service`` …; any that fits the appliance when neither is given), ``person`` draws among those for an
``apprentice``, ``owner`` or ``licensed`` person (all but owners' when not given). Level 1 asks for five steps, each
level above for one more. The steps that matter for safety are always among them; the pairs that must hold are those of
the whole procedure, also where a step between two of them is left out.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Sequence

from probebook.appliances import Appliance
from probebook.cases.kitchen import kitchen
from probebook.cases.library import Library
from probebook.questions.difficulty import rated
from probebook.questions.frame import Ask, Unfit, advice, shuffled
from probebook.questions.marking import implied_pairs
from probebook.questions.model import Field, FieldKind, Option, Question, Slip
from probebook.questions.procedures import Procedure, Step, WrongPair, load_procedures

__all__ = ["build_order", "induced", "reduced"]

#: Steps asked for at each level.
STEPS = {1: 5, 2: 6, 3: 7, 4: 8}


def induced(procedure: Procedure, steps: Iterable[str]) -> frozenset[tuple[str, str]]:
    """The pairs that must hold among some of the steps."""
    chosen = set(steps)
    return frozenset((a, b) for a, b in procedure.before if a in chosen and b in chosen)


def reduced(pairs: Iterable[tuple[str, str]]) -> tuple[tuple[str, str], ...]:
    """The fewest pairs from which the others follow, sorted; ``pairs`` must be closed under following."""
    every = frozenset(pairs)
    through = {(a, c) for a, b in every for b2, c in every if b == b2}
    return tuple(sorted(every - through))


def build_order(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Build an order question.

    Raises
    ------
    Unfit
        No procedure fits the request, or this draw leaves fewer than three pairs that teach something.
    """
    appliance = library.appliance(ask.appliance)
    procedure = rng.choice(_fitting(ask, library, appliance))
    steps = _drawn(procedure, STEPS.get(ask.level, 8), rng)
    pairs = induced(procedure, (s.id for s in steps))
    answer = _one_order(steps, pairs)
    letters = _letters(steps, rng)
    wrong = _telling(procedure.wrong, pairs)
    slips = tuple(
        Slip(
            slip=pair.slip,
            field="order",
            response=[letters[pair.later], letters[pair.earlier]],
            advice=advice(library, pair.slip, pair.here),
            critical=pair.critical,
        )
        for pair in wrong
    )
    if len({slip.slip for slip in slips}) < 3:
        raise Unfit(f"only {len(slips)} telling pairs of '{procedure.id}' were drawn")
    field = Field(
        key="order",
        kind=FieldKind.ORDER,
        label="Order",
        marks=float(len(steps) - 1) / 2 + 0.5,
        answer=[letters[step] for step in answer],
        options=shuffled([Option(letters[s.id], s.text) for s in steps], rng),
        before=tuple((letters[a], letters[b]) for a, b in reduced(pairs)),
    )
    texts = {s.id: s.text for s in steps}
    thing = kitchen(library.folder).manner(appliance).thing
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome=procedure.outcome,
            level=ask.level,
            title=procedure.title,
            prompt=(
                f"{procedure.asks.format(appliance=thing)} Some steps may stand either way round; every order that "
                "keeps what has to come first is right."
            ),
            fields=(field,),
            slips=slips,
            explanation=_explained(pairs, wrong, texts),
            working="\n".join(f"{n}. {texts[step]}" for n, step in enumerate(answer, 1)),
            competences=procedure.competences,
        ),
        library,
        branches=len(steps),
    )


def _fitting(ask: Ask, library: Library, appliance: Appliance) -> list[Procedure]:
    wanted = ask.text("procedure") or ask.text("form")
    person = ask.text("person")
    found = [
        p
        for p in load_procedures(library.folder)
        if (p.id == wanted if wanted else (p.person == person if person else p.person != "owner"))
        and p.supply in ("any", appliance.supply.kind)
    ]
    if not found:
        raise Unfit(f"no procedure '{wanted or person}' fits the {appliance.title}")
    return found


def _drawn(procedure: Procedure, count: int, rng: random.Random) -> list[Step]:
    """The steps that are always kept and enough others, in file order."""
    kept = [s for s in procedure.steps if s.keep]
    others = [s for s in procedure.steps if not s.keep]
    rng.shuffle(others)
    chosen = {s.id for s in kept} | {s.id for s in others[: max(0, count - len(kept))]}
    return [s for s in procedure.steps if s.id in chosen]


def _one_order(steps: Sequence[Step], pairs: frozenset[tuple[str, str]]) -> list[str]:
    """An order that keeps the pairs: of the steps that are free, the first of the file comes next."""
    left = [s.id for s in steps]
    order: list[str] = []
    while left:
        step = next(s for s in left if not any(b == s and a in left for a, b in pairs))
        left.remove(step)
        order.append(step)
    return order


def _letters(steps: Sequence[Step], rng: random.Random) -> dict[str, str]:
    """Ids that say nothing of the order."""
    letters = [chr(ord("a") + n) for n in range(len(steps))]
    rng.shuffle(letters)
    return dict(zip((s.id for s in steps), letters, strict=True))


def _telling(wrong: Sequence[WrongPair], pairs: frozenset[tuple[str, str]]) -> list[WrongPair]:
    """The wrong pairs among the steps drawn, less those that cannot show by themselves.

    A pair shows by itself when its steps can be the wrong way round while every other wrong pair is the right way
    round; otherwise the learner would always be told of the other one.
    """
    present = [w for w in wrong if (w.earlier, w.later) in pairs]
    kept: list[WrongPair] = []
    for pair in sorted(present, key=lambda w: not w.critical):
        tried = [*kept, pair]
        if all(_shows_alone(w, tried) for w in tried):
            kept.append(pair)
    return [w for w in present if w in kept]


def _shows_alone(pair: WrongPair, among: Sequence[WrongPair]) -> bool:
    edges = [(w.earlier, w.later) for w in among if w is not pair]
    return not any(a == b for a, b in implied_pairs([*edges, (pair.later, pair.earlier)]))


def _explained(pairs: frozenset[tuple[str, str]], wrong: Sequence[WrongPair], texts: dict[str, str]) -> str:
    steps = sorted({s for pair in pairs for s in pair})
    free = [(a, b) for n, a in enumerate(steps) for b in steps[n + 1 :] if (a, b) not in pairs and (b, a) not in pairs]
    told = ["What has to come first:", ""]
    told += [f"- ‘{texts[w.earlier]}’ before ‘{texts[w.later]}’" for w in wrong]
    if free:
        a, b = free[0]
        told += ["", f"Which of ‘{texts[a]}’ and ‘{texts[b]}’ comes first makes no difference."]
    return "\n".join(told)

"""Stop or go: may this person go on here, and what comes next; by the safety rules for that person.

Situations are data (``scenarios/procedures/situations.toml``). Options of the plan: ``form`` or ``person`` draws among
those for an ``apprentice``, ``owner`` or ``licensed`` person (apprentice and licensed when neither is given),
``situation`` names one. A situation is drawn from those up to the level asked for. Going on where one has to stop is
critical: it fails the question whatever else was right. No choice that is right leads an owner past a cover or into
live work.
"""

from __future__ import annotations

import random

from probebook.appliances import Appliance
from probebook.cases.kitchen import kitchen
from probebook.cases.library import Library
from probebook.meters import Function, read
from probebook.questions.difficulty import rated
from probebook.questions.frame import Ask, Unfit, WrongOption, choice_field, option_slips, shuffled
from probebook.questions.model import Option, Question
from probebook.questions.procedures import Choice, Situation, load_situations

__all__ = ["build_stop_or_go"]

PEOPLE = ("apprentice", "owner", "licensed")


def build_stop_or_go(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Build a stop-or-go question.

    Raises
    ------
    Unfit
        No situation fits the request.
    """
    appliance = library.appliance(ask.appliance)
    situation = rng.choice(_fitting(ask, library, appliance))
    words = {"appliance": kitchen(library.folder).manner(appliance).thing, **_readings(library, rng)}
    decision = choice_field(
        "decision",
        "Do what is proposed?",
        (Option("go", "go on: do it"), Option("stop", "stop: do not do it")),
        "go" if situation.go else "stop",
    )
    letters = ["a", "b", "c", "d", "e", "f"][: len(situation.choices)]
    rng.shuffle(letters)
    named = dict(zip(letters, situation.choices, strict=True))
    right = next(letter for letter, choice in named.items() if not choice.slip)
    following = choice_field(
        "next",
        "What you do next",
        shuffled([_option(letter, choice, words) for letter, choice in named.items()], rng),
        right,
        marks=2.0,
    )
    because = f"{situation.because[0].upper()}{situation.because[1:]}."
    wrong_way = WrongOption(
        situation.slip,
        "stop" if situation.go else "go",
        because,
        critical=situation.critical and not situation.go,
    )
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome=situation.outcome,
            level=ask.level,
            title="Stop or go?",
            prompt=f"{situation.text.format(**words)}\n\nProposed: **{situation.proposed.format(**words)}**.",
            fields=(decision, following),
            slips=(
                *option_slips(library, decision, [wrong_way]),
                *option_slips(
                    library,
                    following,
                    [
                        WrongOption(choice.slip, letter, choice.here.format(**words), critical=choice.critical)
                        for letter, choice in named.items()
                        if choice.slip
                    ],
                ),
            ),
            explanation=(
                f"{because} So {'go on' if situation.go else 'stop'}. Next: "
                f"{_lower(named[right].text.format(**words))}. {named[right].here.format(**words)}"
            ),
            working=f"{because}",
            competences=situation.competences,
        ),
        library,
    )


def _fitting(ask: Ask, library: Library, appliance: Appliance) -> list[Situation]:
    wanted = ask.text("situation")
    person = ask.text("person") or ask.text("form")
    if person and person not in PEOPLE:
        raise Unfit(f"there is no person '{person}'")
    kinds = {str(part.kind) for part in appliance.parts}
    found = [
        s
        for s in load_situations(library.folder)
        if (s.id == wanted if wanted else (s.person == person if person else s.person != "owner"))
        and s.supply in ("any", appliance.supply.kind)
        and (not s.needs or s.needs in kinds)
        and (wanted or s.level <= ask.level)
    ]
    if not found:
        raise Unfit(f"no situation '{wanted or person}' fits the {appliance.title}")
    return found


def _readings(library: Library, rng: random.Random) -> dict[str, str]:
    """Readings that a situation may quote, as the tester displays them."""
    tester = library.meter("insulation-tester")
    return {
        "insulation_bad": read(tester, Function.INSULATION, rng.uniform(0.05e6, 0.5e6)).display,
        "insulation_good": read(tester, Function.INSULATION, rng.uniform(20e6, 90e6)).display,
        "earth_bad": read(tester, Function.CONTINUITY, rng.uniform(0.6, 3.0), nulled=True).display,
        "earth_good": read(tester, Function.CONTINUITY, rng.uniform(0.02, 0.06), nulled=True).display,
    }


def _option(letter: str, choice: Choice, words: dict[str, str]) -> Option:
    return Option(letter, choice.text.format(**words), choice.here.format(**words))


def _lower(text: str) -> str:
    return f"{text[0].lower()}{text[1:]}"

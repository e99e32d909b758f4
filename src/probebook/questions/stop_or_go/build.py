"""Stop or go: may this person go on here, and what comes next; by the safety rules for that person.

Situations are data (``text/en/procedures/situations.toml``). Options of the plan: ``form`` or ``person`` draws among
those for an ``apprentice``, ``owner`` or ``licensed`` person (apprentice and licensed when neither is given),
``situation`` names one, ``outcome`` draws among those that teach it. A situation is drawn from those up to the level
asked for. Going on where one has to stop is
critical: it fails the question whatever else was right. No choice that is right leads an owner past a cover or into
live work.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from probebook.appliances import Appliance
from probebook.cases.library import Library
from probebook.questions.assembling import Form, Parts, assemble
from probebook.questions.frame import Ask, Unfit, choice_field, option_slips, shuffled
from probebook.questions.model import Effort, Option, Question
from probebook.questions.procedure_files import SITUATIONS, load_situations
from probebook.questions.procedures import Choice, Situation, SituationFacts
from probebook.questions.stop_or_go.facts import DecisionFacts, ElsewhereFacts, FormFacts, situation_facts
from probebook.questions.stop_or_go.slips import decision_slip, next_slips, out_of_turn
from probebook.words import Phrase, Words
from probebook.words.levelling import levelled

__all__ = ["build_stop_or_go"]

PEOPLE = ("apprentice", "owner", "licensed")
LETTERS = "abcdef"
#: Of the wrong choices so many are right in other situations.
BORROWED = 2
#: Two borrowed choices whose first words, so many, are the same look like a pair, and what is no pair is the key.
OPENING = 2


def build_stop_or_go(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Build a stop-or-go question.

    Raises
    ------
    Unfit
        No situation fits the request.
    """
    words = library.words
    appliance = library.appliance(ask.appliance)
    situation = _drawn(_fitting(ask, library, appliance), rng)
    said = _teller(words, situation, situation_facts(library, appliance, rng))
    form = FormFacts()
    decision = choice_field(
        "decision",
        words.say(form, "decision"),
        (Option("go", words.say(form, "go")), Option("stop", words.say(form, "stop"))),
        "go" if situation.go else "stop",
    )
    choices = _offered(situation, _borrowed(situation, library, appliance), said, words, rng)
    letters = list(LETTERS[: len(choices)])
    rng.shuffle(letters)
    named = dict(zip(letters, choices, strict=True))
    right = next(letter for letter, choice in named.items() if not choice.slip)
    told, place = f"{said(situation.text)} {said(situation.proposed)}", list(named).index(right)
    wordings = [[said(text) for text in (choice.text, choice.other) if text] for choice in named.values()]
    texts = levelled(wordings, place, rng, told)
    options = [
        Option(letter, text, said(choice.here)) for (letter, choice), text in zip(named.items(), texts, strict=True)
    ]
    following = choice_field("next", words.say(form, "next"), shuffled(options, rng), right)
    facts = DecisionFacts(
        story=said(situation.text),
        proposed=said(situation.proposed),
        because=said(situation.because),
        next=texts[place],
        here=said(named[right].here),
    )
    slips = (
        *option_slips(library, decision, [decision_slip(situation, words.say(facts, "because"))]),
        *option_slips(library, following, next_slips(named, said)),
    )
    keys = {"explanation": "explanation-go" if situation.go else "explanation-stop", "working": "because"}
    parts = Parts((decision, following), slips, Effort(steps=1))
    return assemble(ask, library, Form(situation.outcome, situation.competences), facts, parts, keys=keys)


def _drawn(fitting: Sequence[Situation], rng: random.Random) -> Situation:
    """One of the situations that fit; to go on is as often right as to stop, where there are both."""
    decisions = sorted({situation.go for situation in fitting})
    go = rng.choice(decisions)
    return rng.choice([situation for situation in fitting if situation.go == go])


def _teller(words: Words, situation: Situation, facts: SituationFacts) -> Callable[[str], Phrase]:
    return lambda template: words.say_text(facts, template, f"{SITUATIONS}: {situation.id}")


def _offered(
    situation: Situation,
    others: Mapping[Situation, int],
    said: Callable[[str], Phrase],
    words: Words,
    rng: random.Random,
) -> tuple[Choice, ...]:
    """What is offered: the right choice, wrong ones of the situation, and right ones of others that are wrong here.

    One that few borrow from is drawn more often: every right choice is to be met as a wrong one about as often. No two
    that are borrowed begin alike; where there is no second, one more of the situation's own is offered.
    """
    own = [choice for choice in situation.choices if choice.slip]
    openings = {other: _openings(other.right, said) for other in others}
    drawn: list[Situation] = []
    left = list(others)
    while left and len(drawn) < min(BORROWED, len(own)):
        drawn += rng.choices(left, [1.0 / others[s] for s in left])
        left = [s for s in left if openings[s].isdisjoint(openings[drawn[-1]])]
    here = words.say(ElsewhereFacts(said(situation.because)), "elsewhere")
    borrowed = [replace(s.right, here=here, **out_of_turn(situation, s)) for s in drawn]
    return (situation.right, *rng.sample(own, len(own) - len(borrowed)), *borrowed)


def _openings(choice: Choice, said: Callable[[str], Phrase]) -> set[tuple[str, ...]]:
    """The first words of each wording of a choice, in small letters and without their stops."""
    texts = (said(text) for text in (choice.text, choice.other) if text)
    return {tuple(word.strip(",.:;") for word in text.lower().split()[:OPENING]) for text in texts}


def _borrowed(situation: Situation, library: Library, appliance: Appliance) -> dict[Situation, int]:
    """The situations borrowed from that can be told of the appliance, and how many borrow from each."""
    known = {s.id: s for s in load_situations(library.folder, library.words)}
    times = Counter(name for s in known.values() for name in s.borrow)
    return {known[name]: times[name] for name in situation.borrow if _tells_of(known[name], library, appliance)}


def _fitting(ask: Ask, library: Library, appliance: Appliance) -> list[Situation]:
    wanted = ask.text("situation")
    person, outcome = ask.text("person") or ask.text("form"), ask.text("outcome")
    if person and person not in PEOPLE:
        raise Unfit(f"there is no person '{person}'")
    found = [
        s
        for s in load_situations(library.folder, library.words)
        if (s.id == wanted if wanted else (s.person == person if person else s.person != "owner"))
        and _tells_of(s, library, appliance)
        and (wanted or s.level <= ask.level)
        and outcome in ("", s.outcome)
    ]
    if not found:
        raise Unfit(f"no situation '{wanted or person}' fits the {appliance.title}")
    return found


def _tells_of(situation: Situation, library: Library, appliance: Appliance) -> bool:
    """Whether a situation can be one with this appliance, here."""
    return (
        library.region.is_among(situation.regions)
        and situation.supply in ("any", appliance.supply.kind)
        and (not situation.needs or situation.needs in {str(part.kind) for part in appliance.parts})
        and situation.without != appliance.id
    )

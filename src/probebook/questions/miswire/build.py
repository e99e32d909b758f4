"""Miswire questions: which connection is wrong after refitting, from readings beside those of a sound appliance."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence

from probebook.appliances import Appliance
from probebook.cases.instance import draw_instance
from probebook.cases.library import Library
from probebook.drawings import schematic
from probebook.meters import Meter, Reading, read
from probebook.questions.assembling import Form, Parts, assemble
from probebook.questions.frame import Ask, Unfit, WrongOption, choice_field, option_slips, shuffled
from probebook.questions.miswire.facts import ChecksFacts, MiswireFacts, against, connection, miswire_facts, sound_rows
from probebook.questions.miswire.refitted import Nominal, Refitted, comparing, nominal
from probebook.questions.miswire.refitting import AS_DRAWN, Check, Miswiring, ohms_of
from probebook.questions.miswire.slips import amiss_slips, wrong_connections
from probebook.questions.model import Effort, Field, FieldKind, Option, Question, Slip
from probebook.words import Words

__all__ = ["build_miswire"]

WIRES = Form("reconnect", ("C21", "C26", "C42"))
BOND = Form("reconnect", ("C33", "C34", "C36", "C42"))
#: Wrong options offered.
WRONG = 4
#: Instruments for ohms, by role, as often as they are met.
OHMMETERS = ("bench", "bench", "bench", "pocket")


def build_miswire(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Build a miswire question on the appliance of the request (or of its case).

    Level 1 draws a single wire on a wrong tag or a bond left off; from level 2 on two wires may be changed over.

    Raises
    ------
    Unfit
        The draw shows in no reading, or too few slips lead to a wrong answer.
    """
    words = library.words
    appliance = library.appliance(ask.case.appliance if ask.case else ask.appliance)
    scene = _refitted(ask, appliance, library, rng)
    wrong, offered = _offered(words, scene, rng)
    facts = miswire_facts(words, scene, offered)
    options = _options(words, scene, facts, offered)
    target = choice_field("connection", words.say(facts, "label"), shuffled(options, rng), scene.key.key)
    fields: list[Field] = [target]
    slips: list[Slip] = list(option_slips(library, target, list(wrong.values())))
    second = _amiss(scene, library) if ask.level > 1 else None
    if second is not None:
        fields.append(second[0])
        slips += second[1]
    effort = Effort(paths=len(scene.wanted), steps=len(facts.checks))
    drawn = () if ask.case else ((f"{ask.id}-schematic.svg", schematic(words, appliance, id_prefix=f"{ask.id}-")),)
    parts = Parts(tuple(fields), tuple(slips), effort, pictures=drawn)
    return assemble(ask, library, BOND if scene.key.off else WIRES, facts, parts)


# ---------------------------------------------------------------- what is drawn


def _refitted(ask: Ask, appliance: Appliance, library: Library, rng: random.Random) -> Refitted:
    table, compared = nominal(appliance), comparing(appliance)
    meters = (library.meter_for("insulation"), library.meter_for(rng.choice(OHMMETERS)))
    key = _key(table, compared.figures.bonds, rng, most=1 if ask.level < 2 else 2)
    made = draw_instance(appliance, (), meters, ask.seed, rng)
    ohms = ohms_of(appliance, key, table.wanted, made.spread)
    shown = tuple(_read(meters, c, r, rng) for c, r in zip(table.wanted, ohms, strict=True))
    scene = Refitted(appliance, compared, table.wanted, table.ohms, key, shown)
    _check_fair(scene, ohms)
    return scene


def _key(table: Nominal, bonds: float, rng: random.Random, *, most: int) -> Miswiring:
    candidates = [m for m in table.ohms if m != AS_DRAWN and len(m.moves) <= most]
    off = [m for m in candidates if m.off]
    return rng.choice(off) if off and rng.random() < bonds else rng.choice([m for m in candidates if not m.off])


def _check_fair(scene: Refitted, ohms: Sequence[float]) -> None:
    compared = scene.compared
    for check, now, then in zip(scene.wanted, ohms, scene.nominal[scene.key], strict=True):
        if not compared.alike(now, then, check.function):
            raise Unfit("a reading of this one is off its nominal")
    if not scene.amiss(scene.key):
        raise Unfit("this miswiring shows in no reading")
    close = compared.figures.close
    for check, drawn, now in zip(scene.wanted, scene.nominal[AS_DRAWN], scene.nominal[scene.key], strict=True):
        if not compared.differ(drawn, now, check.function) and not compared.alike(
            drawn, now, check.function, within=close
        ):
            raise Unfit("a reading is neither clearly as drawn nor clearly not")


def _read(meters: Sequence[Meter], check: Check, ohms: float, rng: random.Random) -> Reading:
    meter = next(m for m in meters if check.function in m.functions)
    nulled = meter.can_null and check.function.through_leads
    return read(meter, check.function, ohms, gain=rng.uniform(-1, 1), wobble=rng.uniform(-1, 1), nulled=nulled)


# ---------------------------------------------------------------- what is to be answered


def _offered(
    words: Words, scene: Refitted, rng: random.Random
) -> tuple[Mapping[Miswiring, WrongOption], list[Miswiring]]:
    """The slips by the connection they lead to, and all wrong connections offered."""
    others = [m for m in scene.nominal if m not in (scene.key, AS_DRAWN)]
    rng.shuffle(others)
    wrong = wrong_connections(words, scene, others)
    moves = len(scene.key.moves)
    spare = [m for m in others if m not in wrong and scene.apart(m) and len(m.moves) == moves and not m.off]
    return wrong, [*wrong, *spare[: WRONG - len(wrong)]]


def _options(words: Words, scene: Refitted, facts: MiswireFacts, offered: Sequence[Miswiring]) -> list[Option]:
    appliance = scene.appliance
    options = [Option(scene.key.key, facts.connection, words.say(facts, "why.right"))]
    options += [Option(m.key, connection(words, appliance, m), against(words, scene, m)) for m in offered]
    if len({o.id for o in options}) < len(options):
        raise Unfit("two options are the same")
    return options


def _amiss(scene: Refitted, library: Library) -> tuple[Field, list[Slip]] | None:
    """Which of the checks are not as drawn, allowing for tolerance and meter; None where all of them are."""
    words = library.words
    amiss = scene.amiss(scene.key)
    sound = [i for i in range(len(scene.wanted)) if i not in amiss]
    if not sound or not scene.agree(sound):
        return None
    rows = sound_rows(words, scene)
    options = [
        Option(f"c{i + 1}", words.say(row, "option"), words.say(row, "why.amiss" if i in amiss else "why.sound"))
        for i, row in enumerate(rows)
    ]
    target = Field(
        key="amiss",
        kind=FieldKind.CHOICES,
        label=words.say(ChecksFacts(), "label"),
        marks=0.0,
        answer=[f"c{i + 1}" for i in amiss],
        options=tuple(options),
    )
    return target, amiss_slips(library, scene, rows, amiss)

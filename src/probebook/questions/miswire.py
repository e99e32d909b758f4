"""Miswire questions: which connection is wrong after refitting, from readings beside those of a sound appliance."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from probebook.appliances import Appliance
from probebook.cases.generate import OHMMETERS, TESTER
from probebook.cases.library import Library
from probebook.cases.made import draw_made
from probebook.cases.words import probes
from probebook.diagnosis.trials import joined
from probebook.meters import Function, Meter, Reading, read
from probebook.questions.difficulty import rated
from probebook.questions.frame import Ask, Unfit, WrongOption, advice, choice_field, option_slips, shuffled
from probebook.questions.model import Field, FieldKind, Option, Question, Slip
from probebook.questions.refitting import AS_DRAWN, Check, Miswiring, alike, checks, differ, miswirings, ohms_of, said

__all__ = ["build_miswire"]

#: Wrong options offered.
WRONG = 4
#: Nominal readings kept of appliances met so far, by id: they depend on nothing drawn.
_NOMINAL: dict[str, dict[Miswiring, list[float]]] = {}


@dataclass(frozen=True, slots=True, eq=False)
class _Scene:
    appliance: Appliance
    wanted: tuple[Check, ...]
    nominal: dict[Miswiring, list[float]]
    key: Miswiring
    shown: tuple[Reading, ...]

    def apart(self, other: Miswiring) -> list[int]:
        """Places of the readings that tell another miswiring from the key."""
        return [
            i
            for i, c in enumerate(self.wanted)
            if differ(self.nominal[self.key][i], self.nominal[other][i], c.function)
        ]

    def amiss(self, other: Miswiring) -> list[int]:
        """Places of the readings in which a miswiring shows at all."""
        return [
            i
            for i, c in enumerate(self.wanted)
            if differ(self.nominal[AS_DRAWN][i], self.nominal[other][i], c.function)
        ]

    def same(self, other: Miswiring) -> bool:
        """Whether another miswiring may read as the key does."""
        return not self.apart(other)


def build_miswire(ask: Ask, library: Library, rng: random.Random) -> Question:
    """Build a miswire question on the appliance of the request (or of its case).

    Level 1 draws a single wire on a wrong tag or a bond left off; from level 2 on two wires may be changed over.

    Raises
    ------
    Unfit
        The draw shows in no reading, or too few slips lead to a wrong answer.
    """
    appliance = library.appliance(ask.case.appliance if ask.case else ask.appliance)
    scene = _scene(ask, appliance, library, rng)
    options, wrong = _options(scene, rng)
    connection = choice_field(
        "connection",
        "Which connection is wrong?",
        shuffled(options, rng),
        scene.key.key,
        marks=2 if ask.level > 1 else 1,
    )
    fields = [connection]
    slips: list[Slip] = list(option_slips(library, connection, wrong))
    second = _amiss(scene, library) if ask.level > 1 else None
    if second is not None:
        fields.append(second[0])
        slips += second[1]
    return rated(
        Question(
            id=ask.id,
            kind=ask.kind,
            outcome="reconnect",
            level=ask.level,
            title="After refitting",
            prompt=_prompt(scene),
            fields=tuple(fields),
            slips=tuple(slips),
            explanation=_explanation(scene, options),
            working=_working(scene),
            competences=("C33", "C34", "C36", "C42") if scene.key.off else ("C21", "C26", "C42"),
            case=ask.case.id if ask.case else "",
        ),
        library,
        branches=len(scene.wanted),
    )


def _scene(ask: Ask, appliance: Appliance, library: Library, rng: random.Random) -> _Scene:
    wanted = tuple(checks(appliance))
    if appliance.id not in _NOMINAL:
        every = [AS_DRAWN, *miswirings(appliance)]
        _NOMINAL[appliance.id] = {m: ohms_of(appliance, m, wanted) for m in every}
    nominal = _NOMINAL[appliance.id]
    meters = (library.meter(TESTER), library.meter(rng.choice(OHMMETERS)))
    most = 1 if ask.level < 2 else 2
    candidates = [m for m in nominal if m != AS_DRAWN and len(m.moves) <= most]
    bonds = [m for m in candidates if m.off]
    key = rng.choice(bonds) if bonds and rng.random() < 0.12 else rng.choice([m for m in candidates if not m.off])
    made = draw_made(appliance, (), meters, ask.seed, rng)
    ohms = ohms_of(appliance, key, wanted, made.spread)
    shown = tuple(_read(meters, c, r, rng) for c, r in zip(wanted, ohms, strict=True))
    scene = _Scene(appliance, wanted, nominal, key, shown)
    for c, now, then in zip(wanted, ohms, nominal[key], strict=True):
        if not alike(now, then, c.function):
            raise Unfit("a reading of this one is off its nominal")
    if not scene.amiss(key):
        raise Unfit("this miswiring shows in no reading")
    for c, drawn, now in zip(wanted, nominal[AS_DRAWN], nominal[key], strict=True):
        if not differ(drawn, now, c.function) and not alike(drawn, now, c.function, within=0.06):
            raise Unfit("a reading is neither clearly as drawn nor clearly not")
    return scene


def _read(meters: Sequence[Meter], check: Check, ohms: float, rng: random.Random) -> Reading:
    meter = next(m for m in meters if check.function in m.functions)
    nulled = meter.can_null and check.function.through_leads
    return read(meter, check.function, ohms, gain=rng.uniform(-1, 1), wobble=rng.uniform(-1, 1), nulled=nulled)


def _options(scene: _Scene, rng: random.Random) -> tuple[list[Option], list[WrongOption]]:
    """The key and wrong options, each wrong by a reading; and the slips that lead to them."""
    others = [m for m in scene.nominal if m not in (scene.key, AS_DRAWN)]
    rng.shuffle(others)
    told = {m: scene.apart(m) for m in others}
    wrong: dict[Miswiring, WrongOption] = {}
    if scene.apart(AS_DRAWN):
        slip = "earth-forgotten" if scene.key.off else "any-reading-passes"
        wrong[AS_DRAWN] = WrongOption(slip, AS_DRAWN.key, _why(scene, AS_DRAWN), critical=bool(scene.key.off))
    shown = set(scene.amiss(scene.key))
    marks = {wire for wire, _, _ in scene.key.moves}
    for slip, fits in (
        ("one-reading-enough", lambda m: told[m] and shown & set(scene.amiss(m)) - set(told[m])),
        ("short-ignored", lambda m: _shorts(scene, m) in told[m]),
        ("reads-the-drawing", lambda m: told[m] and (not scene.amiss(m) or marks & {w for w, _, _ in m.moves})),
    ):
        found = sorted((m for m in others if m not in wrong and fits(m)), key=lambda m: len(told[m]))
        if found:
            chosen = found[0]
            at = _shorts(scene, chosen) if slip == "short-ignored" else None
            wrong[chosen] = WrongOption(slip, chosen.key, f"{_slip_words(slip)} {_why(scene, chosen, at)}")
    if len(wrong) < 3:
        raise Unfit("too few slips lead to a wrong connection")
    spare = [m for m in others if m not in wrong and told[m] and len(m.moves) == len(scene.key.moves) and not m.off]
    extra = spare[: WRONG - len(wrong)]
    options = [Option(scene.key.key, said(scene.appliance, scene.key), "This fits every reading.")]
    options += [Option(m.key, said(scene.appliance, m), _why(scene, m)) for m in (*wrong, *extra)]
    if len({o.id for o in options}) < len(options):
        raise Unfit("two options are the same")
    return options, list(wrong.values())


def _slip_words(slip: str) -> str:
    return {
        "one-reading-enough": "That fits one of the readings, not all of them.",
        "short-ignored": "That would join line and neutral by wire alone.",
        "reads-the-drawing": "Follow on the diagram what that would join.",
    }[slip]


def _shorts(scene: _Scene, m: Miswiring) -> int | None:
    """The first check that would show line and neutral joined, None where none would."""
    ends = {scene.appliance.line, scene.appliance.neutral}
    return next((i for i, c in enumerate(scene.wanted) if set(c.probes) == ends and scene.nominal[m][i] < 1.0), None)


def _why(scene: _Scene, other: Miswiring, at: int | None = None) -> str:
    """The reading that speaks against a miswiring: that of the check ``at``, or else the first on ohms."""
    apart = scene.apart(other)
    i = at if at is not None else max(apart, key=lambda j: (scene.wanted[j].function is Function.OHMS, -j))
    return f"Check {i + 1} would then show {_about(scene, other, i)}; it shows {scene.shown[i].display}."


def _about(scene: _Scene, m: Miswiring, i: int) -> str:
    ohms = scene.nominal[m][i]
    if scene.wanted[i].function is Function.INSULATION:
        return "a path of next to no resistance" if ohms < 1e6 else "many megohms"
    if np.isinf(ohms):
        return "OL"
    return f"about {ohms:.1f} Ω" if ohms >= 0.05 else "about 0 Ω"


def _prompt(scene: _Scene) -> str:
    appliance = scene.appliance
    lines = [
        "| check | controls | probes | function | as drawn, about | now |",
        "| --- | --- | --- | --- | --- | --- |",
    ]
    for i, (c, shown) in enumerate(zip(scene.wanted, scene.shown, strict=True)):
        title = appliance.position(c.position).title
        where = probes(appliance, *c.probes)
        lines.append(
            f"| {i + 1} | {title} | {where} | {_dial(c.function)} | {_sound(scene, i)} | **{shown.display}** |"
        )
    return (
        f"The {appliance.title} has been put together again after a repair. It is isolated and proved dead, every part "
        "is known to be sound, and one connection (or one pair changed over) may not be as the diagram has it. "
        "The checks before the supply goes back:\n\n" + "\n".join(lines)
    )


def _dial(function: Function) -> str:
    return "insulation, 500 V" if function is Function.INSULATION else function.value


def _sound(scene: _Scene, i: int) -> str:
    ohms = scene.nominal[AS_DRAWN][i]
    if scene.wanted[i].function is Function.INSULATION:
        return "over 1 MΩ"
    if scene.wanted[i].function is Function.CONTINUITY:
        return "under 0.1 Ω"
    return "OL" if np.isinf(ohms) else f"{ohms:.3g} Ω"


def _amiss(scene: _Scene, library: Library) -> tuple[Field, list[Slip]] | None:
    """Which of the checks are not as drawn, allowing for tolerance and meter; None where all of them are."""
    amiss = scene.amiss(scene.key)
    sound = [i for i in range(len(scene.wanted)) if i not in amiss]
    if not sound or any(
        not alike(scene.nominal[AS_DRAWN][i], scene.nominal[scene.key][i], scene.wanted[i].function) for i in sound
    ):
        return None
    target = Field(
        key="amiss",
        kind=FieldKind.CHOICES,
        label="Which checks are not as they should be? Allow for making tolerance and the meter",
        marks=1,
        answer=[f"c{i + 1}" for i in amiss],
        options=tuple(
            Option(
                f"c{i + 1}",
                f"check {i + 1}: {scene.shown[i].display}",
                f"As drawn it would be {_sound(scene, i)}: "
                + ("that is another reading." if i in amiss else "that agrees."),
            )
            for i in range(len(scene.wanted))
        ),
    )
    near = [i for i in sound if scene.wanted[i].function is Function.OHMS and np.isfinite(scene.shown[i].value)]
    slips: list[Slip] = []
    if near:
        worst = max(near, key=lambda i: abs(scene.shown[i].value - scene.nominal[AS_DRAWN][i]))
        here = f"Check {worst + 1} shows {scene.shown[worst].display} for {_sound(scene, worst)}: within tolerance."
        slips.append(Slip("exact-match", "amiss", f"c{worst + 1}", advice(library, "exact-match", here)))
    missed = [i for i in amiss if np.isfinite(scene.shown[i].value)]
    if missed and len(missed) < len(amiss):
        here = "Some of these show a number, and yet not the number of a sound appliance."
        left = [f"c{i + 1}" for i in amiss if i not in missed]
        slips.append(Slip("any-reading-passes", "amiss", left, advice(library, "any-reading-passes", here)))
    return target, slips


def _explanation(scene: _Scene, options: Sequence[Option]) -> str:
    amiss = scene.amiss(scene.key)
    rows = joined([str(i + 1) for i in amiss])
    noun, verb = ("Check", "is") if len(amiss) == 1 else ("Checks", "are")
    head = (
        f"**{_capital(said(scene.appliance, scene.key))}.** {noun} {rows} {verb} not as drawn, and this connection "
        "gives just these readings."
    )
    rest = "\n".join(f"- Not *{o.text}*: {o.why}" for o in options[1:])
    closing = "Put it right, check every reading again, and only then let the supply go back."
    return f"{head}\n\n{rest}\n\n{closing}"


def _working(scene: _Scene) -> str:
    return "\n".join(
        f"Check {i + 1}: as drawn {_sound(scene, i)}, with {said(scene.appliance, scene.key)} "
        f"{_about(scene, scene.key, i)}; it shows {scene.shown[i].display}."
        for i in scene.amiss(scene.key)
    )


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]

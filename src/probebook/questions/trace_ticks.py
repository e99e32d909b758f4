"""What trace questions share: ticks and their slips, and what carries current in a state."""

from __future__ import annotations

import math
import random
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from probebook.appliances import Appliance, BranchKind, PartKind, State, working
from probebook.cases.library import Library
from probebook.questions import scene as sc
from probebook.questions.frame import Ask, Unfit, advice
from probebook.questions.model import Field, FieldKind, Option, Slip

__all__ = [
    "WrongTicks",
    "begin",
    "carrying",
    "in_order",
    "listed",
    "neutral_side",
    "on_at",
    "positions",
    "tick_slips",
    "ticks_field",
    "verb",
]

#: Amperes below which a branch counts as carrying none (a neon carries about a milliampere).
NOTHING = 1e-4


@dataclass(frozen=True, slots=True)
class WrongTicks:
    """The ticks that a slip leads to, and what to say of them here."""

    slip: str
    ticks: frozenset[str]
    here: str


def ticks_field(key: str, label: str, options: Sequence[Option], right: Iterable[str], *, marks: float = 2.0) -> Field:
    """A field of ticks; Unfit when nothing would be right."""
    wanted = set(right)
    if not wanted:
        raise Unfit("nothing would be right")
    answer = [option.id for option in options if option.id in wanted]
    return Field(key=key, kind=FieldKind.CHOICES, label=label, marks=marks, answer=answer, options=tuple(options))


def tick_slips(library: Library, field: Field, wrong: Sequence[WrongTicks], *, least: int = 3) -> tuple[Slip, ...]:
    """Slips of ticks; each earns what those ticks earn by counting. Two that give the same ticks are one."""
    right, order = frozenset(field.answer), [option.id for option in field.options]
    seen = {right, frozenset[str]()}
    slips = []
    for item in wrong:
        if item.ticks in seen:
            continue
        seen.add(item.ticks)
        counted = max(len(item.ticks & right) - len(item.ticks - right), 0) / len(right)
        slips.append(
            Slip(
                slip=item.slip,
                field=field.key,
                response=[name for name in order if name in item.ticks],
                advice=advice(library, item.slip, item.here),
                marks=round(field.marks * counted, 2),
            )
        )
    if len(slips) < least:
        raise Unfit(f"only {len(slips)} slips apply here, {least} are wanted")
    return tuple(slips)


def positions(ask: Ask, appliance: Appliance, rng: random.Random) -> list[str]:
    """Names of the positions to try: the one asked for, or all in a drawn order."""
    wanted = ask.text("position")
    names = [wanted] if wanted else [p.name for p in appliance.positions]
    rng.shuffle(names)
    return names


def carrying(appliance: Appliance, state: State) -> frozenset[str]:
    """Names of all branches that carry current in a state."""
    flow = working(appliance, [state], volts=appliance.plate.volts)
    return frozenset(
        b.name for b, amps in zip(appliance.branches, flow.amps[0], strict=True) if abs(float(amps)) > NOTHING
    )


def on_at(appliance: Appliance, state: State) -> frozenset[str]:
    """Names of the loads that carry current in a state."""
    names = {b.name for b in sc.loads(appliance)}
    return carrying(appliance, state) & names


def listed(appliance: Appliance, names: Iterable[str]) -> str:
    """Branches in words: ``base element E2 and oven lamp H1``."""
    words = [sc.name(appliance, appliance.branches[appliance.branch(n)]) for n in names]
    if not words:
        return "nothing"
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def verb(names: Iterable[str], one: str, several: str) -> str:
    """The form of a verb for one name or several."""
    return one if len(set(names)) == 1 else several


def in_order(appliance: Appliance, names: Iterable[str]) -> list[str]:
    """Names in the order of the appliance's branches."""
    return sorted(names, key=appliance.branch)


def begin(appliance: Appliance, stands: str = "") -> str:
    """The beginning of a prompt: which appliance, how it ``stands``, and what heat does to its contacts."""
    said = f"**{appliance.title[0].upper()}{appliance.title[1:]}.**"
    if not stands:
        return said
    closing = [b.name for b in appliance.branches if b.kind is BranchKind.CONTACT and math.isinf(b.cold_ohms)]
    guards = [p.mark for p in appliance.parts if p.kind is PartKind.CUT_OUT]
    said += f" {stands}"
    if guards:
        said += f" {' and '.join(guards)} {'has' if len(guards) == 1 else 'have'} not operated."
    if closing:
        said += f" Closed by the warmth: {', '.join(closing)}."
    return said


def neutral_side(appliance: Appliance, marks: Iterable[str], state: State) -> frozenset[str]:
    """Those of the wires that lie on the neutral side: less than half the supply above earth."""
    flow = working(appliance, [state], volts=appliance.plate.volts)
    half = appliance.plate.volts / 2
    return frozenset(
        mark for mark in marks if float(flow.volts[0, appliance.terminal(appliance.wire(mark).start)]) < half
    )

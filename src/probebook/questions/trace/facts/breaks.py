"""What stops when a wire breaks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from probebook.appliances import Appliance, State, Wire
from probebook.questions import scene as sc
from probebook.questions import situation_words as sw
from probebook.questions.trace.facts.flow import in_order, neutral_side, on_at
from probebook.questions.trace.facts.standing import names, position_noun, standing
from probebook.questions.trace.figures import figures_of
from probebook.words import Facts, Noun, Phrase, Words

__all__ = ["Break", "BreakFacts", "BreakParts", "break_facts", "explanation_of", "find_break"]


@dataclass(frozen=True)
class BreakFacts(
    Facts,
    group="questions/trace/break",
    says=(
        "title",
        "label",
        "option-none",
        "prompt",
        "explanation.forth",
        "explanation.forth-and-stays",
        "explanation.back",
        "explanation.back-and-stays",
        "explanation.nothing",
        "working.stops",
        "working.nothing",
        "here.one-wire",
        "here.break-ignored",
        "here.nearest-only",
        "here.nearest-only-another-path",
        "here.goes-for-stops",
        "here.all-for-some",
    ),
):
    """A wire that breaks in a position: what stops for it, and what goes on."""

    standing: Phrase
    controls: Phrase
    position: Noun
    wire: Noun
    mark: str
    lost: tuple[Noun, ...]
    stays: tuple[Noun, ...]
    stopped: tuple[str, ...]


@dataclass(frozen=True)
class BreakParts(Facts, group="questions/trace/break", says=("here.all-stops", "here.part-for-whole")):
    """Parts that have another path, or have none."""

    parts: tuple[Noun, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Break:
    """A wire that breaks: the loads that work before, those that are lost, and whether it is on the way back."""

    appliance: Appliance
    position: str
    wire: Wire
    on: frozenset[str]
    lost: frozenset[str]
    returns: bool

    @property
    def at_end(self) -> frozenset[str]:
        """What works and belongs to a part that the wire ends at."""
        ends = {self.wire.start.partition(".")[0], self.wire.end.partition(".")[0]}
        return frozenset(n for n in self.on if self.appliance.branches[self.appliance.branch(n)].part in ends)


def find_break(appliance: Appliance, positions: Sequence[str], wires: Sequence[Wire], *, idle: bool) -> Break | None:
    """The first position and wire of which something stops (or nothing, if ``idle``), and nothing half works.

    A wire with which every load there is stops leaves nothing to tell apart: it is taken only where it is asked for.
    """
    figures = figures_of(appliance)
    for position in positions:
        before = sc.power_in(appliance, State(position))
        on = on_at(appliance, State(position))
        if not on:
            continue
        for wire in wires:
            after = sc.power_in(appliance, State(position, lifted=frozenset({wire.mark})))
            if any(figures.stopped * before[n] < after[n] < figures.at_work * before[n] for n in on):
                continue
            lost = frozenset(n for n in on if after[n] <= figures.stopped * before[n])
            everything = len(wires) > 1 and len(lost) == len(sc.loads(appliance))
            if bool(lost) is not idle and not everything:
                returns = wire.mark in neutral_side(appliance, [wire.mark], State(position))
                return Break(appliance, position, wire, on, lost, returns)
    return None


def break_facts(words: Words, found: Break) -> BreakFacts:
    """What the sentences are told."""
    appliance, mark = found.appliance, found.wire.mark
    lost = in_order(appliance, found.lost)
    return BreakFacts(
        standing=standing(words, appliance, "warm"),
        controls=sw.controls_words(words, appliance, State(found.position)),
        position=position_noun(words, appliance, found.position),
        wire=sw.wire_words(words, appliance, mark),
        mark=mark,
        lost=names(words, appliance, lost),
        stays=names(words, appliance, in_order(appliance, found.on - found.lost)),
        stopped=tuple(lost),
    )


def explanation_of(found: Break) -> str:
    """Which sentence explains it."""
    if not found.lost:
        return "explanation.nothing"
    way = "back" if found.returns else "forth"
    return f"explanation.{way}-and-stays" if found.on - found.lost else f"explanation.{way}"

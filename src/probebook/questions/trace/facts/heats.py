"""Which parts carry current in a position."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from probebook.appliances import Appliance, Branch, BranchKind, PartKind, State
from probebook.errors import ScenarioError
from probebook.questions import scene as sc
from probebook.questions import situation_words as sw
from probebook.questions.trace.facts.flow import carrying, in_order, on_at
from probebook.questions.trace.facts.standing import names, standing
from probebook.words import Facts, Noun, Phrase, Words

__all__ = ["Heats", "HeatsFacts", "HeatsParts", "find_heats", "heats_facts"]

#: Parts whose contacts may stand among the options: what lies in the path and is no switch.
CONTROLS = (PartKind.THERMOSTAT, PartKind.CUT_OUT, PartKind.FUSE)


@dataclass(frozen=True)
class HeatsFacts(
    Facts,
    group="questions/trace/heats",
    says=("title", "label", "prompt", "explanation", "explanation-all-on", "working", "here.all-for-some"),
):
    """A position with what carries current in it and which loads do not."""

    standing: Phrase
    controls: Phrase
    on: tuple[Noun, ...]
    off: tuple[Noun, ...]
    marks: tuple[str, ...]


@dataclass(frozen=True)
class HeatsParts(
    Facts,
    group="questions/trace/heats",
    says=("here.own-contact", "here.works-too", "here.in-the-path", "here.fed-as-well"),
):
    """Parts that a learner ticks too many or too few."""

    parts: tuple[Noun, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Heats:
    """What flows where: by name, the loads that are on, the options shown, and those of them that carry current."""

    appliance: Appliance
    position: str
    on: frozenset[str]
    shown: tuple[Branch, ...]
    key: frozenset[str]

    @property
    def controls(self) -> frozenset[str]:
        """What carries current among the options and is no load."""
        return self.key - self.on


def find_heats(appliance: Appliance, positions: Sequence[str], *, with_controls: bool) -> Heats | None:
    """The first position that feeds some loads and not others (or all of a few); None where there is none.

    ScenarioError when what the file says of the position is not what the energised circuit does. Where nothing heats,
    the file speaks of a cold appliance: a warmth lamp that is still lit there is nothing against it.
    """
    loads = sc.loads(appliance)
    for position in positions:
        on = on_at(appliance, State(position))
        said = frozenset(appliance.position(position).heats)
        warm = any(appliance.branches[appliance.branch(name)].place for name in said | on)
        if said != on and (said or warm):
            raise ScenarioError(
                f"position '{position}' is said to work {_listed(said)}, but works {_listed(on)}",
                where=f"{appliance.id}: works",
                remedy="run probebook check on the file",
            )
        if on and (len(on) < len(loads) or len(loads) < 4):
            break
    else:
        return None
    shown = list(loads)
    if with_controls:
        shown += [
            b
            for b in appliance.branches
            if b.kind in (BranchKind.CONTACT, BranchKind.FUSE) and appliance.part(b.part).kind in CONTROLS
        ]
    flowing = carrying(appliance, State(position))
    return Heats(appliance, position, on, tuple(shown), frozenset(b.name for b in shown if b.name in flowing))


def _listed(names: frozenset[str]) -> str:
    return ", ".join(sorted(names)) or "nothing"


def heats_facts(words: Words, found: Heats) -> HeatsFacts:
    """What the sentences are told."""
    appliance = found.appliance
    on = in_order(appliance, found.key)
    off = [b.name for b in sc.loads(appliance) if b.name not in found.on]
    return HeatsFacts(
        standing=standing(words, appliance, "sound"),
        controls=sw.controls_words(words, appliance, State(found.position)),
        on=names(words, appliance, on),
        off=names(words, appliance, off),
        marks=tuple(on),
    )

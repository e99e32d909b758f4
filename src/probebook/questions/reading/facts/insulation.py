"""Line to earth at the volts of an insulation test: which insulations lie side by side, and what they read."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated

from probebook.appliances import Appliance, Branch, BranchKind, State
from probebook.meters import Function, Meter
from probebook.questions import scene as sc
from probebook.questions import situation_words as sw
from probebook.questions.frame import Unfit
from probebook.questions.model import Band
from probebook.words import Facts, Noun, Phrase, Words

__all__ = ["InsulationFacts", "Tested", "insulation_band", "insulation_facts", "insulation_paths", "tested_in"]


@dataclass(frozen=True, slots=True)
class Tested:
    """The insulations in circuit between line and earth, with the ohms of each path by name and of all together."""

    scene: sc.Scene
    own: Mapping[str, float]
    paths: tuple[Branch, ...]
    total: float

    @property
    def smallest(self) -> float:
        """The fewest ohms of any path in circuit."""
        return min(self.own[b.name] for b in self.paths)


@dataclass(frozen=True)
class InsulationFacts(
    Facts,
    group="questions/reading/insulation",
    says=(
        "title",
        "prompt",
        "prompt-plug",
        "explanation",
        "working",
        "here.series-for-parallel",
        "here.part-for-whole",
        "here.switch-left-off",
        "here.prefix-lost",
        "here.one-over-n",
    ),
):
    """Insulations side by side; ``megohms`` are those of each path in circuit, ``total_megohms`` of all of them."""

    situation: Phrase
    rows: Phrase
    meter: Phrase
    test_volts: Annotated[float, "V"]
    a: str
    b: str
    count: int
    total: Annotated[float, "ohm"]
    series: Annotated[float, "ohm"]
    smallest: Annotated[float, "ohm"]
    megohms: tuple[Annotated[float, "Mohm"], ...]
    total_megohms: Annotated[float, "Mohm"]


@dataclass(frozen=True)
class InsulationRow(Facts, group="questions/reading/insulation", says=("row",)):
    """The insulation of one part."""

    part: Noun
    ohms: Annotated[float, "ohm"]


def insulation_paths(appliance: Appliance) -> list[Branch]:
    """All insulations to metalwork that are not perfect."""
    return [b for b in appliance.branches if b.kind is BranchKind.INSULATION and math.isfinite(b.cold_ohms)]


def tested_in(appliance: Appliance, positions: Sequence[str], own: Mapping[str, float], test_volts: float) -> Tested:
    """The first position that puts two insulations in circuit; Unfit where none does."""
    paths = insulation_paths(appliance)
    probes = (appliance.line, appliance.earth)
    for position in positions:
        scene = sc.Scene(appliance, State(position), probes, test_volts)
        values = sc.ohms_between(scene, [dict(own), *({**own, b.name: math.inf} for b in paths)])
        tested = [b for b, without in zip(paths, values[1:], strict=True) if without > values[0] * 1.005]
        if len(tested) >= 2:
            total = float(values[0])
            if not math.isclose(total, sc.parallel(own[b.name] for b in tested), rel_tol=0.002):
                raise Unfit("the insulation paths are not simply side by side")
            return Tested(scene, own, tuple(tested), total)
    raise Unfit("no position puts two insulation paths in circuit")


def insulation_band(found: Tested, meter: Meter) -> Band:
    """The readings to accept: what the meter may be out."""
    room = sc.half_width(meter, Function.INSULATION, found.total, nulled=False)
    return Band(found.total - room, found.total + room)


def insulation_facts(words: Words, found: Tested, meter: Meter) -> InsulationFacts:
    """What is told of insulations side by side."""
    appliance, scene = found.scene.appliance, found.scene
    rows = [
        words.say(InsulationRow(sw.name(words, appliance, _part_of(appliance, b)), found.own[b.name]), "row")
        for b in insulation_paths(appliance)
    ]
    return InsulationFacts(
        situation=sw.together(sw.opening(words, appliance), sw.controls_words(words, appliance, scene.state)),
        rows=Phrase("\n".join(rows)),
        meter=sw.meter_words(words, meter, Function.INSULATION, nulled=False, test_volts=scene.test_volts),
        test_volts=scene.test_volts,
        a=scene.probes[0],
        b=scene.probes[1],
        count=len(found.paths),
        total=found.total,
        series=math.fsum(found.own[b.name] for b in found.paths),
        smallest=found.smallest,
        megohms=tuple(found.own[b.name] / 1e6 for b in found.paths),
        total_megohms=found.total / 1e6,
    )


def _part_of(appliance: Appliance, path: Branch) -> Branch:
    return appliance.branches[appliance.branch(path.name.partition("~")[0])]

"""Facts about a coil of cable, against the greatest resistance of a conductor."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.meters import Conformity
from probebook.questions.verdict.facts.measurement import Measurement, accuracy_said
from probebook.regions import Region
from probebook.words import Facts, Noun, Phrase, Words

__all__ = ["Coil", "ConductorFacts", "conductor_facts"]


@dataclass(frozen=True, slots=True)
class Coil:
    """A coil: length (m), area of a conductor (m²), whether it is flexible, and whether it is read out and back."""

    length: float
    area: float
    flexible: bool
    loop: bool

    @property
    def roles(self) -> tuple[str, str]:
        """Roles of the limit that holds for it, and of the one for the other sort."""
        both = ("conductor.flexible", "conductor.stranded")
        return both if self.flexible else (both[1], both[0])


@dataclass(frozen=True)
class ConductorFacts(
    Facts,
    group="questions/verdict/conductor",
    says=(
        *("title", "prompt", "prompt-loop", "explanation", "explanation-loop", "working", "working-loop"),
        *("right.within", "right.outside", "right.cannot"),
        *("why.loop-for-single", "why.wrong-rule", "why.any-reading-passes", "why.meter-beyond-its-means"),
        *("here.loop-for-single", "here.wrong-rule", "here.any-reading-passes", "here.meter-beyond-its-means"),
    ),
):
    """A coil, what it reads, what one conductor of it has, and what is allowed.

    ``ohms`` are shown, ``one`` is one conductor, ``least`` to ``most`` by the meter's statement; ``allowed`` holds for
    it, ``other`` for the other sort; ``kilometre`` are the ohms allowed to a kilometre, ``per_kilometre`` the same.
    """

    meter: Noun
    accuracy: Phrase
    digit: Annotated[float, "ohm"]
    rule: Noun
    length: Annotated[float, "m"]
    kilometres: Annotated[float, "km"]
    area: Annotated[float, "m2"]
    flexible: bool
    shown: str
    shown_more: bool
    ohms: Annotated[float, "ohm"]
    one: Annotated[float, "ohm"]
    least: Annotated[float, "ohm"]
    most: Annotated[float, "ohm"]
    allowed: Annotated[float, "ohm"]
    other: Annotated[float, "ohm"]
    kilometre: Annotated[float, "ohm"]
    per_kilometre: Annotated[float, "ohm/km"]
    verdict: Conformity


def conductor_facts(words: Words, region: Region, coil: Coil, measured: Measurement) -> ConductorFacts:
    """What a reading says of a coil."""
    limit, other = (region.rule(role, area=coil.area, length=coil.length) for role in coil.roles)
    reading = measured.reading
    per_kilometre = limit.high / coil.length * 1000
    return ConductorFacts(
        meter=words.noun(measured.meter.title),
        accuracy=accuracy_said(words, measured),
        digit=reading.resolution,
        rule=words.noun(limit.rule.partition(",")[0]),
        length=coil.length,
        kilometres=coil.length / 1000,
        area=coil.area,
        flexible=coil.flexible,
        shown=reading.display,
        shown_more=reading.value > limit.high,
        ohms=reading.value,
        one=reading.value / (2.0 if coil.loop else 1.0),
        least=measured.low,
        most=measured.high,
        allowed=limit.high,
        other=other.high,
        kilometre=per_kilometre,
        per_kilometre=per_kilometre,
        verdict=measured.verdict.conformity,
    )

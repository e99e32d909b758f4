"""What lessons, cautions and procedures may say of a region: its words, its supply, whom to call."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Annotated, Any

from probebook.memo import memo_by_identity
from probebook.regions.region import Region
from probebook.words import Facts, Noun, Words

__all__ = ["RegionFacts", "region_facts", "region_fields"]


@dataclass(frozen=True)
class RegionFacts(Facts, group="regions/words"):
    """The usual words of a region as nouns, its supply and the rule of it, its emergency number, its name.

    ``isolation_rule`` names the law or guidance on working dead, ``probes_rule`` that on the tips of a tester;
    ``insulation_rule``, ``element_rule`` and ``earth_rule`` the rules for a class I appliance, for heating elements and
    for an earth path that takes in the supply lead, which may have ``earth_limit`` and, where ``earth_adds_lead``, the
    resistance of the lead.

    ``over`` and ``under`` are the parts by which the supply may lie above and below ``nominal``, ``plug_fuse`` whether
    plugs hold a fuse.

    A text that stands in a scenario file may use any of these as a hole: ``{{ rcd|a }}``, ``{{ nominal|g }} V``.
    """

    board: Noun
    breaker: Noun
    connection_unit: Noun
    cooker: Noun
    cut_out: Noun
    earth: Noun
    electrician: Noun
    extension: Noun
    flex: Noun
    grill: Noun
    hob: Noun
    live: Noun
    plug: Noun
    rcd: Noun
    ring: Noun
    socket: Noun
    storage_heater: Noun
    thermal_fuse: Noun
    water_heater: Noun
    country: Noun
    emergency: str
    nominal: Annotated[float, "V"]
    quoted: Annotated[float, "V"]
    over: Annotated[float, "1"]
    under: Annotated[float, "1"]
    supply_rule: Noun
    isolation_rule: Noun
    probes_rule: Noun
    insulation_rule: Noun
    insulation_limit: Annotated[float, "ohm"]
    element_rule: Noun
    element_limit: Annotated[float, "ohm"]
    earth_rule: Noun
    earth_limit: Annotated[float, "ohm"]
    earth_adds_lead: bool
    plug_fuse: bool


def region_facts(region: Region, words: Words) -> RegionFacts:
    """The facts of a region in a language."""
    return RegionFacts(**region_fields(region, words))


@memo_by_identity(16, also=1)
def region_fields(region: Region, words: Words) -> Mapping[str, Any]:
    """The same by name of field, for facts that hold those of a region and more."""
    allowed = region.rule("supply.now")
    nouns = {key.replace("-", "_"): words.adopted(noun) for key, noun in region.words.items()}
    known: dict[str, Any] = {name: nouns[name] for name in RegionFacts.__dataclass_fields__ if name in nouns}
    return MappingProxyType(
        known
        | {
            "country": words.noun(region.title),
            "emergency": region.emergency.number,
            "nominal": region.supply.nominal,
            "quoted": region.supply.quoted,
            "over": allowed.high / region.supply.nominal - 1.0,
            "under": 1.0 - allowed.low / region.supply.nominal,
            "supply_rule": words.adopted(Noun("region.supply-rule", allowed.rule)),
            "isolation_rule": words.adopted(Noun("region.isolation-rule", region.guidance.isolation)),
            "probes_rule": words.adopted(Noun("region.probes-rule", region.guidance.probes)),
            **_tests(region, words),
            "plug_fuse": region.devices.fuse is not None,
        }
    )


def _tests(region: Region, words: Words) -> dict[str, Any]:
    """What an appliance is tested by: the rules by title, without their clauses, and their figures."""
    insulation, element = region.rule("insulation.class-i"), region.rule("insulation.heating-element")
    bare, through = (region.rule("earth.through-lead", lead_ohms=ohms) for ohms in (0.0, 1.0))

    def title(role: str, rule: str) -> Noun:
        return words.adopted(Noun(f"region.{role}-rule", rule.partition(",")[0]))

    return {
        "insulation_rule": title("insulation", insulation.rule),
        "insulation_limit": insulation.low,
        "element_rule": title("element", element.rule),
        "element_limit": element.low,
        "earth_rule": title("earth", bare.rule),
        "earth_limit": bare.high,
        "earth_adds_lead": through.high > bare.high,
    }

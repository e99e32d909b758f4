"""What diagnosis takes for granted: chances, spreads, minutes and thresholds that are judgements of the trade."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Self

from probebook.assumptions import Assumed, Assumptions
from probebook.diagnosis.observing import Reckoning

__all__ = ["Chances", "DiagnosisAssumed", "Fitting", "Minutes", "Noticing", "Reckonings", "Settling", "Spreads"]


@dataclass(frozen=True)
class Chances(Assumed, table="diagnosis.chances"):
    """How often nothing or two things are wrong, and how far people and looks can be trusted."""

    nothing_wrong: Annotated[float, "1"]
    pair: Annotated[float, "1"]
    complaint_holds: Annotated[float, "1"]
    trip_untold: Annotated[float, "1"]
    run_holds: Annotated[float, "1"]
    run_misjudged: Annotated[float, "1"]
    look_finds: Annotated[float, "1"]
    look_invents: Annotated[float, "1"]


@dataclass(frozen=True)
class Spreads(Assumed, table="diagnosis.spreads"):
    """Standard deviations of ln ohms where a file gives no tolerance, and of ln of a fault's figure by its kind."""

    lamp: Annotated[float, "1"]
    motor: Annotated[float, "1"]
    contact: Annotated[float, "1"]
    wire: Annotated[float, "1"]
    insulation: Annotated[float, "1"]
    alloy: Annotated[float, "1"]
    severity: Annotated[Mapping[str, float], "1"]


@dataclass(frozen=True)
class Noticing(Assumed, table="diagnosis.noticing"):
    """What a person notices of heaters, lamps and temperatures."""

    weak: Annotated[float, "1"]
    strong: Annotated[float, "1"]
    trickle: Annotated[float, "W"]
    neon_trickle: Annotated[float, "W"]
    nothing: Annotated[float, "1"]
    enough: Annotated[float, "1"]
    held_back: Annotated[float, "1"]
    kelvins: Annotated[float, "K"]
    close: Annotated[float, "K"]


@dataclass(frozen=True)
class Minutes(Assumed, table="diagnosis.minutes"):
    """Minutes of work."""

    isolate: Annotated[float, "min"]
    restore: Annotated[float, "min"]
    lift: Annotated[float, "min"]
    probe: Annotated[float, "min"]
    set_controls: Annotated[float, "min"]
    insulation_test: Annotated[float, "min"]
    dry_out: Annotated[float, "min"]
    warm: Annotated[float, "min"]
    look: Annotated[float, "min"]
    run: Annotated[float, "min"]
    record: Annotated[float, "min"]


@dataclass(frozen=True)
class Settling(Assumed, table="diagnosis.settling"):
    """From where on something counts as settled, excluded, noticeable, worth doing."""

    determined: Annotated[float, "1"]
    runner_up: Annotated[float, "1"]
    noticeable: Annotated[float, "1"]
    excludes: Annotated[float, "1"]
    speaks: Annotated[float, "1"]
    alone: Annotated[float, "1"]
    listed: Annotated[float, "1"]
    suspect: Annotated[float, "1"]
    worthless: Annotated[float, "bit"]
    patience: Annotated[int, "1"]
    band: Annotated[float, "1"]


@dataclass(frozen=True)
class Fitting(Assumed, table="diagnosis.fitting"):
    """From where on readings count as explained by nothing, and what is then said of an element."""

    least_chance: Annotated[float, "1"]
    weighed: Annotated[float, "1"]
    most: Annotated[int, "1"]
    far: Annotated[float, "1"]
    few_ohms: Annotated[float, "ohm"]
    insulation: Annotated[float, "ohm"]
    least_element: Annotated[float, "1"]
    most_element: Annotated[float, "1"]
    round_watts: Annotated[float, "W"]
    near: Annotated[float, "1"]
    named: Annotated[int, "1"]


@dataclass(frozen=True)
class Reckonings(Assumed, table="diagnosis.reckonings"):
    """What a display tells, to value trials (fine) and to choose among hundreds of them (coarse)."""

    fine_outliers: Annotated[float, "1"]
    coarse_outliers: Annotated[float, "1"]
    apart: Annotated[float, "1"]
    good_insulation: Annotated[float, "ohm"]
    joined: Annotated[float, "ohm"]
    near_nought: Annotated[Mapping[str, float], "ohm"]

    @property
    def fine(self) -> Reckoning:
        """To value trials under a posterior."""
        return Reckoning(self.fine_outliers)

    @property
    def coarse(self) -> Reckoning:
        """To choose among hundreds of trials at once."""
        return Reckoning(
            self.coarse_outliers,
            coarse=True,
            nulled=True,
            least=self.near_nought,
            good_insulation=self.good_insulation,
            apart=self.apart,
        )


@dataclass(frozen=True, slots=True)
class DiagnosisAssumed:
    """All that diagnosis takes for granted."""

    chances: Chances
    spreads: Spreads
    noticing: Noticing
    minutes: Minutes
    settling: Settling
    fitting: Fitting
    reckonings: Reckonings

    @classmethod
    def of(cls, assumptions: Assumptions) -> Self:
        """Read it from the assumptions of a scenarios folder; ScenarioError when a figure is missing or wrong."""
        groups = (Chances, Spreads, Noticing, Minutes, Settling, Fitting, Reckonings)
        return cls(*(assumptions.get(group) for group in groups))  # type: ignore[arg-type]

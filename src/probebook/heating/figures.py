"""The figures of a heat-up record: what a person could notice or measure, from which complaints are computed."""

from __future__ import annotations

from dataclasses import dataclass

from probebook.heating.record import (
    HeatRecord,
    closings,
    cycle_period,
    duty,
    energy_kwh,
    last_cycles,
    plateau,
    settled,
    time_to,
)

__all__ = ["RecordFigures", "figures_of"]


@dataclass(frozen=True, slots=True)
class RecordFigures:
    """What a person could notice or measure, as plain numbers; ``None`` where it did not happen.

    Attributes
    ----------
    set_point
        What the knob says, °C.
    reached_set_point, time_to_set_point
        Whether and when (s) the main node first came to the set point.
    plateau, settled, off_by
        Where it runs in the end (°C), whether it has settled, and the difference from the set
        point (K).
    hottest
        The hottest that the main node became, °C.
    swing
        Highest minus lowest over the last cycles, K.
    cycles, period, duty, always_on
        How often a contact closed again, seconds a cycle, mean part of full power, whether that is all the time.
    trips, trips_at, tripped
        Whether a cut-out opened, when first (s), and its name.
    stays_off
        Whether a cut-out that is reset by hand has opened.
    boils, boils_at
        Whether water boiled and when first (s).
    heats
        Whether any power was drawn.
    energy_kwh, mean_watts
        Energy drawn, and its mean rate.
    share_above
        Part of the energy that the elements over the food drew, 0 to 1.
    food
        Temperature of the food in the end, °C.
    """

    set_point: float | None
    reached_set_point: bool | None
    time_to_set_point: float | None
    plateau: float
    settled: bool
    off_by: float | None
    hottest: float
    swing: float
    cycles: int
    period: float | None
    duty: float
    always_on: bool
    trips: bool
    trips_at: float | None
    tripped: str | None
    stays_off: bool
    boils: bool
    boils_at: float | None
    heats: bool
    energy_kwh: float
    mean_watts: float
    share_above: float | None
    food: float | None


def figures_of(record: HeatRecord) -> RecordFigures:
    """Read the figures off a record."""
    main = record.node(record.main)
    set_point = record.thermostat.set_point if record.thermostat else None
    reached = time_to(record, set_point) if set_point is not None else None
    level, part = plateau(record), duty(record)
    start, end = last_cycles(record)
    last = main[(record.times >= start) & (record.times <= end)]
    protectors = {cut_out.name: cut_out for cut_out in record.cut_outs}
    trips = [s for s in record.switchings if s.name in protectors and not s.closed]
    trip = trips[0] if trips else None
    boiling = next((s for s in record.switchings if s.name == "boiling" and s.closed), None)
    return RecordFigures(
        set_point=set_point,
        reached_set_point=None if set_point is None else reached is not None,
        time_to_set_point=reached,
        plateau=level,
        settled=settled(record),
        off_by=None if set_point is None else level - set_point,
        hottest=float(main.max()),
        swing=float(last.max() - last.min()) if last.size else 0.0,
        cycles=len(closings(record)),
        period=cycle_period(record),
        duty=part,
        always_on=part >= record.settling.always,
        trips=trip is not None,
        trips_at=trip.time if trip else None,
        tripped=trip.name if trip else None,
        stays_off=any(protectors[s.name].closes is None for s in trips),
        boils=boiling is not None,
        boils_at=boiling.time if boiling else None,
        heats=bool(record.energy[-1] > 0.0),
        energy_kwh=energy_kwh(record),
        mean_watts=_mean_watts(record),
        share_above=_share_above(record),
        food=float(record.node("food")[-1]) if "food" in record.nodes else None,
    )


def _mean_watts(record: HeatRecord) -> float:
    return float(record.energy[-1]) / float(record.times[-1]) if record.times[-1] > 0.0 else 0.0


def _share_above(record: HeatRecord) -> float | None:
    total = float(record.energy[-1])
    above = sum(record.energy_by_heater.get(name, 0.0) for name in record.above)
    return above / total if total > 0.0 and record.above else None

"""An appliance under the meter, dead, and switched on."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from probebook.appliances import OHMMETER_VOLTS, Appliance, State
from probebook.appliances.energised_states import working
from probebook.appliances.model import LOADS
from probebook.appliances.probing import check_names, probe_ohms
from probebook.appliances.protection import Trip, protection
from probebook.meters import Function, Meter, Reading, read, usual_role

if TYPE_CHECKING:
    from collections.abc import Mapping

    from probebook.cases.library import Library

__all__ = ["Energised", "Taken", "energise", "take_reading", "usual_meter"]


@dataclass(frozen=True, slots=True)
class Taken:
    """A reading that was taken.

    Attributes
    ----------
    appliance, meter
        Ids of what was measured and with what.
    state
        Position, calling, faults and lifted wires.
    probes
        The two terminals.
    ohms
        Resistance between the probe tips; ``inf`` where nothing joins them.
    shown
        What the meter shows.
    beeper_ohms
        Below this many ohms the meter's beeper sounds.
    """

    appliance: str
    meter: str
    state: State
    probes: tuple[str, str]
    ohms: float
    shown: Reading
    beeper_ohms: float

    def to_json(self) -> dict[str, Any]:
        """Return the reading as plain data; ``ohms`` may be ``inf``."""
        return {
            "appliance": self.appliance,
            "position": self.state.position,
            "calling": self.state.calling,
            "faults": sorted(self.state.faults),
            "lifted": sorted(self.state.lifted),
            "probes": list(self.probes),
            "function": str(self.shown.function),
            "meter": self.meter,
            "ohms": self.ohms,
            "display": self.shown.display,
            "beeps": self.shown.beeps,
        }


def usual_meter(library: Library, function: str | Function = Function.OHMS) -> Meter:
    """Return the instrument that people of a trade take for a function.

    Parameters
    ----------
    library
        The trade.
    function
        ``ohms``, ``continuity`` or ``insulation``.

    Raises
    ------
    UsageError
        No meter of the library has the role.

    Examples
    --------
    >>> from probebook import load_library, usual_meter
    >>> usual_meter(load_library(), "insulation").id
    'insulation-tester'
    """
    return library.meter_for(usual_role(Function(function)))


def take_reading(
    appliance: Appliance,
    probes: tuple[str, str],
    meter: Meter,
    function: str | Function = Function.OHMS,
    *,
    state: State | None = None,
    nulled: bool = False,
) -> Taken:
    """Take a reading between two terminals of an appliance that is isolated and proved dead.

    Parameters
    ----------
    appliance
        What is measured.
    probes
        Names of two terminals, such as ``("E2.1", "E2.2")``.
    meter, function
        The instrument, and what it is set to: ``ohms``, ``continuity`` or ``insulation``.
    state
        Position of the controls, faults that are present, wires that are lifted; healthy in the first position when
        None.
    nulled
        Whether the leads were nulled.

    Returns
    -------
    Taken
        The resistance in ohms, and the display.

    Raises
    ------
    UsageError
        The appliance has no such terminal, position, wire or fault; the meter has no such function or cannot null.

    Examples
    --------
    >>> from probebook import State, load_appliance, load_library, take_reading, usual_meter
    >>> meter = usual_meter(load_library())
    >>> state = State("oven", faults=frozenset(["base-open"]), lifted=frozenset(["W10"]))
    >>> take_reading(load_appliance("conventional-oven"), ("E2.1", "E2.2"), meter, state=state).shown.display
    'OL'
    """
    state = state or State(appliance.positions[0].name)
    check_names(appliance, state, probes)
    function = Function(function)
    volts = appliance.region.test_volts if function is Function.INSULATION else OHMMETER_VOLTS
    ohms = float(probe_ohms(appliance, [state], [probes], test_volts=volts)[0, 0])
    shown = read(meter, function, ohms, nulled=nulled)
    return Taken(appliance.id, meter.id, state, probes, ohms, shown, meter.beeper_ohms or 0.0)


@dataclass(frozen=True, slots=True)
class Energised:
    """An appliance switched on.

    Attributes
    ----------
    watts
        Power of each load by name, W.
    line_amps, neutral_amps, earth_amps
        Current in from line, and out to neutral and to earth, A.
    trips
        How each protective device fares.
    """

    watts: Mapping[str, float]
    line_amps: float
    neutral_amps: float
    earth_amps: float
    trips: tuple[Trip, ...]

    @property
    def total_watts(self) -> float:
        """Power of all loads, W."""
        return sum(self.watts.values())


def energise(
    appliance: Appliance, position: str, *, faults: Collection[str] = (), volts: float | None = None
) -> Energised:
    """Switch an appliance on and let it warm up.

    Parameters
    ----------
    appliance, position
        What to switch on, and how its controls stand; every thermostat calls.
    faults
        Ids of the faults that are present.
    volts
        Supply voltage, V; that of the appliance's file, in its region, when None.

    Returns
    -------
    Energised
        Watts of each load at working temperature, currents, and which protective device trips.

    Raises
    ------
    UsageError
        The appliance has no such position or fault.

    Examples
    --------
    >>> from probebook import energise, load_appliance
    >>> warm = energise(load_appliance("kettle"), "boil")
    >>> round(warm.total_watts), round(warm.line_amps, 1)
    (2781, 12.1)
    """
    state = State(position, faults=frozenset(faults))
    check_names(appliance, state, ())
    found = working(appliance, [state], volts=volts)
    watts = {
        branch.name: float(power)
        for branch, power in zip(appliance.branches, found.watts[0], strict=True)
        if branch.kind in LOADS
    }
    line, neutral, earth = (float(amps[0]) for amps in (found.line_amps, found.neutral_amps, found.earth_amps))
    return Energised(watts, line, neutral, earth, protection(appliance, [state], volts=volts)[0])

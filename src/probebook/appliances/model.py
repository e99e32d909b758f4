"""What an appliance is: parts, wires, positions, faults, and the branches they make between terminals.

Everything here is a frozen record in SI units with no behaviour beyond look-ups. A text file in
``scenarios/appliances`` is read into these records by :mod:`probebook.appliances.loading`; the circuit floor never
sees them, only the branch table that :mod:`probebook.appliances.states` works out for a state.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from enum import StrEnum
from itertools import combinations
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from probebook.assumptions import Assumptions
    from probebook.regions import Region


class PartKind(StrEnum):
    """The sort of part, as the trade names it."""

    TERMINAL_BLOCK = "terminal-block"
    PLUG = "plug"
    METALWORK = "metalwork"
    ELEMENT = "element"
    THERMOSTAT = "thermostat"
    CUT_OUT = "cut-out"
    SELECTOR = "selector"
    REGULATOR = "regulator"
    SWITCH = "switch"
    MOTOR = "motor"
    LAMP = "lamp"
    NEON = "neon"
    FUSE = "fuse"
    RELAY = "relay"
    FEED = "feed"


class BranchKind(StrEnum):
    """What sort of path a branch is; decides how it reads on a meter and what it does when energised."""

    WIRE = "wire"
    ELEMENT = "element"
    CONTACT = "contact"
    INSULATION = "insulation"
    LAMP = "lamp"
    MOTOR = "motor"
    NEON = "neon"
    FUSE = "fuse"
    COIL = "coil"


#: What an appliance is for: it heats, lights, turns or shows; a coil only moves contacts.
LOADS = (BranchKind.ELEMENT, BranchKind.LAMP, BranchKind.MOTOR, BranchKind.NEON)


@dataclass(frozen=True, slots=True)
class Branch:
    """One path between two terminals.

    Attributes
    ----------
    name
        Unique in the appliance: ``E1.outer`` (a section), ``S1.a`` (a contact), ``W7`` (a wire), ``E1.outer~M`` (the
        insulation of a section to metalwork), ``W7>TB1.N`` (the wire on a wrong tag: open unless a fault moves it).
    kind
        See :class:`BranchKind`.
    ends
        Indices into :attr:`Appliance.terminals`.
    cold_ohms
        Ohms on the bench at 20 °C with the contact closed; ``inf`` for a path that is open unless a fault closes it,
        for a contact that closes only when hot, and for a relay's that closes when its coil pulls in.
    hot_ohms
        Ohms at working temperature and rated voltage (V²/W for a load).
    part
        Mark of the part or wire it belongs to.
    watts
        Rated power, 0 for anything that is not a load.
    tolerance
        Making tolerance, relative half-width (0.05 is ±5 %).
    place
        What a heater heats ('top', 'grill', 'base', 'ring', 'water', …), empty otherwise.
    strikes_at
        Volts below which a neon does not conduct, 0 otherwise.
    cycles
        Whether a contact opens when its thermostat or regulator is satisfied.
    pulls_in
        Volts across a relay's coil from which on its contacts leave their rest, 0 for anything else.
    """

    name: str
    kind: BranchKind
    ends: tuple[int, int]
    cold_ohms: float
    hot_ohms: float
    part: str
    watts: float = 0.0
    tolerance: float = 0.0
    place: str = ""
    strikes_at: float = 0.0
    cycles: bool = False
    pulls_in: float = 0.0


@dataclass(frozen=True, slots=True)
class Part:
    """A part on the parts list: its mark, kind, plain title and terminals (full names, ``E1.1``).

    ``short`` is what the part is called in a sentence: its title without what tells it apart on the list. ``at`` and
    ``turn`` place its symbol on the schematic (grid column and row, quarter turns in degrees).
    """

    mark: str
    kind: PartKind
    title: str
    terminals: tuple[str, ...]
    branches: tuple[str, ...]
    cover: str = ""
    facts: tuple[tuple[str, float | str], ...] = ()
    at: tuple[float, float] | None = None
    turn: int = 0
    short: str = ""

    def fact(self, key: str) -> float | str | None:
        """A figure of the part (``opens_at``, ``minimum``, ``maximum``, ``differential``, ``reset`` …), or None."""
        return dict(self.facts).get(key)


@dataclass(frozen=True, slots=True)
class Wire:
    """A conductor of the harness as built, between two terminals."""

    mark: str
    start: str
    end: str
    colour: str
    area: float
    length: float
    note: str = ""

    @property
    def is_earth(self) -> bool:
        """Whether this is a protective conductor (green-and-yellow)."""
        return self.colour == "green-yellow"


@dataclass(frozen=True, slots=True)
class Position:
    """A setting of the controls: the contacts it closes and the loads it is meant to work."""

    name: str
    title: str
    closes: frozenset[str]
    heats: tuple[str, ...] = ()
    duty: float = 1.0


@dataclass(frozen=True, slots=True)
class Plate:
    """The rating plate as it is fixed to the appliance (invented make).

    ``volts`` are those between a line and neutral; ``between_lines`` what the plate of a three-phase appliance says, V,
    and 0 for one of a single phase.
    """

    maker: str
    designation: str
    volts: float
    watts: float
    protection: str
    hertz: float = 50.0
    between_lines: float = 0.0


@dataclass(frozen=True, slots=True)
class Supply:
    """How the appliance is fed and protected.

    ``volts`` are those between a line and neutral; ``between_lines`` the nominal volts between two lines of a
    three-phase supply, 0 for a single phase. The breaker has as many poles as there are lines.
    """

    kind: str
    volts: float
    breaker_amps: float
    residual_amps: float
    fuse_amps: float = 0.0
    between_lines: float = 0.0


class FaultKind(StrEnum):
    """How a fault changes the circuit; each kind has its own entry in :mod:`probebook.appliances.faults`."""

    OPEN = "open"
    DRIFT = "drift"
    WRONG_PART = "wrong-part"
    LEAK = "leak"
    DAMP = "damp"
    HIGH_RESISTANCE = "high-resistance"
    BROKEN_WIRE = "broken-wire"
    MISPLACED_WIRE = "misplaced-wire"
    EARTH_OFF = "earth-off"
    STUCK_OPEN = "stuck-open"
    STUCK_CLOSED = "stuck-closed"
    OUT_OF_CALIBRATION = "out-of-calibration"
    SEIZED = "seized"
    LOW_SUPPLY = "low-supply"
    USER_SETTING = "user-setting"


@dataclass(frozen=True, slots=True)
class Change:
    """What a fault does to one branch: ``force`` ohms (None leaves it), times ``factor``, plus ``series`` ohms.

    ``force_hot`` is what is forced at working temperature, where that differs.
    """

    branch: str
    force: float | None = None
    force_hot: float | None = None
    factor: float = 1.0
    series: float = 0.0


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that can be wrong, how it changes the circuit, how it looks, how likely it is and on whose word.

    ``changes`` act on branches; ``offset`` (K) moves the thermostat's switching point, ``volts`` replaces the supply
    voltage, ``stops`` names a motor that no longer turns; ``recovers`` is true for damp that a drying run cures;
    ``setting`` names the position in which a user has left the controls; ``fit`` is ``mend`` without the search for
    what made it fail, where that is part of it; ``hidden`` says that a look finds nothing, and ``looks`` only why.
    """

    id: str
    kind: FaultKind
    title: str
    target: str
    likelihood: float
    basis: str
    looks: str
    mend: str
    changes: tuple[Change, ...] = ()
    offset: float = 0.0
    volts: float = 0.0
    stops: str = ""
    recovers: bool = False
    setting: str = ""
    fit: str = ""
    hidden: bool = False

    @property
    def mark_left(self) -> str:
        """What a careful look at its place shows; empty where nothing is to be seen."""
        return "" if self.hidden else self.looks


@dataclass(frozen=True, slots=True)
class Appliance:
    """An appliance read from one text file, as it stands in a region; the unit everything above works on.

    ``region`` and ``assumptions`` are what the country, and the trade, take for granted about it. ``line``, ``neutral``
    and ``earth`` are the terminals at which the supply comes in, ``other_lines`` L2 and L3 of a three-phase one, whose
    L1 is ``line``; ``neutral`` is empty where three lines come without it, ``earth`` where there is none.
    """

    id: str
    title: str
    source: str
    plate: Plate
    supply: Supply
    terminals: tuple[str, ...]
    parts: tuple[Part, ...]
    wires: tuple[Wire, ...]
    positions: tuple[Position, ...]
    branches: tuple[Branch, ...]
    faults: tuple[Fault, ...]
    line: str
    neutral: str
    earth: str
    other_lines: tuple[str, ...] = ()
    heat: tuple[tuple[str, float | str], ...] = ()
    covers: tuple[tuple[str, float], ...] = ()
    region: Region = field(kw_only=True, repr=False)
    assumptions: Assumptions = field(kw_only=True, repr=False)
    _terminal_index: dict[str, int] = field(default_factory=dict, repr=False, compare=False, hash=False)
    _branch_index: dict[str, int] = field(default_factory=dict, repr=False, compare=False, hash=False)

    def __post_init__(self) -> None:
        """Fill the look-up tables."""
        self._terminal_index.update({name: i for i, name in enumerate(self.terminals)})
        self._branch_index.update({branch.name: i for i, branch in enumerate(self.branches)})

    @property
    def lines(self) -> tuple[str, ...]:
        """Terminals of the lines: one, or L1, L2 and L3."""
        return (self.line, *self.other_lines)

    @property
    def live(self) -> tuple[str, ...]:
        """Terminals of the live conductors: the lines, then neutral where there is one."""
        return (*self.lines, self.neutral) if self.neutral else self.lines

    @property
    def incoming(self) -> tuple[str, ...]:
        """Terminals of all conductors of the supply: the live ones, then earth where there is one."""
        return (*self.live, self.earth) if self.earth else self.live

    @property
    def live_pairs(self) -> tuple[tuple[str, str], ...]:
        """Pairs of live conductors between which the supply has volts: each line to neutral, then line to line."""
        to_neutral = tuple((line, self.neutral) for line in self.lines if self.neutral)
        return (*to_neutral, *combinations(self.lines, 2))

    @property
    def against(self) -> str:
        """The terminal that a line is read against: neutral, or L2 where there is none."""
        return self.neutral or self.other_lines[0]

    def rated_volts(self, branch: Branch, one_line: float) -> float:
        """Volts that a load is rated for; with one line all are rated for the same, ``one_line``."""
        if not self.other_lines:
            return one_line
        return float(f"{math.sqrt(branch.watts * branch.hot_ohms):.6g}")

    def terminal(self, name: str) -> int:
        """Index of a terminal; KeyError when there is none of that name."""
        return self._terminal_index[name]

    def branch(self, name: str) -> int:
        """Index of a branch; KeyError when there is none of that name."""
        return self._branch_index[name]

    def part(self, mark: str) -> Part:
        """The part of that mark; KeyError when there is none."""
        for part in self.parts:
            if part.mark == mark:
                return part
        raise KeyError(mark)

    def wire(self, mark: str) -> Wire:
        """The wire of that mark; KeyError when there is none."""
        for wire in self.wires:
            if wire.mark == mark:
                return wire
        raise KeyError(mark)

    def position(self, name: str) -> Position:
        """The position of that name; KeyError when there is none."""
        for position in self.positions:
            if position.name == name:
                return position
        raise KeyError(name)

    def fault(self, fault_id: str) -> Fault:
        """The fault of that id; KeyError when there is none."""
        for fault in self.faults:
            if fault.id == fault_id:
                return fault
        raise KeyError(fault_id)


@dataclass(frozen=True, slots=True)
class State:
    """The appliance at one moment: controls, contacts, lifted wires and what is wrong with it.

    Attributes
    ----------
    position
        Name of the control position.
    calling
        Whether the thermostats (and regulators) call for heat, that is their contacts are closed.
    lifted
        Marks of wires of which one end is lifted.
    faults
        Ids of the faults present.
    opened
        Marks of cut-outs that have operated, of relays that are pulled or pushed in, and of feeds that are live.
    dried
        Whether a drying run has been done since the damp got in.
    satisfied
        Marks of thermostats or regulators that do not call although the others do.
    """

    position: str
    calling: bool = True
    lifted: frozenset[str] = frozenset()
    faults: frozenset[str] = frozenset()
    opened: frozenset[str] = frozenset()
    dried: bool = False
    satisfied: frozenset[str] = frozenset()

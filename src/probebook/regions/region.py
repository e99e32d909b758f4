"""A region: what a country's supply, rules, colours, devices and words are. Records only, all in SI units."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import TypeVar

from probebook.errors import UsageError
from probebook.regions.limits import Band, Limit, Rules
from probebook.words.nouns import Noun

T = TypeVar("T")

__all__ = [
    "Circuit",
    "Colours",
    "Conductors",
    "Devices",
    "Emergency",
    "Guidance",
    "Licence",
    "LineConductors",
    "Plug",
    "Region",
    "Supply",
]


@dataclass(frozen=True, slots=True)
class Supply:
    """The supply: volts and hertz.

    Attributes
    ----------
    nominal
        Of today, V.
    quoted
        An older or neighbouring nominal voltage that plates and people still quote, V.
    met
        Voltages one may meet at a socket, V.
    hertz
        Frequency.
    between_lines
        Nominal volts between two lines of a three-phase supply, of which ``nominal`` is that to neutral; 0 where the
        region's file does not say.
    """

    nominal: float
    quoted: float
    met: tuple[float, ...]
    hertz: float
    between_lines: float = 0.0


@dataclass(frozen=True, slots=True)
class Conductors:
    """Colours of line, neutral and protective conductor, as people say them."""

    line: str
    neutral: str
    earth: str


@dataclass(frozen=True, slots=True)
class LineConductors:
    """Colours of L1, L2 and L3, in that order, and of neutral in three-phase wiring, as people say them."""

    lines: tuple[str, ...]
    neutral: str


@dataclass(frozen=True, slots=True)
class Colours:
    """Conductor colours: of cords and of fixed wiring, now and before; those inside appliances as files spell them.

    Attributes
    ----------
    flex, flex_before, fixed, fixed_before
        Today's colours and those that went before.
    standard, appliance
        Colours that wires inside an appliance may have, and by which standard.
    neutral, earth
        Which of these is for the neutral and for the protective conductor alone.
    lines
        Which of these are for L1, L2 and L3 of a three-phase appliance; empty where the region's file does not say.
    three_phase, three_phase_before
        Those of fixed three-phase wiring; None where the region's file does not say.
    """

    flex: Conductors
    flex_before: Conductors
    fixed: Conductors
    fixed_before: Conductors
    standard: str
    appliance: tuple[str, ...]
    neutral: str
    earth: str
    lines: tuple[str, ...] = ()
    three_phase: LineConductors | None = None
    three_phase_before: LineConductors | None = None


@dataclass(frozen=True, slots=True)
class Plug:
    """The plug of the country: its standard, and the ratings it is made for (A)."""

    standard: str
    ratings: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Circuit:
    """A circuit that plug-in appliances are fed from: breaker (A) and residual-current device (A)."""

    breaker: float
    residual: float


@dataclass(frozen=True, slots=True)
class Devices:
    """Protective devices, and the circuit of plug-in appliances where the country has one of its own.

    ``fuse`` is None where plugs hold none.
    """

    plug: Plug
    fuse: Band | None
    breaker: Band
    residual: Band
    plug_circuit: Circuit | None = None


@dataclass(frozen=True, slots=True)
class Emergency:
    """The number to call, and others that serve too."""

    number: str
    also: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Guidance:
    """What working dead rests on, and what the tips and leads of a tester go by, as sentences name them."""

    isolation: str
    probes: str


@dataclass(frozen=True, slots=True)
class Licence:
    """Who may do some work, by what rule, and whether that was read at its source."""

    work: str
    who: str
    rule: str
    status: str
    source: str
    note: str = ""


@dataclass(frozen=True, eq=False)
class Region:
    """All that differs by country, from ``regions/<id>.toml`` and ``limits.toml``; compared by identity.

    Attributes
    ----------
    id, title
        Name of the file, and what people call the country.
    supply, colours, devices, emergency, guidance, licences
        See there.
    test_volts
        Voltage of an insulation test, V.
    rules
        Every published limit, by id.
    roles
        Which of them serves as what: role -> id of a limit. Code asks by role (:meth:`rule`), never by id.
    borrowed
        Roles in which a rule of elsewhere serves, since none of this country was read.
    words
        The usual words, by key.
    """

    id: str
    title: str
    supply: Supply
    test_volts: float
    colours: Colours
    devices: Devices
    emergency: Emergency
    guidance: Guidance
    licences: tuple[Licence, ...]
    rules: Rules = field(repr=False)
    roles: Mapping[str, str] = field(repr=False)
    borrowed: frozenset[str] = field(repr=False)
    words: Mapping[str, Noun] = field(repr=False)

    def is_among(self, regions: tuple[str, ...]) -> bool:
        """Whether something that is true of these regions holds here; none named is all."""
        return not regions or self.id in regions

    def has(self, role: str) -> bool:
        """Whether some limit serves in this role here."""
        return role in self.roles

    def rule(
        self,
        role: str,
        *,
        watts: float = 0.0,
        kind: str = "heating",
        lead_ohms: float = 0.0,
        area: float = 0.0,
        length: float = 1.0,
    ) -> Limit:
        """Return what is allowed here.

        Parameters
        ----------
        role
            What the limit is for: ``power-input``, ``insulation.class-i``, ``earth.return-to-service`` ...
        watts, kind
            Rated power (W) and sort of appliance (``heating`` or ``motor``): power input, leakage.
        lead_ohms
            Resistance of the supply lead: earth.
        area, length
            Cross-section (m²) and length (m): conductors.

        Raises
        ------
        UsageError
            No limit serves in this role, or the numbers do not suit it.
        """
        if role == "power-input":
            return self.rules.power_input(watts, kind)
        limit_id = _known(role, self.roles, f"region {self.id}", "limit")
        table = role.partition(".")[0]
        if table == "earth":
            return self.rules.earth(limit_id, lead_ohms=lead_ohms)
        if table == "leakage":
            return self.rules.leakage(limit_id, rated_watts=watts)
        if table == "conductor":
            return self.rules.conductor(limit_id, area, length)
        return self.rules.supply(limit_id) if table == "supply" else self.rules.insulation(limit_id)

    def word(self, key: str) -> Noun:
        """Return the usual word for a thing, as a noun of English; UsageError when there is none.

        Say it through ``Words.adopted``, which lets another language put its own word in place.
        """
        return _known(key, self.words, f"region {self.id}", "word")


def _known(key: str, table: Mapping[str, T], where: str, what: str) -> T:
    if key not in table:
        near = get_close_matches(key, table, n=1)
        remedy = f"did you mean '{near[0]}'" if near else f"choose one of {', '.join(table)}"
        raise UsageError(f"there is no {what} '{key}'", where=where, remedy=remedy)
    return table[key]

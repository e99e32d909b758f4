"""The keys of ``scenarios/regions/*.toml``. Loads pydantic; only :mod:`probebook.regions.loading` imports it."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field, model_validator

from probebook.errors import ScenarioError
from probebook.regions.limits_file import Status
from probebook.textmodels import Amperes, Hertz, StrictModel, Volts

Text = Annotated[str, Field(min_length=1, max_length=600)]
Key = Annotated[str, Field(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$")]
Role = Annotated[str, Field(pattern=r"^[a-z]+(-[a-z]+)*(\.[a-z]+(-[a-z]+)*)?$")]
Id = Annotated[str, Field(pattern=r"^[a-z0-9]+([.-][a-z0-9]+)*$")]


class Told(StrictModel):
    """What every fact states: how well it is founded and on whose word."""

    status: Status
    source: Text
    note: str = ""


class VoltsFact(Told):
    """One voltage."""

    value: Volts


class HertzFact(Told):
    """One frequency."""

    value: Hertz


class SeveralVolts(Told):
    """Several voltages."""

    values: Annotated[tuple[Volts, ...], Field(min_length=1)]


class SupplyText(StrictModel):
    """``[supply]``: nominal voltage, the one still quoted, those one may meet, frequency, insulation test voltage.

    ``between_lines`` is the nominal voltage between two lines of a three-phase supply; ``nominal`` is that to neutral.
    """

    nominal: VoltsFact
    between_lines: VoltsFact | None = None
    quoted: VoltsFact
    met: SeveralVolts
    frequency: HertzFact
    insulation_test: VoltsFact


class LimitUse(StrictModel):
    """Which row of ``limits.toml`` serves as what; ``borrowed`` says why it is a rule of elsewhere."""

    limit: Id
    borrowed: str = ""


class ColourRow(Told):
    """Line, neutral and protective conductor; ``dates`` where they are known."""

    line: Text
    neutral: Text
    earth: Text
    dates: str = ""


class ColourText(StrictModel):
    """Colours now and before of one kind of wiring."""

    now: ColourRow
    before: ColourRow


class LinesRow(Told):
    """``lines``, those of L1, L2 and L3, and that of neutral; ``dates`` where they are known."""

    lines: tuple[Text, Text, Text]
    neutral: Text
    dates: str = ""


class LinesText(StrictModel):
    """Colours now and before of fixed three-phase wiring."""

    now: LinesRow
    before: LinesRow


class ApplianceColours(Told):
    """Colours of the wiring inside appliances; ``lines`` are those of L1, L2 and L3 where it has three phases."""

    standard: Text
    allowed: tuple[Key, ...]
    neutral: Key
    earth: Key
    lines: tuple[Key, Key, Key] | None = None

    @model_validator(mode="after")
    def _among(self) -> Self:
        """Refuse a colour of a line, of neutral or of earth that is not allowed."""
        for name in (self.neutral, self.earth, *(self.lines or ())):
            if name not in self.allowed:
                raise ScenarioError(f'the colour "{name}" is not among allowed', remedy="add it, or write another")
        return self


class ColoursText(StrictModel):
    """``[colours]``."""

    flex: ColourText
    fixed: ColourText
    three_phase: LinesText | None = None
    appliance: ApplianceColours


class PlugText(Told):
    """The plug of the country: standard and ratings."""

    standard: Text
    ratings: Annotated[tuple[Amperes, ...], Field(min_length=1)]


class DeviceUse(Told):
    """Which device of ``limits.toml`` is the usual one; the status is that of 'usual', not of its figures."""

    limit: Id
    ratings: tuple[Amperes, ...] = ()


class CircuitText(Told):
    """What feeds a plug-in appliance, where it is not as the appliance's own file says."""

    breaker: Amperes
    residual: Amperes


class DevicesText(StrictModel):
    """``[devices]``: plug, plug fuse (none where plugs have none), breaker, residual-current device."""

    plug: PlugText
    fuse: DeviceUse | None = None
    breaker: DeviceUse
    residual: DeviceUse
    plug_circuit: CircuitText | None = None


class EmergencyText(Told):
    """``[emergency]``: the number to call; it is shown and never asked."""

    number: Annotated[str, Field(pattern=r"^[0-9]{3}$")]
    also: tuple[Annotated[str, Field(pattern=r"^[0-9]{3}$")], ...] = ()


class GuidanceRow(Told):
    """A law, a code or a guide, as a sentence names it."""

    text: Text


class GuidanceText(StrictModel):
    """``[guidance]``: what working dead rests on, and what the tips and leads of a tester go by; named, never asked."""

    isolation: GuidanceRow
    probes: GuidanceRow


class LicenceText(Told):
    """``[[licence]]``: which work, who may do it, by what rule."""

    work: Text
    who: Text
    rule: Text


class WordText(Told):
    """``[words]``: the usual word for a thing."""

    text: Annotated[str, Field(min_length=1, max_length=60)]
    plural: str = ""
    article: str = ""


class RegionText(StrictModel):
    """One file of ``scenarios/regions``."""

    id: Annotated[str, Field(pattern=r"^[a-z]{2}$")]
    title: Text
    supply: SupplyText
    limits: dict[Role, LimitUse]
    colours: ColoursText
    devices: DevicesText
    emergency: EmergencyText
    guidance: GuidanceText
    licence: Annotated[tuple[LicenceText, ...], Field(min_length=1)]
    words: dict[Key, WordText]

"""How the temperature does: reaches what is set, stays short of it, settles too low or too high.

Where the appliance's file says what it heats, each distinct way of heating is simulated
(:func:`probebook.heating.installed.record_of`) and compared with the sound appliance's record. Where it does not, the
share of the usual power and the thermostat decide.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from probebook.appliances import Appliance, BranchKind, PartKind
from probebook.appliances.protection import Trips
from probebook.diagnosis.assumed import Noticing
from probebook.diagnosis.physics.work import FloatArray, Work, tripping
from probebook.errors import ProbebookError
from probebook.heating.figures import RecordFigures, figures_of
from probebook.heating.installed import heated, record_of

RIGHT, COLD, SHORT_OF, TOO_COOL, TOO_HOT = "right", "stays cold", "never reaches it", "too cool", "too hot"

#: Step of a simulated record, s; the switchings between are exact whatever it is.
STEP = 30.0

_CONTROLS = (PartKind.THERMOSTAT, PartKind.CUT_OUT, PartKind.REGULATOR)


def temperatures(appliance: Appliance, work: Work, p: int, noticing: Noticing) -> list[str]:
    """How the temperature does in position ``p`` under each hypothesis; empty where the position regulates none."""
    heaters = [i for i, b in enumerate(appliance.branches) if b.place]
    judge = _judge(appliance, work, p, heaters, noticing)
    rows = range(work.calling.shape[1])
    return [_unless_tripped(appliance, work, p, row, judge) if judge else "" for row in rows]


def _unless_tripped(appliance: Appliance, work: Work, p: int, row: int, judge: Callable[[int], str]) -> str:
    _, when = tripping(appliance, work, p, row)
    if when is Trips.AT_ONCE:
        return COLD
    return SHORT_OF if when is Trips.MINUTES else judge(row)


def _judge(
    appliance: Appliance, work: Work, p: int, heaters: list[int], noticing: Noticing
) -> Callable[[int], str] | None:
    """How to judge the hypotheses in one position; None where the sound appliance regulates no temperature there."""
    if heated(appliance):
        simulated = _Simulated.of(appliance, work, p, noticing)
        return simulated.how if simulated and simulated.regulates else None
    usual, held = (float(w[p, 0, heaters].sum()) for w in (work.calling, work.resting))
    if usual <= 0.0 or held > noticing.held_back * usual:
        return None
    return lambda row: _by_power(appliance, work, p, row, heaters, noticing)


def _by_power(appliance: Appliance, work: Work, p: int, row: int, heaters: list[int], noticing: Noticing) -> str:
    usual = float(work.calling[p, 0, heaters].sum())
    share = float(work.calling[p, row, heaters].sum()) / usual
    if share < noticing.nothing:
        return COLD
    if work.resting[p, row, heaters].sum() > noticing.held_back * usual:
        return TOO_HOT
    if share < noticing.enough:
        return SHORT_OF
    offset = math.fsum(appliance.fault(f).offset for f in sorted(work.faults[row]))
    if abs(offset) >= noticing.kelvins:
        return TOO_HOT if offset > 0 else TOO_COOL
    return RIGHT


@dataclass(frozen=True, slots=True, eq=False)
class _Simulated:
    """Heat-up records of one position, one for each distinct way of heating."""

    appliance: Appliance
    position: str
    sound: RecordFigures
    faults: tuple[frozenset[str], ...]
    ways: list[tuple[object, ...]]
    known: dict[tuple[object, ...], str]
    noticing: Noticing

    @classmethod
    def of(cls, appliance: Appliance, work: Work, p: int, noticing: Noticing) -> _Simulated | None:
        """The sound record; None where the file does not say what this position heats."""
        position = work.positions[p]
        try:
            sound = figures_of(record_of(appliance, position, step=STEP))
        except ProbebookError:
            return None
        return cls(appliance, position, sound, work.faults, _ways(appliance, work, p), {}, noticing)

    @property
    def regulates(self) -> bool:
        """Whether the sound appliance comes to what is set, or boils."""
        short = self.sound.off_by is None or self.sound.off_by < -self.noticing.close
        return bool(self.sound.reached_set_point or self.sound.boils or not short)

    def how(self, row: int) -> str:
        """How the temperature does under the hypothesis in ``row``."""
        way = self.ways[row]
        if way not in self.known:
            faults = sorted(self.faults[row])
            self.known[way] = self._compared(figures_of(record_of(self.appliance, self.position, faults, step=STEP)))
        return self.known[way]

    def _compared(self, facts: RecordFigures) -> str:
        sound = self.sound
        if not facts.heats:
            return COLD
        if facts.hottest > sound.hottest + self.noticing.kelvins:
            return TOO_HOT
        if sound.boils and not sound.reached_set_point:
            return RIGHT if facts.boils else SHORT_OF
        if facts.trips and not sound.trips:
            return SHORT_OF
        if facts.plateau < sound.plateau - self.noticing.kelvins:
            return SHORT_OF if facts.always_on else TOO_COOL
        return SHORT_OF if sound.reached_set_point and not facts.reached_set_point and facts.always_on else RIGHT


def _ways(appliance: Appliance, work: Work, p: int) -> list[tuple[object, ...]]:
    """What decides the heating under each hypothesis: watts of heaters and motors, and what ails the controls."""
    branches = [i for i, b in enumerate(appliance.branches) if b.place or b.kind is BranchKind.MOTOR]
    controls = {part.mark for part in appliance.parts if part.kind in _CONTROLS}
    ailing = {f.id for f in appliance.faults if f.stops or f.offset or f.target.partition(".")[0] in controls}
    calling, resting = (_coarse(w[p][:, branches]) for w in (work.calling, work.resting))
    return [
        (a.tobytes(), b.tobytes(), tuple(sorted(faults & ailing)))
        for a, b, faults in zip(calling, resting, work.faults, strict=True)
    ]


def _coarse(watts: FloatArray) -> FloatArray:
    """Watts to the nearest whole one: less makes no difference to a temperature."""
    return np.asarray(np.round(watts) + 0.0)

"""What is under which cover, and which covers a trial needs off."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Self

from probebook.appliances import Appliance
from probebook.diagnosis.trial import Trial, TrialKind


@dataclass(frozen=True, slots=True, eq=False)
class Access:
    """Which cover is over which terminal, part and wire end, and minutes to take each off."""

    terminals: dict[str, str]
    parts: dict[str, str]
    wires: dict[str, frozenset[str]]
    minutes: dict[str, float]

    @classmethod
    def of(cls, appliance: Appliance) -> Self:
        """Read it off the appliance."""
        terminals = {t: part.cover for part in appliance.parts for t in part.terminals}
        return cls(
            terminals,
            {part.mark: part.cover for part in appliance.parts},
            {w.mark: frozenset((terminals.get(w.start, ""), terminals.get(w.end, ""))) for w in appliance.wires},
            {cover: seconds / 60.0 for cover, seconds in appliance.covers},
        )

    def covers_for(self, trial: Trial, off: Iterable[str] = ()) -> frozenset[str]:
        """Covers that must come off: over what is probed or looked at, and over one end of each lifted wire.

        A wire can be lifted at either end: at one that is open to hand already where there is a choice.
        """
        needed: set[str] = set()
        if trial.kind is TrialKind.METER:
            needed.update(self.terminals.get(probe, "") for probe in trial.probes)
        elif trial.kind is TrialKind.LOOK and trial.at in self.parts:
            needed.add(self.parts[trial.at])
        wires = sorted(trial.lifted) if trial.kind is TrialKind.METER else [trial.at] if trial.at in self.wires else []
        for mark in wires:
            ends = self.wires[mark]
            if not ends & needed and not ends.intersection(off) and "" not in ends:
                needed.add(min(sorted(ends), key=lambda cover: self.minutes.get(cover, 0.0)))
        return frozenset(needed - {""})

    def minutes_for(self, covers: Iterable[str]) -> float:
        """Minutes to take these covers off or put them on."""
        return math.fsum(self.minutes.get(cover, 0.0) for cover in sorted(covers))

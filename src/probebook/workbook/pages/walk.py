"""A whole case worked aloud: observation by observation, what a sound appliance would show and which suspects are left.

Every figure and every verdict is the core's: the band of a sound appliance is what the meter would show of it, and the
suspects are ranked by how well they explain what is known at that step, not by what comes out in the end.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from probebook.cases.generate import case_meters
from probebook.cases.wording import observation_line
from probebook.diagnosis import Complaint, Measured, Posterior, posterior
from probebook.diagnosis.prediction import Expected, expected
from probebook.diagnosis.probability.integration import meter_for
from probebook.diagnosis.saying.sentences import band_words, title_of
from probebook.numerics.rounding import rounded_number
from probebook.questions.fault.contrasts import FaultGates
from probebook.words import Phrase, Words
from probebook.workbook.pages.walk_facts import (
    Heard,
    Left,
    Named,
    Observed,
    Others,
    Solved,
    SoundShows,
    Together,
    WalkTexts,
)

if TYPE_CHECKING:
    from probebook.cases.library import Library
    from probebook.cases.model import Case

__all__ = ["walk_page"]

#: So many suspects are named; of more the number is given.
NAMED = 5

Faults = frozenset[str]


def walk_page(case: Case, library: Library) -> str:
    """The case worked aloud, as Markdown that stands below its page."""
    appliance = library.appliance(case.appliance)
    walk = _Walk(posterior(appliance, case.evidence, case_meters(case, library)), len(case.truth), library.words)
    parts = [str(library.words.say(WalkTexts(), "head"))]
    parts += [walk.step(number) for number in range(len(case.evidence))]
    parts += [rest] if (rest := walk.rest(frozenset(case.truth))) else []
    mends = tuple(appliance.fault(name).mend for name in sorted(case.truth))
    right = title_of(appliance, sorted(case.truth), library.words)
    parts.append(library.words.say(Solved(right, mends), "solved").strip())
    return "\n\n".join(parts)


class _Walk:
    """The suspects as they are left by one observation after the other."""

    def __init__(self, found: Posterior, most: int, words: Words) -> None:
        self.found = found
        self.words = words
        self.gate = math.log(found.appliance.assumptions.get(FaultGates).rules_out)
        self.rows = [row for row, h in enumerate(found.hypotheses) if len(h.faults) <= max(most, 1)]
        self.logs = {row: math.log(found.hypotheses[row].prior) for row in self.rows}
        self.left: list[int] = list(self.rows)

    def step(self, number: int) -> str:
        """What an observation says, and what it leaves."""
        column = self.found.by_observation[:, number]
        for row in self.rows:
            self.logs[row] += float(column[row])
        # What an observation rules out is what it alone speaks against, whatever else has made it unlikely before.
        best = max(float(column[row]) for row in self.left)
        gone = [row for row in self.left if best - float(column[row]) > self.gate]
        self.left = [row for row in self.left if row not in gone]
        order = self._likeliest()
        item = self.found.evidence[number]
        if isinstance(item, Complaint):
            return self.words.say(Heard(self._names(order)), "heard")
        line = Phrase(observation_line(self.found.appliance, item, self.words))
        said = [self.words.say(Observed(number, line), "observed")]
        differs = False
        if isinstance(item, Measured):
            band = expected(self.found.model, item.trial, (), self.found.meters, nulled=item.nulled)
            inside = self._inside(item, band)
            differs = not inside and self._differs(number)
            key = "agrees" if inside else "differs" if differs else "apart"
            said.append(self.words.say(SoundShows(band_words(band, self.words)), key))
        if not gone:
            said.append(self.words.say(WalkTexts(), "fits" if differs else "gone-none"))
            return " ".join(said)
        said.append(self.words.say(Named(self._names(gone)), "gone"))
        said.append(self.words.say(Left(self._names(order)), "left" if len(order) > 1 else "left-one"))
        if len(order) == 1 and number + 1 < len(self.found.evidence):
            said.append(self.words.say(WalkTexts(), "alone"))
        return " ".join(said)

    def rest(self, truth: Faults) -> str:
        """Suspects that no observation by itself has ruled out, and all of them together have; empty for none."""
        rest = [row for row in self._likeliest() if self.found.hypotheses[row].faults != truth]
        return self.words.say(Together(self._names(rest)), "together") if rest else ""

    def _likeliest(self) -> list[int]:
        """Those that are left, the likeliest first."""
        return sorted(self.left, key=lambda row: (-rounded_number(self.logs[row]), self.found.hypotheses[row].name))

    def _differs(self, number: int) -> bool:
        """Whether some fault explains a reading far better than a sound appliance does."""
        column = self.found.by_observation[:, number]
        return float(column[self.rows].max()) - float(column[self.found.row(())]) > self.gate

    def _inside(self, item: Measured, band: Expected) -> bool:
        """Whether a display lies in the band that is told of a sound appliance, its ends included."""
        meter = meter_for(self.found.meters, item.trial.function)
        leads = meter.leads_in(item.trial.function, nulled=item.nulled)
        return item.display in band.ends or band.low + leads <= item.value <= band.high + leads

    def _names(self, rows: Sequence[int]) -> tuple[Phrase, ...]:
        names = [title_of(self.found.appliance, sorted(self.found.hypotheses[row].faults), self.words) for row in rows]
        if len(names) > NAMED:
            more = len(names) - NAMED + 1
            names = [*names[: NAMED - 1], self.words.say(Others(more), "others")]
        return tuple(names)

"""How probable it is that an appliance with a generated failure does what was seen of it, or is complained of."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from probebook.appliances import Appliance
from probebook.diagnosis.evidence import Complaint, Observation, Ran, Tripped
from probebook.diagnosis.model import ApplianceModel
from probebook.diagnosis.open.cells import Cells
from probebook.diagnosis.open.ways import Sort, Way
from probebook.diagnosis.symptom_table import PROTECTION, WAYS, Symptom
from probebook.physical import InUse
from probebook.physical.board import board_of
from probebook.physical.use import InUseReader, users

__all__ = ["use_log_likelihood"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]

#: What stands for open, ohms.
OPEN = 1e9


def use_log_likelihood(
    model: ApplianceModel, evidence: Sequence[Observation], ways: Sequence[Way], cells: Cells
) -> FloatArray:
    """Natural log of p(what was seen in use, told and tripped | cell), shape ``(cells,)``."""
    total = np.zeros(len(cells))
    told = [(symptom, holds) for o in evidence for symptom, holds in _told(model, o)]
    if not told:
        return total
    asker = _Asker(model.appliance, ways, cells)
    for symptom, holds in told:
        right, wrong = math.log(holds), math.log((1.0 - holds) / (WAYS - 1))
        total += np.where(asker.holds(symptom), right, wrong)
    return total


def _told(model: ApplianceModel, item: Observation) -> list[tuple[Symptom, float]]:
    chances = model.assumed.chances
    if isinstance(item, Ran):
        return [(s, chances.run_holds) for s in item.symptoms]
    if isinstance(item, Complaint):
        return [(s, chances.complaint_holds) for s in item.symptoms]
    if isinstance(item, Tripped):
        return [(Symptom(item.position, PROTECTION, item.how), chances.run_holds)]
    return []


class _Asker:
    """Cells of ways, asked about one thing seen after the other; positions are worked out once."""

    def __init__(self, appliance: Appliance, ways: Sequence[Way], cells: Cells) -> None:
        self._board = board_of(appliance)
        self._ways, self._cells = ways, cells
        self._readers: dict[str, InUseReader] = {}
        self._moved: dict[tuple[str, int], InUseReader] = {}
        sort = np.array([list(Sort).index(w.sort) for w in ways], dtype=np.intp)[cells.way]
        self._of = {s: np.flatnonzero(sort == i) for i, s in enumerate(Sort)}
        self._branch = np.array([appliance.branch(w.branch) for w in ways], dtype=np.intp)[cells.way]
        own = np.concatenate([self._of[s] for s in (Sort.OPEN, Sort.JOINT, Sort.VALUE, Sort.TURNS)])
        self._own = own[np.argsort(self._branch[own], kind="stable")]
        self._place, self._values = self._by_branch()

    def _by_branch(self) -> tuple[IntArray, FloatArray]:
        """Column of each cell that changes a branch's ohms, and all their values ``(m, columns)``."""
        branch = self._branch[self._own]
        counts = np.bincount(branch, minlength=len(self._board.ends))
        place = np.arange(len(branch)) - np.concatenate([[0], np.cumsum(counts)[:-1]])[branch]
        values = np.broadcast_to(self._board.made[:, None], (len(counts), max(1, int(counts.max(initial=1))))).copy()
        joint = np.isin(self._own, self._of[Sort.JOINT])
        value = self._cells.value[self._own] + np.where(joint, self._board.made[branch], 0.0)
        # What is read cold has its own ohms at work.
        hotter = np.where(joint, 1.0, self._board.hot[branch] / self._board.made[branch])
        values[branch, place] = np.minimum(value * hotter, OPEN)
        return place.astype(np.intp), values

    def holds(self, symptom: Symptom) -> NDArray[np.bool_]:
        """Under which cells something is so."""
        if symptom.position not in self._readers:
            self._readers[symptom.position] = users(self._board, [InUse(symptom.position, {}, complete=False)])[0]
        seen = InUse(symptom.position, {symptom.subject: symptom.how}, complete=False)
        reader = self._readers[symptom.position].asked(seen)
        found = np.zeros(len(self._cells), dtype=np.bool_)
        if len(self._own):
            found[self._own] = reader.branches(self._values)[0][self._branch[self._own], self._place]
        if len(weld := self._of[Sort.WELDED]):
            found[weld] = reader.contacts(self._branch[weld])[0][:, 0]
        if len(leak := self._of[Sort.LEAK]):
            found[leak] = reader.leaking()[0]
        for cell in self._of[Sort.MOVED].tolist():
            found[cell] = self._with_wire(symptom.position, cell).asked(seen).sound()
        return found

    def _with_wire(self, position: str, cell: int) -> InUseReader:
        key = (position, cell)
        if key not in self._moved:
            stays, _, to = self._ways[self._cells.way[cell]].between
            self._moved[key] = self._readers[position].moved(int(self._branch[cell]), stays, to)
        return self._moved[key]

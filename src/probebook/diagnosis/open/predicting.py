"""What a reading would find under each of many single failures, in closed form, and how that moves with the unknowns.

With the potentials ``u`` for one ampere between the probes, changing the conductance of a branch by ``g`` turns R into
R - g d² / (1 + g z), where ``d`` is the branch's drop and ``z`` the ohms between its ends; a new path of ``y`` ohms
turns it into R - d² / (y + z). Where it joins two pieces, R is found along it. So a state is solved once.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probebook.diagnosis.open.networks import Circuit
from probebook.diagnosis.physics.responses import LEAST_OHMS
from probebook.numerics.matrices import product

__all__ = ["Rows", "predicted"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]
BoolArray = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """Failures with a value each; arrays ``(rows,)``, ``between`` ``(rows, 3)``.

    Attributes
    ----------
    branch
        The branch whose ohms are other, -1 for none.
    force, added
        Ohms that it has (nan: its own; inf: open), ohms added to them.
    between, path
        A new path: from the middle of two nodes to a third, and its ohms (inf for none).
    within
        The branch whose middle that is; -1 where the two are one.
    instead
        The new path is there only while this branch does not conduct (a weld); -1 for any time.
    held
        The new path is gone while this branch is lifted (a wire on a wrong terminal); -1 for never.
    deviation
        Standard deviation of ln of the value.
    """

    branch: IntArray
    force: FloatArray
    added: FloatArray
    between: IntArray
    path: FloatArray
    within: IntArray
    instead: IntArray
    held: IntArray
    deviation: FloatArray

    def __len__(self) -> int:
        """How many."""
        return len(self.branch)

    def of(self, places: IntArray) -> Rows:
        """Some of them."""
        return Rows(*(getattr(self, name)[places] for name in self.__slots__))


def predicted(
    circuit: Circuit, probes: tuple[int, int], rows: Rows, making: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Ln of ohms ``(rows,)`` and its slopes ``(rows, u + 1)``: the unknowns of ``making`` ``(m, u)``, and the value."""
    change = _Change.of(circuit, probes, rows)
    ln_ohms, slope = np.full(len(rows), np.inf), np.zeros((len(rows), making.shape[1] + 1))
    a, b = probes
    for places in (np.flatnonzero(change.joined), np.flatnonzero(change.across)):
        if not len(places):
            continue
        part, mine = change.some(places), rows.of(places)
        if part.across[0]:
            one, two = np.where(part.turned[:, None], mine.between[:, [2, 2]], mine.between[:, :2]).T
            three, four = np.where(part.turned[:, None], mine.between[:, :2], mine.between[:, [2, 2]]).T
            z = circuit.z
            u = z[a] - (z[one] + z[two]) / 2.0 + (z[three] + z[four]) / 2.0 - z[b]
            k = np.arange(len(places))
            ohms = u[:, a] - (u[k, one] + u[k, two]) / 2.0 + (u[k, three] + u[k, four]) / 2.0 - u[:, b] + part.path
        else:
            u = (circuit.z[a] - circuit.z[b])[None]
            ohms = np.full(len(places), u[0, a] - u[0, b])
        ohms, share, kept = _solved(circuit, u, ohms, part, mine)
        ln_ohms[places] = np.log(np.maximum(ohms, LEAST_OHMS))
        slope[places] = np.concatenate([product(share[:, :-1] * kept, making), _by_value(share, part, mine)], axis=1)
    return ln_ohms, slope


@dataclass(frozen=True, slots=True, eq=False)
class _Change:
    """What the failures do to a circuit and a reading in it; arrays ``(rows,)``."""

    here: BoolArray
    new: FloatArray
    inside: BoolArray
    across: BoolArray
    turned: BoolArray
    joined: BoolArray
    path: FloatArray

    @classmethod
    def of(cls, circuit: Circuit, probes: tuple[int, int], rows: Rows) -> _Change:
        """Sort failures by what they change between the probes."""
        at = np.maximum(rows.branch, 0)
        own = circuit.ohms[at]
        here = (rows.branch >= 0) & circuit.on[at]
        new = np.where(here, np.where(np.isnan(rows.force), own, rows.force) + rows.added, own)
        here &= new != own
        split = here & np.isinf(new) & circuit.bridge[at]
        there = np.isfinite(rows.path)
        there &= (rows.instead < 0) | ~circuit.on[np.maximum(rows.instead, 0)]
        there &= (rows.held < 0) | ~circuit.off[np.maximum(rows.held, 0)]
        nodes = np.concatenate([np.broadcast_to(probes, (len(rows), 2)), rows.between[:, [0, 2]]], axis=1)
        pa, pb, pi, pj = (2 * circuit.piece[nodes] + (split[:, None] & circuit.side[at[:, None], nodes])).T
        turned = (pi == pb) & (pj == pa)
        across = there & (pa != pb) & (((pi == pa) & (pj == pb)) | turned)
        middle = circuit.ohms[np.maximum(rows.within, 0)]
        extra = np.where((rows.within >= 0) & np.isfinite(middle), middle, 0.0) / 4.0
        return cls(here & ~split, new, there & (pi == pj), across, turned, pa == pb, rows.path + extra)

    def some(self, places: IntArray) -> _Change:
        """Some of them."""
        return _Change(*(getattr(self, name)[places] for name in self.__slots__))


def _solved(
    circuit: Circuit, u: FloatArray, ohms: FloatArray, change: _Change, rows: Rows
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Ohms; the share of the power of each branch and of the new path ``(rows, m + 1)``; how far branches follow."""
    p, q = circuit.ends.T
    k, at = np.arange(len(rows)), np.maximum(rows.branch, 0)
    drops = np.broadcast_to(u[:, p] - u[:, q], (len(rows), len(p)))
    d, z = drops[k, at], circuit.mutual[at, at]
    with np.errstate(divide="ignore", invalid="ignore"):
        more = np.where(change.here, 1.0 / change.new - 1.0 / circuit.ohms[at], 0.0)
    factor = more / (1.0 + more * z)
    ohms = ohms - factor * d * d
    drops = drops - (factor * d)[:, None] * circuit.mutual[at]
    through = np.where(change.across, 1.0, 0.0)
    inside = np.flatnonzero(change.inside & change.joined)
    if len(inside):
        i1, i2, j = rows.between[inside].T
        w = (circuit.z[i1] + circuit.z[i2]) / 2.0 - circuit.z[j]
        n = np.arange(len(inside))
        wide = w[:, p] - w[:, q]
        mu, by = wide[n, at[inside]], factor[inside]
        here = np.broadcast_to(u, (len(rows), u.shape[1]))[inside]
        ds = (here[n, i1] + here[n, i2]) / 2.0 - here[n, j] - by * d[inside] * mu
        zs = (w[n, i1] + w[n, i2]) / 2.0 - w[n, j] - by * mu * mu
        pull = ds / (change.path[inside] + zs)
        ohms[inside] -= pull * ds
        drops[inside] -= pull[:, None] * (wide - (by * mu)[:, None] * circuit.mutual[at[inside]])
        through[inside] = pull
    siemens = np.broadcast_to(np.where(circuit.on, 1.0 / circuit.ohms, 0.0), drops.shape).copy()
    kept = np.ones(drops.shape)
    other = np.flatnonzero(change.here)
    siemens[other, at[other]] = 1.0 / change.new[other]
    plain = np.where(np.isnan(rows.force[other]), circuit.ohms[at[other]], 0.0)
    kept[other, at[other]] = np.where(np.isinf(change.new[other]), 0.0, plain / change.new[other])
    power = np.concatenate([drops**2 * siemens, (through**2 * np.where(through, change.path, 0.0))[:, None]], axis=1)
    return ohms, power / np.maximum(ohms, LEAST_OHMS)[:, None], kept


def _by_value(share: FloatArray, change: _Change, rows: Rows) -> FloatArray:
    """Slope of ln R against a standard deviation of the value, ``(rows, 1)``."""
    at = np.maximum(rows.branch, 0)
    with np.errstate(divide="ignore", invalid="ignore"):
        part = np.where(np.isnan(rows.force), rows.added / change.new, 1.0)
    here = np.where(change.here & np.isfinite(change.new), share[np.arange(len(rows)), at] * part, 0.0)
    return np.asarray((here + share[:, -1]) * rows.deviation)[:, None]

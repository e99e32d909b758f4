"""Integrating over what nobody knows: making tolerance, alloy, a fault's severity, the gain of the instrument.

Every hypothesis predicts each reading as ``ln x = ln x0 + slope · θ``, with θ unknown but the same for all readings.
Plain random draws of θ waste most of themselves: with three elements read to 0.5 % within tolerances of 5 %, one draw
in a thousand comes near. So the linear Gaussian problem is solved first (a few unknowns, closed form), which says where
θ lies *if* the hypothesis is true; the draws, the same standard normal numbers for every hypothesis, are put there and
weighted by prior over proposal (importance sampling). What the meter shows (over range, rounding, outliers) is then
taken as it is, at every draw, by the meter's own likelihood.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from probebook.meters import Function, Meter, log_likelihood
from probebook.meters.likelihood import normal_cdf
from probebook.meters.scale import Scale
from probebook.numerics.matrices import inverse, lower_root, product

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.intp]

#: A reading this many standard deviations away under a hypothesis does not move its draws: it is an outlier to it.
FAR = 5.0
#: Seed of the common draws, where none is given.
SEED = 20250601


@dataclass(frozen=True, slots=True, eq=False)
class Instrument:
    """What readings say about the instrument side: one entry a reading, shape ``(t,)`` each.

    Attributes
    ----------
    functions, nulled
        Setting of the dial, and whether the leads were nulled.
    meters
        The instrument of each reading.
    shown
        Displayed values, SI; ``inf`` over range.
    leads
        Ohms of leads in each reading.
    noise
        Standard deviation of the displayed value that is each reading's own (digits, rounding), SI.
    gain
        Standard deviation of the instrument's gain, relative: common to all readings with one instrument and function.
    top
        The most the function can show, SI.
    """

    functions: tuple[Function, ...]
    nulled: tuple[bool, ...]
    meters: tuple[Meter, ...]
    shown: FloatArray
    leads: FloatArray
    noise: FloatArray
    gain: FloatArray
    top: FloatArray


@dataclass(frozen=True, slots=True, eq=False)
class Belief:
    """Where the unknowns lie under each hypothesis, in standard deviations of what was thought before.

    Attributes
    ----------
    mean
        Shape ``(h, v)``: the unknowns of the response, then the gain through leads and the gain on insulation.
    factor
        Shape ``(h, v, v)``; covariance is ``factor @ factor.T``.
    """

    mean: FloatArray
    factor: FloatArray


def instrument(
    meters: tuple[Meter, ...], functions: tuple[Function, ...], shown: FloatArray, nulled: tuple[bool, ...]
) -> Instrument:
    """Gather the instrument side of readings; UsageError when no instrument has a function that was used."""
    used = tuple(meter_for(meters, f) for f in functions)
    leads, noise, gain, top = (np.empty(len(shown)) for _ in range(4))
    for i, (meter, function, value) in enumerate(zip(used, functions, shown, strict=True)):
        scale = Scale.of(meter, function, nulled=nulled[i])
        place = scale.range_of(value)
        leads[i], top[i] = scale.leads, scale.top
        noise[i], gain[i] = scale.noise[place], scale.gain[place]
    return Instrument(functions, nulled, used, shown, leads, noise, gain, top)


def meter_for(meters: tuple[Meter, ...], function: Function) -> Meter:
    """The first instrument that has a function; the UsageError of the first one when none has."""
    for meter in meters:
        if function in meter.functions:
            return meter
    meters[0].ranges_of(function)
    raise AssertionError("unreachable")


def shown_slope(slope: FloatArray, ohms: FloatArray, device: Instrument) -> FloatArray:
    """Slopes of ln of what is shown, shape ``(h, t, v)``: leads dilute the unknowns; the two gains join them."""
    with np.errstate(invalid="ignore"):
        diluted = np.where(np.isfinite(ohms), ohms / (ohms + device.leads), 0.0)
    return np.concatenate([slope * diluted[..., None], np.broadcast_to(_gains(device), (*ohms.shape, 2))], axis=-1)


def _gains(device: Instrument) -> FloatArray:
    through = np.array([f.through_leads for f in device.functions], dtype=np.bool_)
    return np.stack([np.where(through, device.gain, 0.0), np.where(through, 0.0, device.gain)], axis=-1)


def residuals(ln_ohms: FloatArray, full: FloatArray, device: Instrument) -> tuple[FloatArray, FloatArray, BoolArray]:
    """How far each reading is from nominal in ln, its own deviation there, and whether it can move the unknowns."""
    shown = np.maximum(device.shown, device.noise)
    with np.errstate(invalid="ignore", divide="ignore"):
        off = np.log(shown) - np.log(np.exp(ln_ohms) + device.leads)
        own = np.where(np.isfinite(shown), device.noise / shown, 1.0)
    used = np.isfinite(off) & (off**2 <= FAR**2 * (own**2 + (full**2).sum(axis=-1)))
    return np.where(used, off, 0.0), np.broadcast_to(own, off.shape), used


def believe(ln_ohms: FloatArray, slope: FloatArray, device: Instrument) -> Belief:
    """Solve the linear Gaussian problem for every hypothesis, then let each display over range cut it off.

    ``ln_ohms`` and ``slope`` are the nominal ln R at the probe tips ``(h, t)`` and its slopes ``(h, t, u)``.
    """
    full = shown_slope(slope, np.exp(ln_ohms), device)
    off, own, used = residuals(ln_ohms, full, device)
    moved = np.where(used[..., None], full, 0.0)
    turned = np.swapaxes(moved, -1, -2)
    spread = product(moved, turned) + own[..., None] ** 2 * np.eye(own.shape[-1])
    gain = product(turned, inverse(spread))
    mean = product(gain, off[..., None])[..., 0]
    covariance = np.eye(full.shape[-1]) - product(gain, moved)
    over = np.flatnonzero(np.isinf(device.shown))
    nominal = np.log(np.exp(ln_ohms) + device.leads)
    for t in over:
        mean, covariance = _above(mean, covariance, full[:, t], np.log(device.top[t]) - nominal[:, t])
    return Belief(mean, lower_root(covariance))


def _above(
    mean: FloatArray, covariance: FloatArray, slope: FloatArray, short: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Mean and covariance once ``slope · θ`` is known to be above ``short``: those of the truncated Gaussian."""
    along = product(covariance, slope[..., None])[..., 0]
    variance = (slope * along).sum(axis=-1)
    told = np.isfinite(short) & (variance > 0.0)
    scale = np.sqrt(np.where(told, variance, 1.0))
    at = np.where(told, short - (slope * mean).sum(axis=-1), 0.0) / scale
    told &= np.abs(at) <= FAR
    at = np.where(told, at, 0.0)
    hazard = np.exp(-0.5 * at * at) / math.sqrt(2 * math.pi) / normal_cdf(-at)
    lost = np.clip(hazard * (hazard - at), 0.0, 0.999)
    unit = along / scale[..., None]
    shift = np.where(told, hazard, 0.0)[..., None] * unit
    shrink = np.where(told, lost, 0.0)[..., None, None] * unit[..., None] * unit[..., None, :]
    return mean + shift, covariance - shrink


def widen(belief: Belief, back: IntArray, live: IntArray, unknowns: int) -> Belief:
    """The belief of all hypotheses over all unknowns, from that of the few they are ``back`` to over the ``live`` ones.

    The gains are among the live; other unknowns are as before.
    """
    places = np.concatenate([live, [unknowns, unknowns + 1]]).astype(np.intp)
    few = len(belief.mean)
    mean = np.zeros((few, unknowns + 2))
    mean[:, places] = belief.mean
    factor = np.broadcast_to(np.eye(unknowns + 2), (few, unknowns + 2, unknowns + 2)).copy()
    factor[:, places[:, None], places] = belief.factor
    return Belief(mean[back], factor[back])


def alone(ln_ohms: FloatArray, slope: FloatArray, device: Instrument) -> FloatArray:
    """Natural log of p(display | hypothesis) of each reading as if it were the only one, shape ``(h, t)``.

    One reading leaves one unknown, its own sum of all of them: the integral is taken at its highest point (Laplace).
    """
    full = shown_slope(slope, np.exp(ln_ohms), device)
    off, own, used = residuals(ln_ohms, full, device)
    spread = (full**2).sum(axis=-1)
    total = own**2 + spread
    moved = off * spread / total
    weight = np.where(used, 0.5 * np.log(own**2 / total) - 0.5 * off**2 * spread / total**2, 0.0)
    found = weight + _displayed((np.exp(ln_ohms) + device.leads) * np.exp(moved), device)
    over = np.isinf(device.shown)
    if over.any():
        # A display over range has no highest point to expand about: the probability of being above the top.
        beyond = np.log(np.exp(ln_ohms[:, over]) + device.leads[over]) - np.log(device.top[over])
        sure = np.isinf(beyond) | (spread[:, over] <= 0.0)
        chance = normal_cdf(np.where(sure, 0.0, beyond) / np.sqrt(np.where(sure, 1.0, spread[:, over])))
        by_chance = np.array([m.astray.share * m.astray.over_range for m in device.meters])
        either = np.log(chance + by_chance[over])
        found[:, over] = np.where(sure, found[:, over], either)
    return found


@lru_cache(maxsize=64)
def draws(count: int, unknowns: int, seed: int = SEED) -> FloatArray:
    """Common standard normal draws, shape ``(count, unknowns)``; a single draw is the middle.

    Each unknown is drawn once from each of ``count`` equally probable intervals (Latin hypercube: McKay, Beckman and
    Conover 1979, Technometrics 21, 239-245), so that few draws cover it evenly.
    """
    rng = np.random.default_rng(seed)
    middles = np.array([NormalDist().inv_cdf((i + 0.5) / count) for i in range(count)])
    normal = np.stack([rng.permutation(middles) for _ in range(unknowns)], axis=1)
    normal.flags.writeable = False  # shared by all who ask again
    return normal


def log_evidence(
    ln_ohms: FloatArray, slope: FloatArray, belief: Belief, device: Instrument, normal: FloatArray
) -> FloatArray:
    """Natural log of p(all readings | hypothesis), shape ``(h,)``, from common draws ``normal`` of shape ``(s, v)``."""
    theta = belief.mean[:, None, :] + product(normal, np.swapaxes(belief.factor, -1, -2))
    spread = np.log(np.diagonal(belief.factor, axis1=-2, axis2=-1)).sum(axis=-1)
    weight = 0.5 * (normal**2).sum(axis=-1) - 0.5 * (theta**2).sum(axis=-1) + spread[:, None]
    gains = product(theta[..., -2:], _gains(device).T)
    ohms = np.exp(ln_ohms[:, None, :] + product(theta[..., :-2], np.swapaxes(slope, -1, -2)))
    shown = _displayed((ohms + device.leads) * np.exp(gains), device)
    return log_mean_exp(weight + shown.sum(axis=-1))


def log_mean_exp(values: FloatArray) -> FloatArray:
    """Natural log of the mean of exp along the last axis, without overflow."""
    top = values.max(axis=-1, keepdims=True)
    return np.asarray(np.log(np.exp(values - top).mean(axis=-1)) + top[..., 0])


def _displayed(at_terminals: FloatArray, device: Instrument) -> FloatArray:
    """Natural log of p(display | what is at the instrument's terminals, gain known), shape ``(…, t)``."""
    found = np.empty(at_terminals.shape)
    for meter, function, nulled, columns in _groups(device):
        found[..., columns] = log_likelihood(
            _without_gain(meter),
            function,
            device.shown[columns],
            np.maximum(at_terminals[..., columns] - device.leads[columns], 0.0),
            nulled=nulled,
        )
    return found


def _groups(device: Instrument) -> list[tuple[Meter, Function, bool, list[int]]]:
    groups: dict[tuple[str, Function, bool], list[int]] = {}
    for i, (meter, function, nulled) in enumerate(zip(device.meters, device.functions, device.nulled, strict=True)):
        groups.setdefault((meter.id, function, nulled), []).append(i)
    return [(device.meters[c[0]], function, nulled, c) for (_, function, nulled), c in groups.items()]


@lru_cache(maxsize=64)
def _without_gain(meter: Meter) -> Meter:
    """The instrument with the part of its accuracy that all its readings share taken off: that is an unknown."""
    ranges = tuple(
        (function, tuple(replace(span, fraction_of_reading=0.0) for span in spans)) for function, spans in meter.ranges
    )
    return replace(meter, ranges=ranges)

"""What an insulation test shows, as a function of siemens: how probable each display is for what lies at the probes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from probebook.meters.likelihood import normal_cdf

FloatArray = NDArray[np.float64]

#: Where, in standard deviations about what is shown, the probability of a display is held.
PLACES = np.linspace(-4.5, 4.5, 25)
#: Which of them part a window in panels, and how its distances grow outside, in half windows.
INSIDE, OUTSIDE = (0, 9, 15, 24), (4.0, 16.0, 64.0, 256.0)
#: The least ohms that stand for none.
LEAST_OHMS = 1.0


@dataclass(frozen=True, slots=True)
class Display:
    """A display of an insulation test.

    Attributes
    ----------
    value
        What is shown, ohms; ``inf`` over range.
    noise
        Standard deviation of what is shown that is the reading's own (digits, rounding), ohms.
    gain
        Standard deviation of the instrument's gain, relative.
    step, top
        The last digit and the most that can be shown, ohms.
    slipped
        Probability that the reading says nothing and shows this.
    says
        Probability that a reading says what it should.
    tail
        The display stands for itself and all that is less.
    """

    value: float
    noise: float
    gain: float
    step: float
    top: float
    slipped: float
    says: float
    tail: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Window:
    """How probable displays are, as a function of siemens, of readings that say what they should.

    Attributes
    ----------
    siemens, chance
        Rising siemens and the probability there; the first and the last hold beyond them.
    marks
        Siemens about which it changes, rising: where panels of an integral begin and end.
    most
        Siemens above which the probability is nought; ``inf`` where it never is.
    gain
        Standard deviation of the gain.
    """

    siemens: FloatArray
    chance: FloatArray
    marks: FloatArray
    most: float
    gain: float

    @property
    def jumps(self) -> FloatArray:
        """By how much the probability falls at each of the siemens when it is taken as even between them."""
        middle = 0.5 * (self.chance[1:] + self.chance[:-1])
        levels = np.concatenate([self.chance[:1], middle, self.chance[-1:]])
        return np.asarray(levels[:-1] - levels[1:])

    def at(self, siemens: FloatArray) -> FloatArray:
        """Probability of the displays for these siemens, any shape."""
        return np.asarray(np.interp(siemens, self.siemens, self.chance))


@lru_cache(maxsize=4096)
def window(displays: tuple[Display, ...]) -> Window:
    """The window of displays of one and the same thing, by one instrument with one gain."""
    each = [_window(display) for display in displays]
    if len(each) == 1:
        return each[0]
    siemens = np.unique(np.concatenate([w.siemens for w in each]))
    chance = np.ones(len(siemens))
    for w in each:
        chance = chance * w.at(siemens)
    marks = np.unique(np.concatenate([w.marks for w in each]))
    return Window(siemens, chance, marks, min(w.most for w in each), each[0].gain)


def _window(display: Display) -> Window:
    """The window of one display.

    A number is as probable as its rounding and the Gaussian of its digits make it; nought, over range and the tail of
    a display are one side of that Gaussian.
    """
    sided = display.tail or display.value == 0.0 or math.isinf(display.value)
    centre = display.top + display.step / 2.0 if math.isinf(display.value) else display.value
    if display.value == 0.0:
        centre = display.step / 2.0
    ohms = np.maximum(centre + display.noise * PLACES, LEAST_OHMS)
    z = (ohms - centre) / display.noise
    if not sided:
        chance = np.exp(-0.5 * z * z) * (display.step / (math.sqrt(2.0 * math.pi) * display.noise))
        chance[-1] = 0.0
        if ohms[0] > LEAST_OHMS:  # else none at all shows as so little, too
            chance[0] = 0.0
    else:
        rising = math.isinf(display.value) and not display.tail
        chance = normal_cdf(z if rising else -z)
        chance[-1] = 1.0 if rising else 0.0
        if ohms[0] > LEAST_OHMS:  # else what lies there is none at all, and its digits may err upwards
            chance[0] = 0.0 if rising else 1.0
    chance = display.says * chance[::-1]
    siemens = 1.0 / ohms[::-1]
    inside, half = siemens[list(INSIDE)], 0.5 * (siemens[-1] - siemens[0])
    middle = 1.0 / centre
    far = half * np.array(OUTSIDE)
    below, above = middle - far, middle + far
    marks = np.concatenate([below[below > 0.2 * middle], inside, above[above < 8.0 * middle]])
    most = float(siemens[-1]) if chance[-1] == 0.0 else math.inf
    return Window(siemens, chance, np.sort(marks), most, display.gain)


__all__ = ["Display", "Window", "window"]

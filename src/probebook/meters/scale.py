"""The ranges of one function of one instrument as arrays: what noise and gain stand behind a displayed value."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Self

from probebook.meters.model import Function, Meter

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

__all__ = ["SLACK", "Scale"]

#: A value this much above a full scale, relative, still counts as at it: decimal figures are not exact in binary.
SLACK = 1e-9


@dataclass(frozen=True, slots=True, eq=False)
class Scale:
    """The ranges of a function, narrowest first.

    Attributes
    ----------
    leads
        Ohms of leads in each reading.
    top
        The most the function can show, SI.
    full_scales
        Shape ``(r,)``, SI.
    residual
        The most that nulling leaves behind, SI.
    digits
        Digits of the accuracy statement, in counts, shape ``(r,)``.
    resolution
        One count of the display, SI, shape ``(r,)``.
    gain
        Standard deviation of the gain, relative, shape ``(r,)``: the statement's half-width over √3 (JCGM 100:2008,
        4.3.7).
    """

    leads: float
    top: float
    residual: float
    full_scales: Floats
    digits: Floats
    resolution: Floats
    gain: Floats

    @classmethod
    def of(cls, meter: Meter, function: Function, *, nulled: bool = False) -> Self:
        """Read them off an instrument; UsageError when it has no such function or cannot null."""
        import numpy as np

        ranges = meter.ranges_of(function)
        return cls(
            leads=meter.leads_in(function, nulled=nulled),
            top=ranges[-1].full_scale,
            residual=meter.null_residual(function, nulled=nulled),
            full_scales=np.array([r.full_scale for r in ranges]),
            digits=np.array([r.digits for r in ranges]),
            resolution=np.array([r.resolution for r in ranges]),
            gain=np.array([r.fraction_of_reading / np.sqrt(3) for r in ranges]),
        )

    def range_of(self, shown: ArrayLike) -> NDArray[np.intp]:
        """Place of the range that shows each value (SI); the last one for what is over range."""
        import numpy as np

        return np.minimum(np.searchsorted(self.full_scales * (1 + SLACK), shown), len(self.full_scales) - 1)

    @property
    def noise(self) -> Floats:
        """Standard deviation of a displayed value that is each reading's own (digits, rounding), SI, shape ``(r,)``."""
        import numpy as np

        spread = self.digits * self.resolution + self.residual
        return np.asarray(np.sqrt(spread**2 / 3 + self.resolution**2 / 12))

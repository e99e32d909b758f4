"""What reading questions draw, and from where on two readings can be told apart: judgements of teaching."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from probebook.assumptions import Assumed

__all__ = ["ReadingLimits"]


@dataclass(frozen=True)
class ReadingLimits(Assumed, table="questions.reading"):
    """Levels, widths and draws of reading questions.

    Attributes
    ----------
    given_up_to
        Up to this level the ohms of each part are given, the good meter is used and the thermostats call.
    narrow
        Relative width to accept where the ohms of each part are given.
    slip_width, slip_width_rated
        Relative width of a slip's band where ohms are given, and where a learner may start from hot or cold ohms.
    resting
        How often a thermostat rests, above that level.
    beside
        A path beside a part must bring its reading under this share of its own ohms.
    waits
        A path beside a part misleads when it changes the reading by more than this share.
    good_joint
        A good connection reads less.
    leads, paths
        Least and most ohms of a pair of leads, and of an earth path.
    nulled, shows
        How often leads are nulled (above level 1), and how often the reading is asked for when they are not.
    lead_steps
        Steps of the last digit accepted on either side.
    megohms, equal_megohms
        Insulations of parts, and those that all parts have at level 1.
    apart
        Ohms from the rating must be this many times the cold ones.
    resistors
        Known resistors of the stores.
    least_steps
        A display of fewer steps has too few digits to read.
    sound_share, short_share
        Least and most of its own ohms that a sound element reads, and one that is bridged inside.
    """

    given_up_to: Annotated[int, "1"]
    narrow: Annotated[float, "1"]
    slip_width: Annotated[float, "1"]
    slip_width_rated: Annotated[float, "1"]
    resting: Annotated[float, "1"]
    beside: Annotated[float, "1"]
    waits: Annotated[float, "1"]
    good_joint: Annotated[float, "ohm"]
    leads: Annotated[tuple[float, ...], "ohm"]
    paths: Annotated[tuple[float, ...], "ohm"]
    nulled: Annotated[float, "1"]
    shows: Annotated[float, "1"]
    lead_steps: Annotated[float, "1"]
    megohms: Annotated[tuple[float, ...], "Mohm"]
    equal_megohms: Annotated[tuple[float, ...], "Mohm"]
    apart: Annotated[float, "1"]
    resistors: Annotated[tuple[float, ...], "ohm"]
    least_steps: Annotated[int, "1"]
    sound_share: Annotated[tuple[float, ...], "1"]
    short_share: Annotated[tuple[float, ...], "1"]

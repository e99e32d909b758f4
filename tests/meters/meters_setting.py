"""The instruments and limits under test, read once from the project's scenario files."""

from __future__ import annotations

from pathlib import Path

from probebook.assumptions import load_assumptions
from probebook.meters import Function, Meter, Range, Rules, load_meters, load_rules
from probebook.meters.assumed import Astray

SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"
METERS: dict[str, Meter] = load_meters(SCENARIOS / "meters")
ASTRAY = load_assumptions(SCENARIOS).get(Astray)
RULES: Rules = load_rules(SCENARIOS / "limits.toml")

POCKET = METERS["pocket-multimeter"]
BENCH = METERS["bench-multimeter"]
DRIFTED = METERS["drifted-multimeter"]
TESTER = METERS["insulation-tester"]
SOUND = tuple(meter for meter in METERS.values() if meter.gain_error == 0)
SOUND_FUNCTIONS = tuple((meter, function) for meter in SOUND for function in meter.functions)


def one_range(
    full_scale: float,
    resolution: float,
    fraction: float,
    digits: float,
    function: Function = Function.AC_VOLTS,
) -> Meter:
    """Return a meter of one range with no leads, for a published accuracy statement."""
    shown = Range(full_scale, resolution, fraction, digits)
    return Meter("worked-example", "worked example", "published example", "", ((function, (shown,)),), astray=ASTRAY)

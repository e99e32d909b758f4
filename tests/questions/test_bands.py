"""What readings are accepted, and what counts as a path beside: by arithmetic, a little on either side of the edge."""

from __future__ import annotations

from pathlib import Path

import pytest

from probebook.appliances import Appliance, State, load_appliance
from probebook.cases.library import library
from probebook.meters import Function, Meter, read
from probebook.questions import scene as sc
from probebook.questions.reading.facts.sums import sum_band, sum_of

TRADE = library()
BENCH, POCKET = TRADE.meter_for("bench"), TRADE.meter_for("pocket")
OVEN = TRADE.appliance("conventional-oven")
BASE = sc.Scene(OVEN, State("off", lifted=frozenset({"W10"})), ("E2.1", "E2.2"))


@pytest.mark.parametrize(("meter", "nulled"), [(BENCH, False), (BENCH, True), (POCKET, False)])
def test_every_display_of_a_sound_part_is_accepted(meter: Meter, nulled: bool) -> None:
    """The largest and the smallest specimen, cold or by the plate, as the meter may show it at its worst.

    1500 W at 230 V are 35.3 Ω hot; the making tolerance is the branch's own, 0.4 Ω the pocket meter's leads.
    """
    branch = OVEN.branches[OVEN.branch("E2.heater")]
    band = sc.band_about(BASE, meter, Function.OHMS, nulled=nulled)[1]
    most, least = branch.hot_ohms * (1 + branch.tolerance), branch.cold_ohms * (1 - branch.tolerance)
    assert branch.hot_ohms == pytest.approx(230**2 / 1500, rel=0.001)
    highest = read(meter, Function.OHMS, most - 0.02, gain=0.98, wobble=0.98, nulled=nulled).value
    lowest = read(meter, Function.OHMS, least + 0.02, gain=-0.98, wobble=-0.98, nulled=nulled).value
    assert band.holds(highest)
    assert band.holds(lowest)
    statement = 0.01 * most + 5 * 0.1
    assert not band.holds(highest + 2 * statement)
    assert not band.holds(lowest - 2 * statement)


def test_leads_are_in_the_band_once() -> None:
    """Not nulled, both ends of the band lie 0.2 Ω higher, but for the digit that nulling may leave (0.1 Ω)."""
    plain = sc.band_about(BASE, BENCH, Function.OHMS, nulled=False)[1]
    nulled = sc.band_about(BASE, BENCH, Function.OHMS, nulled=True)[1]
    assert BENCH.lead_ohms == 0.2
    assert plain.high - nulled.high == pytest.approx(0.2 - 0.1, abs=0.002)
    assert plain.low - nulled.low == pytest.approx(0.2 + 0.1, abs=0.002)


@pytest.mark.parametrize(("meter", "fraction", "digits"), [(BENCH, 0.005, 2), (POCKET, 0.012, 5)])
def test_the_band_of_a_sum_has_the_meters_width_in_it(meter: Meter, fraction: float, digits: int) -> None:
    """Where ohms are given: 2 % of the sum, the meter's statement on its display and half a digit, and the leads."""
    found = sum_of(BASE)
    band = sum_band(found, meter, 0.02, nulled=False)
    shown = found.total + meter.lead_ohms
    lower = meter.ranges_of(Function.OHMS)[0]
    assert (lower.fraction_of_reading, lower.digits) == (fraction, digits)
    width = fraction * shown + (digits + 0.5) * lower.resolution
    room = 0.02 * found.total + width
    assert band.high == pytest.approx(found.total + meter.lead_ohms + room, abs=fraction * 0.1)
    assert band.low == pytest.approx(found.total - room, abs=fraction * 0.1)


def pair(folder: Path, watts: str) -> Appliance:
    """A heater of 1 kW with another of so many watts beside it, on the same two terminals."""
    small = (Path(__file__).parents[1] / "appliances" / "appliance_text.py").read_text("utf-8")
    text = small.split('SMALL = """')[1].split('"""')[0]
    more = '[[part]]\nmark = "E2"' + text.split('[[part]]\nmark = "E1"')[1].split("[[wire]]")[0]
    more = more.replace("1 kW", watts).replace("base", "top")
    wires = ""
    for mark, tag in (("W8", "1"), ("W9", "2")):
        wires += f'[[wire]]\nmark = "{mark}"\nfrom = "E1.{tag}"\nto = "E2.{tag}"\n'
        wires += 'colour = "brown"\narea = "1.5 mm2"\nlength = "0.1 m"\n\n'
    text = text.replace("[[wire]]", more + "[[wire]]", 1).replace("[[position]]", wires + "[[position]]", 1)
    text = text.replace('works = ["E1.heater"]', 'works = ["E1.heater", "E2.heater"]')
    path = folder / "small.toml"
    fault = '[[fault]]\nid = "open"\nkind = "open"\ntitle = "open"\non = "E1.heater"\nlikelihood = 1\n'
    fault += 'basis = "invented"\nlooks = "nothing to see"\nhidden = true\nmend = "mend it"\n'
    path.write_text(f"{text}\n{fault}", "utf-8")
    return load_appliance(path, scenarios=TRADE.folder)


@pytest.mark.parametrize(("watts", "counts"), [("200 W", True), ("6 W", True), ("4 W", False)])
def test_a_path_matters_from_half_a_per_cent_on(tmp_path: Path, watts: str, counts: bool) -> None:
    """Beside 1 kW, 6 W change the reading by 0.6 % and matter; 4 W change it by 0.4 % and do not (G = P ÷ V²)."""
    scene = sc.Scene(pair(tmp_path, watts), State("off"), ("E1.1", "E1.2"))
    names = [branch.name for branch in sc.contributors(scene)]
    assert names == (["E1.heater", "E2.heater"] if counts else ["E1.heater"])

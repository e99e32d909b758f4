"""The checker of appliance files: each defect found in a file broken for it, and nothing found in the library."""

from __future__ import annotations

from pathlib import Path

import pytest
from appliance_text import FAULTS, FOLDER, SCENARIOS, SMALL, changed, fault, write

from probebook.appliances.checking import Finding, Severity, check_appliance

BROKEN = {
    "unknown-terminal": ('to = "E1.1"', 'to = "E1.7"', "there is no terminal 'E1.7'; did you mean 'E1."),
    "floating-terminal": (
        'tags = ["L", "N", "E"]',
        'tags = ["L", "N", "E", "L2"]',
        "nothing is connected to terminal 'X1.L2'",
    ),
    "position-shorts-neutral": ('to = "E1.1"', 'to = "E1.2"', "this position shorts line to neutral"),
    "position-shorts-earth": ('to = "E1.1"', 'to = "CH.1"', "this position shorts line to earth"),
    "element-without-rating": (', power = "1 kW", place', ", place", "part[5].sections[1].power"),
    "element-with-no-watts": (
        ', power = "1 kW", place',
        ', power = "0 W", place',
        "the rating of section 'heater' must be more",
    ),
    "fault-on-missing-part": ('on = "B1"\nlikelihood', 'on = "B9"\nlikelihood', "there is nothing called 'B9'"),
    "unit-error": ('length = "0.5 m"', 'length = "0.5 kg"', "kg"),
    "unit-missing": ('voltage = "230 V"', "voltage = 230", "plate.voltage"),
    "duplicate-mark": ('mark = "W2"', 'mark = "W1"', "the mark 'W1' is used twice"),
    "colour-outside-the-standard": (
        'colour = "brown"',
        'colour = "pink"',
        "'pink' is not a conductor colour of IEC 60445",
    ),
    "green-and-yellow-on-a-live-wire": (
        'colour = "brown"',
        'colour = "green-yellow"',
        "an end of this wire is no earth point",
    ),
    "earth-wire-of-another-colour": (
        'colour = "green-yellow"',
        'colour = "grey"',
        "a protective conductor is green-and-yellow",
    ),
    "blue-on-the-line-terminal": ('colour = "brown"', 'colour = "blue"', "blue, the neutral's colour"),
    "range-backwards": ('["50 degC", "250 degC"]', '["250 degC", "50 degC"]', "the range runs backwards"),
    "range-unreachable": ('["50 degC", "250 degC"]', '["50 degC", "900 degC"]', "hotter than any element gets"),
    "differential-too-wide": (
        'differential = "9 K"',
        'differential = "300 K"',
        "the differential is wider than the range",
    ),
    "source-missing": ('source = "invented for this test"\n', "", "source"),
    "source-empty": ('source = "invented for this test"\n', 'source = ""\n', "source"),
    "works-too-much": (
        "closes = []\nworks = []",
        'closes = []\nworks = ["E1.heater"]',
        "said to work but gets no power",
    ),
    "works-too-little": ('works = ["E1.heater"]', "works = []", "gets power but is not said to work"),
    "plate-too-high": ('power = "1 kW"\nprotection', 'power = "1.2 kW"\nprotection', "the plate says 1200 W"),
    "plate-too-low": ('power = "1 kW"\nprotection', 'power = "900 W"\nprotection', "the plate says 900 W"),
    "leaks-when-hot": (
        'insulation = "400 Mohm"',
        'insulation = "400 Mohm"\ninsulation_hot = "100 kohm"',
        "IEC 60335-1, clauses 13.2",
    ),
    "breaker-too-small": ('breaker = "16 A"', 'breaker = "2 A"', "trips its circuit breaker"),
    "id-differs": ('id = "small"', 'id = "smaller"', "differs from the file's name"),
    "unknown-position-contact": (
        'closes = ["S1.a"]',
        'closes = ["S1.b"]',
        "'S1.b' is not a contact of a selector or switch",
    ),
}


@pytest.mark.parametrize("defect", BROKEN)
def test_each_defect_is_found(tmp_path: Path, defect: str) -> None:
    """A file with one defect yields a finding that names it, with its place."""
    old, new, message = BROKEN[defect]
    found = check_appliance(write(tmp_path, changed((old, new))), scenarios=SCENARIOS)
    assert any(message in str(finding) for finding in found), [str(finding) for finding in found]
    assert all(str(finding).startswith("small.toml") and "\n" not in str(finding) for finding in found)
    assert found[0].severity in (Severity.ERROR, Severity.WARNING)


def test_a_sound_file_has_no_finding(tmp_path: Path) -> None:
    """The file that the defects are made in is sound."""
    assert check_appliance(write(tmp_path), scenarios=SCENARIOS) == []


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.toml")), ids=lambda path: path.stem)
def test_the_library_has_no_finding(path: Path) -> None:
    """No appliance of the library has an error, a doubt, or two faults that nothing tells apart."""
    assert [str(finding) for finding in check_appliance(path, scenarios=SCENARIOS)] == []


def test_metalwork_out_of_reach_of_earth_is_found(tmp_path: Path) -> None:
    """IEC 60335-1 clause 27.5: class I metalwork must be joined to earth by 0.1 Ω or less; a second part is not."""
    second = '\n[[part]]\nmark = "CH2"\nkind = "metalwork"\ntitle = "lid"\ntags = ["1"]\n'
    found = [str(f) for f in check_appliance(write(tmp_path, SMALL + FAULTS + second), scenarios=SCENARIOS)]
    assert any("earth does not reach 'CH2.1' within 0.1 Ω" in sentence for sentence in found)
    thin = changed(('colour = "green-yellow"\narea = "1.5 mm2"', 'colour = "green-yellow"\narea = "0.05 mm2"'))
    found = [str(f) for f in check_appliance(write(tmp_path, thin), scenarios=SCENARIOS)]
    assert any("earth does not reach 'CH.1'" in sentence for sentence in found)


def test_a_colour_outside_the_standard_passes_with_a_note(tmp_path: Path) -> None:
    """A note that says why is all that another colour needs."""
    noted = changed(('colour = "brown"', 'colour = "orange"\nnote = "maker\'s harness"'))
    assert check_appliance(write(tmp_path, noted), scenarios=SCENARIOS) == []


def test_a_cut_out_that_cuts_the_range_short_is_found(tmp_path: Path) -> None:
    """A cut-out at the thermostat's own place that opens at 200 °C leaves 200 to 250 °C out of reach."""
    cut = '\n[[part]]\nmark = "F1"\nkind = "cut-out"\ntitle = "cut-out"\nbetween = ["1", "2"]\nopens_at = "200 degC"\n'
    cut += 'reset = "self"\nsenses = "air"\n'
    text = changed(('to = "E1.1"', 'to = "F1.1"')) + cut
    text += (
        '\n[[wire]]\nmark = "W6"\nfrom = "F1.2"\nto = "E1.1"\ncolour = "black"\narea = "1.5 mm2"\nlength = "0.2 m"\n'
    )
    found = check_appliance(write(tmp_path, text), scenarios=SCENARIOS)
    assert ["cut-out F1 opens below it" in str(finding) for finding in found] == [True]


def _informations(found: list[Finding]) -> list[str]:
    return [finding.message for finding in found if finding.severity is Severity.INFORMATION]


def test_a_fault_that_leaves_nothing_to_see_says_so_by_key(tmp_path: Path) -> None:
    """Words that say there is nothing to see, without ``hidden = true``, are warned of: nobody reads them."""
    told = FAULTS.replace("hidden = true\n", "", 1)
    assert told != FAULTS
    found = check_appliance(write(tmp_path, SMALL + told), scenarios=SCENARIOS)
    assert [f.remedy for f in found if f.where.endswith("looks")] == ["write hidden = true"]


def test_faults_that_nothing_tells_apart_are_listed_by_name(tmp_path: Path) -> None:
    """Two faults with one effect and one look, and a fault without effect, are named as information."""
    twin = fault("element-open-again", "open", "E1.heater")
    found = check_appliance(write(tmp_path, SMALL + FAULTS + twin), scenarios=SCENARIOS)
    assert _informations(found) == ["no obtainable observation tells 'element-open' from 'element-open-again'"]
    idle = fault("left-alone", "user-setting", "")
    found = check_appliance(write(tmp_path, SMALL + FAULTS + idle), scenarios=SCENARIOS)
    assert _informations(found) == ["no obtainable observation tells 'left-alone' from 'nothing wrong'"]


def test_faults_that_only_a_look_tells_apart_are_said_to_be_so(tmp_path: Path) -> None:
    """The same pair with different looks can be told by eye, and the finding says that no reading does."""
    twin = fault("element-open-again", "open", "E1.heater")
    twin = twin.replace('"nothing to see"\nhidden = true', '"sheath blistered"')
    found = check_appliance(write(tmp_path, SMALL + FAULTS + twin), scenarios=SCENARIOS)
    assert _informations(found) == ["only what is seen tells 'element-open' from 'element-open-again'; no reading does"]


def test_few_faults_are_remarked_on(tmp_path: Path) -> None:
    """An appliance with fewer than six faults is a warning, not an error."""
    found = check_appliance(write(tmp_path, SMALL + fault("element-open", "open", "E1.heater")), scenarios=SCENARIOS)
    assert [(f.severity, f.message) for f in found] == [(Severity.WARNING, "faults described: 1")]


def test_errors_come_first(tmp_path: Path) -> None:
    """The gravest finding leads the list."""
    twin = fault("element-open-again", "open", "E1.heater")
    text = changed(('colour = "brown"', 'colour = "pink"'), text=SMALL + FAULTS + twin)
    severities = [finding.severity for finding in check_appliance(write(tmp_path, text), scenarios=SCENARIOS)]
    assert severities == [Severity.ERROR, Severity.INFORMATION]


def test_a_file_that_is_not_there_is_a_finding(tmp_path: Path) -> None:
    """A missing file is told in one sentence like any other defect."""
    (finding,) = check_appliance(tmp_path / "ghost.toml", scenarios=SCENARIOS)
    assert finding.severity is Severity.ERROR
    assert "there is no such file" in str(finding)

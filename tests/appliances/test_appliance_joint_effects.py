"""Two faults on one branch: which of them is felt, and how they add up."""

from __future__ import annotations

import pytest
from appliance_text import FAULTS, SCENARIOS, SMALL, fault, write

from probebook.appliances import Appliance, effect_of, load_appliance

MORE = (
    fault("second-leak", "leak", "E1.heater", 'ohms = "5 kohm"\nohms_hot = "6 kohm"')
    + fault("second-drift", "drift", "E1.heater", "factor = 1.2")
    + fault("tag-burnt", "high-resistance", "W3", 'ohms = "12 ohm"')
    + fault("tag-loose", "high-resistance", "W3", 'ohms = "3 ohm"')
)


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Appliance:
    """A heater with two faults of each sort on one branch."""
    return load_appliance(write(tmp_path_factory.mktemp("two"), SMALL + FAULTS + MORE), scenarios=SCENARIOS)


@pytest.mark.parametrize("order", [1, -1])
def test_of_two_leaks_on_one_path_the_stronger_is_felt(small: Appliance, order: int) -> None:
    """30 kΩ and 5 kΩ to one metalwork read as the 5 kΩ; hot, where they have 4 kΩ and 6 kΩ, as the 4 kΩ."""
    both = [small.fault(name) for name in ("element-leak", "second-leak")][::order]
    effect = effect_of(small, both)
    path = small.branch("E1.heater~CH.1")
    assert (effect.force[path], effect.force_hot[path]) == (5e3, 4e3)


def test_two_drifts_multiply_and_two_bad_joints_add(small: Appliance) -> None:
    """1.3 times and 1.2 times the ohms are 1.56 times; 12 Ω and 3 Ω in one wire are 15 Ω (series)."""
    drifts = effect_of(small, [small.fault(name) for name in ("element-drift", "second-drift")])
    assert drifts.factor[small.branch("E1.heater")] == pytest.approx(1.56)
    joints = effect_of(small, [small.fault(name) for name in ("tag-burnt", "tag-loose")])
    assert joints.series[small.branch("W3")] == pytest.approx(15.0)

"""How far the car and its upgrades reach."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.supply import currents, ladder
from basswright.supply.reach import charging_relief, power_without_upgrade_w, upgrade_reaches
from tests.supply.sample import charging, snapshot


@pytest.mark.parametrize("linear", [False, True])
def test_the_reach_is_where_the_first_upgrade_is_bought(linear: bool) -> None:
    """A watt below it costs no upgrade, a watt above does."""
    steps = ladder(charging(), snapshot())
    reach = power_without_upgrade_w(steps, 0.6, 13.8, linear_stage=linear)
    needed = []
    for power in (reach - 1, reach + 1):
        peak, average = currents(power, 0.6, 13.8, linear_stage=linear)
        chosen = steps.chosen(float(peak), float(average))
        assert chosen is not None
        needed.append(chosen[0].price > 0)
    assert needed == [False, True]


def test_each_worthwhile_upgrade_reaches_further() -> None:
    """In order of price, the first is the car as it is."""
    found = upgrade_reaches(ladder(charging(), snapshot()), 0.8, 13.8)
    assert found[0][0].price == 0
    assert np.all(np.diff([upgrade.price for upgrade, _ in found]) > 0)
    assert np.all(np.diff([power for _, power in found]) > 0)


def test_relief_names_a_part_and_a_gain() -> None:
    """The cheapest upgrade that is enough, and the watts without one."""
    steps = ladder(charging(), snapshot())
    assert charging_relief(steps, 10.0, 0.8, 13.8) == ()
    part, gain = charging_relief(steps, 40.0, 0.8, 13.8)
    assert part.amount == pytest.approx(420)
    assert gain.amount == np.floor(power_without_upgrade_w(steps, 0.8, 13.8))
    hopeless = charging_relief(steps, 1000.0, 0.8, 13.8)
    assert [relief.unit for relief in hopeless] == ["W"]


def test_a_car_with_nothing_left_over_reaches_nowhere() -> None:
    """The lights alone take all."""
    steps = ladder(charging(base_load_a=110.0), snapshot())
    assert power_without_upgrade_w(steps, 0.8, 13.8) == 0.0

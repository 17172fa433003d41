"""A car's supply under a programme."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.errors import InputError
from basswright.records.system import SupplyPlan
from basswright.supply import plan
from basswright.supply.programme import demand_w, invented_piece
from basswright.supply.simulate import SupplyCase, SupplyTrace, alternator_limit_a, simulate
from tests.supply.sample import battery, charging, snapshot

PIECE = invented_piece(20.0)


@pytest.fixture(name="made", scope="module")
def _made() -> SupplyPlan:
    return plan(charging(), snapshot(), peak_a=60.0, average_a=22.0)


def _play(made: SupplyPlan, **changes: object) -> SupplyTrace:
    case = SupplyCase.model_validate(changes)
    return simulate(made, charging(), demand_w(PIECE, 660.0, 0.8), case=case)


def test_at_speed_the_alternator_holds_the_bus(made: SupplyPlan) -> None:
    """Regulated voltage less a little droop; nothing is taken from the battery."""
    trace = _play(made, engine_rpm=2500.0)
    assert trace.bus_v.mean() == pytest.approx(14.0, abs=0.3)
    assert trace.battery_used_ah < 0
    assert trace.amplifier_v.mean() < trace.bus_v.mean()


def test_at_idle_by_night_the_battery_pays(made: SupplyPlan) -> None:
    """The bus falls to the battery's voltage, the alternator gives all it has."""
    trace = _play(made)
    assert trace.bus_v.mean() < 12.65
    assert trace.alternator_a.max() == pytest.approx(48, abs=0.5)
    assert trace.battery_used_ah > 0
    mean_out = trace.cable_a.mean() + 45 - 48
    assert trace.battery_used_ah * 3600 / 20 == pytest.approx(mean_out, abs=0.5)


def test_with_the_engine_off_the_alternator_gives_nothing(made: SupplyPlan) -> None:
    """And the voltage lies lower still than at idle."""
    off = _play(made, engine_rpm=0.0)
    assert off.alternator_a.max() == 0.0
    assert off.lowest_v < _play(made, night=False).lowest_v


def test_cold_age_and_a_low_charge_each_lower_the_voltage(made: SupplyPlan) -> None:
    """One at a time, engine off."""
    usual = _play(made, engine_rpm=0.0).lowest_v
    for change in ({"battery_c": -15.0}, {"health_share": 0.5}, {"charge_share": 0.5}):
        assert _play(made, engine_rpm=0.0, **change).lowest_v < usual - 0.05


def test_a_sagging_supply_clips_an_unregulated_amplifier(made: SupplyPlan) -> None:
    """Output falls with the square of the supply below its rated one: the loudest beats
    are cut, and none when the amplifier has power to spare."""
    cut = _play(made, input_power_w=825.0)
    assert 0 < cut.clipped_share < 0.5
    assert _play(made, input_power_w=2000.0).clipped_share == 0.0
    assert _play(made).clipped_share == 0.0


def test_lights_dip_with_the_beat_and_less_at_speed(made: SupplyPlan) -> None:
    """A steady load does not dim anything."""
    idle, fast = _play(made).lights_dip_share, _play(made, engine_rpm=3000.0).lights_dip_share
    assert 0.01 < fast < idle < 0.5
    steady = simulate(made, charging(), np.full(4000, 500.0), case=SupplyCase())
    assert steady.lights_dip_share < 0.002


def test_a_capacitor_steadies_and_gives_no_energy(made: SupplyPlan) -> None:
    """The mean while it is loud rises by little; the charge taken stays the same."""
    bare, helped = _play(made), _play(made, capacitor_farad=1.0)
    assert 0 < helped.loud_v - bare.loud_v < 0.15
    assert helped.battery_used_ah == pytest.approx(bare.battery_used_ah, rel=0.02)


def test_a_second_battery_does_more_than_a_capacitor() -> None:
    """At the amplifier it carries seconds, not milliseconds."""
    car = charging(battery_capacity_ah=40.0)
    shelf = snapshot(batteries=(battery(60.0, 680.0, 26.0, role="second"),))
    both = plan(car, shelf, peak_a=60.0, average_a=22.0)
    assert both.battery is not None
    alone = both.model_copy(update={"battery": None})
    demand = demand_w(PIECE, 660.0, 0.8)
    with_second = simulate(both, car, demand, case=SupplyCase())
    capacitor = simulate(alone, car, demand, case=SupplyCase(capacitor_farad=1.0))
    assert with_second.loud_v > capacitor.loud_v + 0.1


def test_the_alternator_of_the_plan_is_used() -> None:
    """180 A, 90 A at idle, 0.8 of it hot."""
    made = plan(charging(), snapshot(), peak_a=80.0, average_a=40.0)
    assert alternator_limit_a(made, charging(), SupplyCase()) == pytest.approx(72)
    assert alternator_limit_a(made, charging(), SupplyCase(engine_rpm=0.0)) == 0.0


@pytest.mark.parametrize("demand", [[1.0], [1.0, np.nan], [1.0, -1.0], [[1.0, 2.0]]])
def test_what_is_no_demand_is_refused(made: SupplyPlan, demand: list[float]) -> None:
    """One sample, not a number, negative, or two-dimensional."""
    with pytest.raises(InputError, match="demand_w"):
        simulate(made, charging(), np.array(demand), case=SupplyCase())

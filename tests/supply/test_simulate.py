"""A car's supply under a programme."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.errors import InputError
from basswright.records.system import SupplyPlan
from basswright.supply import plan
from basswright.supply.circuit import NO_STORE
from basswright.supply.programme import demand_w, invented_piece
from basswright.supply.rules import SupplyRules
from basswright.supply.simulate import (
    SupplyCase,
    SupplyTrace,
    alternator_limit_a,
    circuit,
    simulate,
)
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


def test_the_network_of_a_plan_holds_the_cars_own_figures(made: SupplyPlan) -> None:
    """By hand: 0.55 x 5.1 V / 640 A / 0.85 = 5.156 mohm; 3 F and 20 ohm for each of 70 Ah."""
    case = SupplyCase(charge_share=0.75, capacitor_farad=2.0, input_power_w=1000.0)
    found = circuit(made, charging(), case)
    ohm = 0.55 * 5.1 / 640 / 0.85
    assert found.battery == pytest.approx((12.45, ohm, 3 * 70 * 0.85, ohm, 20 / 70))
    assert found.second == NO_STORE
    assert (found.set_v, found.base_a) == (14.0, 45.0)
    assert (found.lag_s, found.alternator_ohm) == (0.1, 2e-3)
    assert found.loop_ohm == pytest.approx(made.drop_v / 60)
    assert found.loop_henry == pytest.approx(0.8e-6 * 5.5)
    assert (found.input_farad, found.input_ohm) == (0.01, 5e-3)
    assert (found.capacitor_farad, found.capacitor_ohm) == (2.0, 2.5e-3)
    assert found.clip_siemens == pytest.approx(1000 / 14.4**2)


def test_the_network_follows_the_case(made: SupplyPlan) -> None:
    """By day 0.55 of the load; engine off the radio's 6 A; at -18 C 1/0.55 of the resistance,
    half-way from there to 25 C half-way between."""
    day = circuit(made, charging(), SupplyCase(night=False))
    assert day.base_a == pytest.approx(0.55 * 45)
    assert circuit(made, charging(), SupplyCase(engine_rpm=0.0)).base_a == 6.0
    warm = circuit(made, charging(), SupplyCase()).battery.series_ohm
    for temperature, factor in ((-18.0, 1 / 0.55), (3.5, (1 + 1 / 0.55) / 2), (40.0, 1.0)):
        cold = circuit(made, charging(), SupplyCase(battery_c=temperature)).battery.series_ohm
        assert cold / warm == pytest.approx(factor)


def test_a_new_battery_stands_in_the_place_of_its_role(made: SupplyPlan) -> None:
    """Instead of the car's own, or beside it at the amplifier."""
    new = made.model_copy(update={"battery": battery(95.0, 850.0, 1.0)})
    replaced = circuit(new, charging(), SupplyCase(health_share=1.0))
    assert replaced.battery.series_ohm == pytest.approx(0.55 * 5.1 / 850)
    assert replaced.battery.surface_farad == pytest.approx(3 * 95)
    assert replaced.second == NO_STORE
    beside = made.model_copy(update={"battery": battery(60.0, 680.0, 1.0, role="second")})
    both = circuit(beside, charging(), SupplyCase(health_share=1.0))
    assert both.battery.series_ohm == pytest.approx(0.55 * 5.1 / 640)
    assert both.second.series_ohm == pytest.approx(0.55 * 5.1 / 680)
    assert both.second.charge_ohm == pytest.approx(20 / 60)


def _trace(**changes: object) -> SupplyTrace:
    flat = np.full(8000, 13.5)
    values: dict[str, object] = {
        "time_s": np.arange(8000) * 0.5e-3,
        "demand_w": np.zeros(8000),
        "amplifier_v": flat,
        "bus_v": flat,
        "alternator_a": flat,
        "battery_a": np.zeros(8000),
        "cable_a": flat,
        "clipped": np.zeros(8000, dtype=bool),
    }
    return SupplyTrace(**(values | changes))  # type: ignore[arg-type]


def test_ampere_hours_are_the_time_integral_of_the_current() -> None:
    """36 A for four seconds: 0.04 Ah."""
    assert _trace(battery_a=np.full(8000, 36.0)).battery_used_ah == pytest.approx(0.04)


def test_the_loud_voltage_is_the_mean_above_half_of_the_greatest_demand() -> None:
    """400 W and 201 W count, 199 W does not; without any demand it is the lowest."""
    demand, volts = np.zeros(8000), np.full(8000, 13.5)
    demand[:3], volts[:3] = (400.0, 201.0, 199.0), (12.0, 12.5, 11.0)
    trace = _trace(demand_w=demand, amplifier_v=volts)
    assert trace.loud_v == pytest.approx(12.25)
    assert trace.lowest_v == 11.0
    assert _trace(amplifier_v=volts).loud_v == 11.0


def test_lights_dip_with_the_power_three_point_four_of_the_voltage() -> None:
    """A fall by 10 % that lasts a tenth of a second, longer than a filament's 50 ms lag, takes
    1 - 0.9^3.4 = 30 % of the light, seen against the mean of the last two seconds."""
    bus = np.full(8000, 13.5)
    bus[6000:6200] = 0.9 * 13.5
    left = 0.9**3.4
    mean = (3900 + 100 * left) / 4000  # once all of the lag's 50 ms lie in the fall
    assert _trace(bus_v=bus).lights_dip_share == pytest.approx(1 - left / mean, rel=1e-6)
    short = np.full(8000, 13.5)
    short[6000:6050] = 0.9 * 13.5
    half = (50 + 50 * left) / 100
    mean = (3950 + 50 * left) / 4000
    assert _trace(bus_v=short).lights_dip_share == pytest.approx(1 - half / mean, rel=1e-6)


def test_a_trace_keeps_the_demand_and_its_time_and_currents_balance(made: SupplyPlan) -> None:
    """Steps of 0.5 ms; at the bus what comes in goes out, at every step."""
    demand = demand_w(invented_piece(2.0), 660.0, 0.8)
    trace = simulate(made, charging(), demand, case=SupplyCase())
    assert trace.time_s == pytest.approx(0.5e-3 * np.arange(4000))
    assert np.array_equal(trace.demand_w, demand)
    given = trace.alternator_a + trace.battery_a
    assert given == pytest.approx(45.0 + trace.cable_a, abs=1e-6)
    assert trace.cable_a.mean() * trace.amplifier_v.mean() == pytest.approx(demand.mean(), rel=0.01)


def test_planning_cases_are_those_of_the_documentation() -> None:
    """Regression of the stated defaults: idle, hot, by night, nine tenths charged, aged."""
    case = SupplyCase()
    assert (case.engine_rpm, case.hot, case.night) == (750.0, True, True)
    assert (case.charge_share, case.health_share, case.battery_c) == (0.9, 0.85, 25.0)
    assert (case.engine_off_load_a, case.rated_voltage_v) == (6.0, 14.4)
    assert (case.capacitor_farad, case.capacitor_ohm, case.input_power_w) == (0.0, 2.5e-3, 0.0)
    rules = SupplyRules()
    assert (rules.drop_limit_v, rules.conductor_c, rules.copper_only) == (0.5, 50.0, True)
    assert (rules.engine_off_s, rules.engine_off_load_a) == (15 * 60, 6.0)
    assert (rules.idle_s, rules.recharge_a) == (30 * 60, 10.0)
    assert (rules.programme_duty_share, rules.hourly_rate) == (pytest.approx(1 / 3), 0.0)

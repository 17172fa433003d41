"""Facts of the trade that the chain and the demo range must reproduce.

Each is common practice, no source, unless a source is named beside it.
"""

from __future__ import annotations

import numpy as np
import pytest

from basswright import drive, jobs, supply
from basswright.catalogue import demo
from basswright.records.amplifier import Amplifier, PowerRating
from basswright.records.enclosure import Cuboid, Driver, Enclosure
from basswright.records.snapshot import Snapshot
from basswright.sound import loudness


@pytest.fixture(scope="module")
def snapshot() -> Snapshot:
    return demo.make().snapshot


def _amplifier(*ratings: tuple[float, float]) -> Amplifier:
    return Amplifier(
        id="a",
        maker="Invented",
        model="A",
        channels=1,
        ratings=tuple(
            PowerRating(mode="single", load_ohm=load, power_w=power) for load, power in ratings
        ),
        lowest_load_ohm=min(load for load, _ in ratings),
        rated_voltage_v=14.4,
        rated_distortion_share=0.01,
        regulated=True,
        amplifier_class="D",
        price=100,
    )


def _below_top_db(power_w: float, top_w: float = 500.0, load_ohm: float = 2.0) -> float:
    table = drive.match_table(
        load_ohm,
        100.0,
        top_w,
        drive.outputs([_amplifier((load_ohm, power_w))]),
        supply_voltage_v=14.4,
    )
    return float(table.below_top_db[0, 0])


def test_half_the_power_costs_three_decibels_and_is_far_from_half_as_loud() -> None:
    """10 log10(1/2) = -3.01 dB (definition); ISO 226:2023 makes it about 0.7 as loud."""
    assert _below_top_db(250.0) == pytest.approx(3.0103, abs=1e-3)
    ratio = float(loudness.times_as_loud(97.0, 100.0103, 40.0))
    assert 0.6 < ratio < 0.8


def test_ten_decibels_sound_twice_as_loud_at_mid_frequencies_only() -> None:
    """ISO 226 and the sone: 10 dB doubles at 1 kHz, about 5.6 dB do at 40 Hz."""
    assert float(loudness.times_as_loud(70.0, 60.0, 1000.0)) == pytest.approx(2.0, rel=0.01)
    at_40 = float(loudness.times_as_loud(94.2 + 10, 94.2, 40.0))
    assert at_40 > 3.0


def test_an_amplifier_somewhat_below_the_top_gives_away_little() -> None:
    """Four fifths of the power: 0.97 dB (definition of the decibel)."""
    assert _below_top_db(400.0) == pytest.approx(0.969, abs=1e-3)


def test_what_counts_is_the_total_load() -> None:
    """A box with two 4-ohm drivers in parallel is matched at 2 ohm and not at 4."""
    box = Enclosure(
        id="two-fours",
        maker="Invented",
        model="Two fours",
        kind="closed",
        shape=Cuboid(width_m=0.7, height_m=0.35, depth_m=0.35),
        driver=Driver(size_m=0.25, count=2),
        load_ohm=drive.coil_loads([4.0, 4.0])[0].load_ohm,
        power_low_w=150,
        power_high_w=600,
        price=1,
    )
    head_unit = jobs.parse_job(jobs.sample_text("hatchback")).car.head_unit
    match = drive.match(
        box, _amplifier((4.0, 300.0), (2.0, 520.0)), supply_voltage_v=14.4, head_unit=head_unit
    )
    assert match.load_ohm == pytest.approx(2.0)
    assert match.available_w == pytest.approx(520.0)


def _median(snapshot: Snapshot, kind: str, size_m: float, count: int, figure: str) -> float:
    values = []
    for each in snapshot.enclosures:
        if each.kind != kind or each.driver.count != count:
            continue
        if abs(each.driver.size_m - size_m) > 0.01:
            continue
        shape = each.shape
        depth = (
            shape.depth_m
            if shape.form == "cuboid"
            else (shape.depth_bottom_m + shape.depth_top_m) / 2
        )
        if figure == "outer":
            values.append(shape.width_m * shape.height_m * depth)
        elif figure == "low" and each.low_limit_hz is not None:
            values.append(each.low_limit_hz)
    return float(np.median(values))


@pytest.mark.parametrize("size_m", [0.25, 0.30])
def test_kinds_of_box_differ_as_the_trade_knows_them(snapshot: Snapshot, size_m: float) -> None:
    """For the same cone: closed smallest; passive radiator about as large as two closed cones."""
    closed = _median(snapshot, "closed", size_m, 1, "outer")
    vented = _median(snapshot, "vented", size_m, 1, "outer")
    radiator = _median(snapshot, "passive-radiator", size_m, 1, "outer")
    two = _median(snapshot, "closed", size_m, 2, "outer")
    assert closed < vented
    assert closed < radiator
    assert 0.5 < radiator / two < 1.5
    assert _median(snapshot, "passive-radiator", size_m, 1, "low") < _median(
        snapshot, "closed", size_m, 1, "low"
    )


def test_a_small_cone_can_reach_as_low_as_a_large_one(snapshot: Snapshot) -> None:
    """Some 8-inch box states a lower limit than half of the 15-inch boxes."""
    low = {
        size: [
            each.low_limit_hz
            for each in snapshot.enclosures
            if abs(each.driver.size_m - size) < 0.01 and each.low_limit_hz is not None
        ]
        for size in (0.20, 0.38)
    }
    assert min(low[0.20]) < np.median(low[0.38])


def test_more_power_needs_more_cable_and_then_more_charging(snapshot: Snapshot) -> None:
    """Up to 500 W a common car needs no upgrade; between 500 and 1,000 W help is needed."""
    charging = jobs.parse_job(jobs.sample_text("hatchback")).car.charging
    plans = {}
    for power in (150, 300, 500, 750, 1000, 1300):
        peak, average = supply.currents(power, 0.80, charging.running_voltage_v)
        plans[power] = supply.plan(charging, snapshot, peak_a=float(peak), average_a=float(average))
    upgraded = [
        power
        for power, plan in plans.items()
        if plan.battery is not None or plan.alternator is not None
    ]
    assert 500 < min(upgraded) <= 1000
    prices = [plan.cable.price for plan in plans.values()]
    assert prices == sorted(prices)
    assert prices[0] < prices[3] < prices[-1]

"""The table of levels against the network it stands for."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from basswright.errors import InputError
from basswright.sound.air import half_space_transfer
from basswright.sound.bands import band
from basswright.sound.copper import HOT_OVER_COLD
from basswright.sound.filters import chain_response
from basswright.sound.goals import loudest_level, low_limit
from basswright.sound.grid import octave_grid
from basswright.sound.levels import level_table
from basswright.sound.loudest import loudest_curves
from basswright.sound.models import joined
from basswright.sound.network import solve
from basswright.sound.prediction import loudest_of, predict
from basswright.sound.response import respond
from tests.sound.worked import BOXES

GRID = octave_grid(16.0, 100.0)


@pytest.mark.parametrize("kind", list(BOXES))
def test_table_agrees_with_network(kind: str) -> None:
    """Level per volt and impedance of the fast loop are those of the complex network."""
    table = level_table(BOXES[kind], GRID, half_space_transfer(GRID), lowpass_hz=None)
    answer = respond(BOXES[kind], GRID)
    wanted = 20 * np.log10(np.abs(answer.pressure_pa) / 20e-6)
    np.testing.assert_allclose(table.per_volt_db, wanted, atol=1e-9)
    np.testing.assert_allclose(table.impedance_ohm, np.abs(answer.impedance_ohm), rtol=1e-10)


@pytest.mark.parametrize("kind", list(BOXES))
def test_own_limit_is_where_one_part_reaches_its_end(kind: str) -> None:
    """At the box's own limit the named part is at its end and no other beyond."""
    box = BOXES[kind]
    table = level_table(box, GRID, half_space_transfer(GRID), lowpass_hz=None)
    volts = 10 ** ((table.own_limit_db - table.per_volt_db)[0, 0] / 20)
    answer = respond(box, GRID)
    peak = np.sqrt(2) * volts
    heat = (volts / np.abs(answer.impedance_ohm[0, 0])) ** 2 * box.Re_ohm[0, 0] * HOT_OVER_COLD
    speed = [
        peak * np.abs(part[0, 0]) / limit[0, 0]
        for part, limit in (
            (answer.vent_m_per_s, box.rear.vent_speed_m_per_s),
            (answer.front_vent_m_per_s, box.front.vent_speed_m_per_s),
        )
    ]
    used = np.array(
        [
            heat / box.heat_limit_w[0, 0],
            peak * np.abs(answer.cone_m[0, 0]) / box.Xmax_m[0, 0],
            np.maximum(*speed),
            peak * np.abs(answer.vent_m[0, 0]) / box.rear.vent_excursion_m[0, 0],
        ]
    )
    np.testing.assert_allclose(used.max(axis=0), 1.0, rtol=1e-9)
    np.testing.assert_array_equal(used.argmax(axis=0), table.own_limit_index[0, 0])


def test_displacement_limited_level() -> None:
    """Half a litre of peak displacement gives 94.57 dB at 20 Hz, 1 m, half space.

    p = rho (2 pi f)^2 Vd / (2 pi sqrt 2) (Small 1972, displacement-limited output).
    """
    box = BOXES["closed"]
    f = np.array([20.0])
    table = level_table(box, f, half_space_transfer(f), lowpass_hz=None)
    litres = box.Sd_m2[0, 0] * box.Xmax_m[0, 0] * 1000
    assert table.own_limits[table.own_limit_index[0, 0, 0]] == "cone excursion"
    assert table.own_limit_db[0, 0, 0] == pytest.approx(
        94.57 + 20 * np.log10(litres / 0.5), abs=0.01
    )


def test_blocks_do_not_change_results() -> None:
    """A box gives the same alone as among a thousand others."""
    many = joined([BOXES["closed"], BOXES["vented"]] * 400)
    table = level_table(many, GRID, half_space_transfer(GRID), lowpass_hz=80.0)
    alone = level_table(BOXES["vented"], GRID, half_space_transfer(GRID), lowpass_hz=80.0)
    np.testing.assert_array_equal(table.per_volt_db[-1], alone.per_volt_db[0])
    np.testing.assert_array_equal(table.own_limit_db[-1], alone.own_limit_db[0])


def test_filters_are_butterworth() -> None:
    """Corner -3.01 dB, an octave beyond -24.1 dB, flat in between; own limit untouched."""
    f = np.array([10.0, 20.0, 40.0, 80.0, 160.0])
    gain = 20 * np.log10(np.abs(chain_response(f, lowpass_hz=80.0, infrasonic_hz=20.0)))
    one = -10 * np.log10(1 + np.array([2.0**8, 1.0, 2.0**-8, 2.0**-16, 2.0**-24]))
    other = -10 * np.log10(1 + np.array([2.0**-24, 2.0**-16, 2.0**-8, 1.0, 2.0**8]))
    np.testing.assert_allclose(gain, one + other, atol=1e-9)
    transfer = half_space_transfer(f)
    plain = level_table(BOXES["vented"], f, transfer, lowpass_hz=None)
    chain = level_table(BOXES["vented"], f, transfer, lowpass_hz=80.0, infrasonic_hz=20.0)
    np.testing.assert_allclose(chain.per_volt_db - plain.per_volt_db, gain[None, None], atol=1e-9)
    np.testing.assert_array_equal(chain.own_limit_db, plain.own_limit_db)


def test_twice_the_power_is_3_db_until_a_limit_decides() -> None:
    """sqrt 2 times the voltage lifts the level by 3.01 dB where voltage decides."""
    table = level_table(BOXES["vented"], GRID, half_space_transfer(GRID), lowpass_hz=None)
    one, which = loudest_of(table, voltage_v=5.0, current_a=100.0)
    two, _ = loudest_of(table, voltage_v=5.0 * np.sqrt(2), current_a=100.0)
    assert (which[..., GRID > 30] == 0).all()
    np.testing.assert_allclose((two - one)[..., GRID > 30], 3.0103, atol=1e-4)
    held, limit = loudest_of(table, voltage_v=1000.0, current_a=0.5)
    assert (limit[..., GRID > 30] == 1).all()
    wanted = table.per_volt_db + 20 * np.log10(0.5 * table.impedance_ohm)
    np.testing.assert_allclose(held[..., GRID > 30], wanted[..., GRID > 30])


def test_loudest_level_of_a_flat_curve_is_that_curve() -> None:
    """Bands count the same, whatever the grid; energy, not decibels, is averaged."""
    assert loudest_level(np.full(GRID.size, 97.0), GRID) == pytest.approx(97.0)
    centres = 1000.0 * 10.0 ** (np.arange(-15, -10) / 10)
    assert loudest_level([90.0, 90, 90, 90, 100], centres) == pytest.approx(
        10 * np.log10((4 * 1e9 + 1e10) / 5)
    )
    with pytest.raises(InputError, match="third octave"):
        loudest_level([90.0], [40.0])


def test_low_limit_follows_a_known_slope() -> None:
    """A 24 dB per octave slope from 40 Hz is 10 dB down at 40 / 2^(10/24) Hz."""
    curve = 100 + np.minimum(0, 24 * np.log2(GRID / 29.9))
    limit = low_limit(curve, GRID)
    assert limit.frequency_hz == pytest.approx(29.9 / 2 ** (10 / 24), rel=2e-3)
    assert not limit.below_grid
    flat = low_limit(np.full((3, GRID.size), 90.0), GRID)
    np.testing.assert_array_equal(flat.frequency_hz, GRID[0])
    assert flat.below_grid.all()


def test_prediction_of_one_case_has_no_width() -> None:
    """With a single draw the band is the curve; excursion stays within its limit."""
    transfer = half_space_transfer(GRID)
    told = predict(
        BOXES["vented"],
        transfer,
        GRID,
        voltage_v=40.0,
        current_a=50.0,
        lowpass_hz=80.0,
        infrasonic_hz=25.0,
        cabin_model="half space",
    )
    table = level_table(BOXES["vented"], GRID, transfer, lowpass_hz=80.0, infrasonic_hz=25.0)
    np.testing.assert_allclose(told.level_db, table.per_volt_db[0, 0] + 20 * np.log10(40.0))
    np.testing.assert_allclose(told.loudest_low_db, told.loudest_db)
    np.testing.assert_allclose(told.level_high_db, told.level_db)
    np.testing.assert_allclose(told.cabin_gain_db, 0.0, atol=1e-9)
    assert (told.excursion_m <= 0.010 * (1 + 1e-9)).all()
    assert (told.port_speed_m_per_s <= 17.0 * (1 + 1e-9)).all()
    moved = told.limit_index == told.limits.index("cone excursion")
    assert moved.any()
    np.testing.assert_allclose(told.excursion_m[moved], 0.010, rtol=1e-9)
    with pytest.raises(InputError, match="voltage_v"):
        predict(BOXES["vented"], transfer, GRID, voltage_v=0.0, current_a=1.0,
                lowpass_hz=None, infrasonic_hz=None, cabin_model="")  # fmt: skip


def test_transfer_is_checked() -> None:
    """A transfer of the wrong shape or with holes is refused."""
    for bad in (np.ones(3), np.full(GRID.size, np.nan), np.zeros(GRID.size)):
        with pytest.raises(InputError, match="transfer"):
            level_table(BOXES["closed"], GRID, bad, lowpass_hz=None)


def test_more_chambers_never_make_flow_from_nothing() -> None:
    """Without any opening in front, a closed-in driver would be silent; leaks aside."""
    flow = solve(BOXES["fourth-order bandpass"], 2j * np.pi * GRID)
    assert (np.abs(flow.rear_m3_per_s) == 0).all()
    assert (np.abs(flow.front_m3_per_s) > 0).all()


def test_curves_of_boxes_with_their_amplifiers() -> None:
    """The short way to the highest clean level gives what the tables give, limit and all."""
    many = joined([BOXES[kind] for kind in BOXES] * 30)
    many = replace(many, heat_limit_w=np.tile([[15.0], [400.0], [60.0]], (50, 1)))
    volts = np.geomspace(3.0, 90.0, many.shape[0])[:, None]
    amps = np.geomspace(40.0, 0.7, many.shape[0])[:, None]
    transfer = half_space_transfer(GRID)
    table = level_table(many, GRID, transfer, lowpass_hz=None)
    wanted, limit = loudest_of(table, voltage_v=volts[..., None], current_a=amps[..., None])
    found, which = loudest_curves(many, GRID, transfer, voltage_v=volts, current_a=amps)
    np.testing.assert_allclose(found, wanted, atol=1e-9)
    np.testing.assert_array_equal(which, limit)
    assert set(np.unique(which)) >= {0, 1, 2, 3, 4}


def test_band_holds_nine_cases_of_ten() -> None:
    """The band of many normal cases ends near 1.645 deviations; the middle is left out."""
    cases = np.random.default_rng(2).standard_normal((1, 20_001, 2))
    cases[:, 0] = 1e6
    low, high = band(cases)
    np.testing.assert_allclose(low, -1.645, atol=0.05)
    np.testing.assert_allclose(high, 1.645, atol=0.05)
    wanted = np.quantile(cases[0, 1:], (0.05, 0.95), axis=0, method="median_unbiased")
    np.testing.assert_allclose([low[0], high[0]], wanted, rtol=1e-12)


def test_third_octaves_end_where_the_standard_says() -> None:
    """A band ends a twentieth of a decade from its middle (IEC 61260-1): 28.2 to 89.1 Hz."""
    edges = 1000 * 10.0 ** (np.arange(-31, -20, 2) / 20)
    near = np.sort(np.concatenate((edges[:-1] * 1.001, edges[1:] * 0.999)))
    outside = np.array([edges[0] * 0.999, edges[-1] * 1.001])
    grid = np.sort(np.concatenate((near, outside)))
    levels = np.where(np.isin(grid, outside), 140.0, 90.0)
    assert loudest_level(levels, grid) == pytest.approx(90.0)
    one = np.where(np.isclose(grid, edges[1] * 0.999), 100.0, 0.0)
    assert loudest_level(one, grid) == pytest.approx(100 - 10 * np.log10(10), abs=1e-3)

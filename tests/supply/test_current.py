"""Current, duty, efficiency and heat against worked examples."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from basswright.supply import (
    PROGRAMME_DUTY_SHARE,
    SHORT_TERM_DUTY_SHARE,
    constant_power_current_a,
    currents,
    draw_share,
    duty_share,
    heat_w,
)


@pytest.mark.parametrize(
    ("power_w", "efficiency", "supply_v", "current_a"),
    [(1000, 0.80, 13.8, 90.58), (300, 0.80, 14.4, 26.04), (300, 0.55, 13.5, 40.40)],
)
def test_peak_current(power_w: float, efficiency: float, supply_v: float, current_a: float) -> None:
    """I = P / (eff V)."""
    peak, average = currents(power_w, efficiency, supply_v)
    assert peak == pytest.approx(current_a, abs=5e-3)
    assert average < peak


@pytest.mark.parametrize(
    ("crest_db", "duty"), [(12.0, 0.126), (9.0, 0.252), (7.78, 1 / 3), (6.0, 0.502), (3.0103, 1.0)]
)
def test_duty_of_a_crest_factor(crest_db: float, duty: float) -> None:
    """10^(-(CF - 3.01)/10): 12 dB is 1/8 of sine power, 9 dB 1/4."""
    assert duty_share(crest_db) == pytest.approx(duty, abs=1e-3)


def test_class_d_is_a_third_less_efficient_at_an_eighth() -> None:
    """Common practice, no source: 80 % at full power, 53 to 60 % at 1/8."""
    share = draw_share(1 / 8, 0.80)
    efficiency = 0.80 / 8 / share
    assert 0.53 < efficiency < 0.60
    # by hand: 100 W of 800 W, fixed loss 60 W, the other 140 W at an eighth
    assert efficiency == pytest.approx(100 / (100 + 60 + 140 / 8), rel=1e-6)


def test_class_ab_at_an_eighth_draws_a_third_of_full() -> None:
    """Draw in step with the mean of the signal: sqrt(1/8) x 0.886 = 0.313, which is why
    an eighth of the power is the hottest a class AB amplifier commonly gets."""
    assert draw_share(1 / 8, 0.55, True) == pytest.approx(0.3133, abs=2e-4)
    rng = np.random.default_rng(1)
    noise = rng.normal(scale=np.sqrt(1 / 8) / np.sqrt(2), size=400_000)
    sine = np.sin(2 * np.pi * np.arange(100_000) / 100_000)
    assert np.mean(np.abs(noise)) / np.mean(np.abs(sine)) == pytest.approx(0.3133, rel=5e-3)


def test_a_full_sine_draws_all_of_it() -> None:
    """Duty 1 in either class."""
    assert draw_share([1.0, 1.0], 0.8, [True, False]) == pytest.approx([1.0, 1.0])


def test_idle_current_is_the_floor() -> None:
    """A quiet amplifier still draws; the peak is never below the average."""
    peak, average = currents([1.0, 1000.0], 0.8, 13.8, idle_current_a=1.5)
    assert average[0] == peak[0] == 1.5
    assert average[1] > 1.5


def test_constant_power_load_draws_more_as_the_voltage_sags() -> None:
    """Solves V - R I = P / I; without a cable it is P / V."""
    current = constant_power_current_a(1250.0, 13.8, 6.5e-3)
    assert current * (13.8 - 6.5e-3 * current) == pytest.approx(1250)
    assert current > 1250 / 13.8
    assert constant_power_current_a(1250.0, 13.8, 0.0) == pytest.approx(1250 / 13.8)


def test_the_supply_collapses_beyond_its_greatest_power() -> None:
    """P > V^2 / 4R has no solution: V / 2R is returned."""
    assert constant_power_current_a(1e5, 12.0, 0.01) == pytest.approx(600)


def test_heat_is_what_does_not_reach_the_loudspeaker() -> None:
    """Sine: P (1/eff - 1); programme less, in class AB much more than in class D."""
    assert heat_w(800.0, 0.8, programme_duty_share=1.0) == pytest.approx(200)
    switching = heat_w(800.0, 0.8, programme_duty_share=1 / 8)
    assert 0 < switching < 200
    linear = heat_w(800.0, 0.55, programme_duty_share=1 / 8, linear_stage=True)
    assert linear == pytest.approx(800 / 0.55 * 0.3133 - 100, rel=1e-3)


@given(st.floats(1, 5000), st.floats(0.3, 0.95), st.floats(0.05, 1.0), st.booleans())
def test_average_never_exceeds_peak_nor_gives_more_than_it_takes(
    power_w: float, efficiency: float, duty: float, linear: bool
) -> None:
    """Energy is conserved at every level."""
    peak, average = currents(
        power_w, efficiency, 13.8, linear_stage=linear, programme_duty_share=duty
    )
    assert average <= peak
    assert average * 13.8 >= power_w * duty * (1 - 1e-9)


def test_heat_of_class_d_follows_the_split_of_its_loss() -> None:
    """800 W at 80 %: 200 W of loss, 60 W fixed, the rest with the power: at an eighth
    60 + 17.5 W; at the planned third 60 + 46.7 W."""
    assert heat_w(800.0, 0.8, programme_duty_share=1 / 8) == pytest.approx(77.5)
    assert heat_w(800.0, 0.8) == pytest.approx(60 + 140 / 3)


def test_the_planned_programme_is_a_third_of_full_power() -> None:
    """16 CFR part 432: preconditioning at one third of rated power. 600 W at 80 % and 13.8 V:
    54.35 A at the peak; (200 + 45 + 35) W / 13.8 V on average."""
    peak, average = currents(600.0, 0.8, 13.8)
    assert peak == pytest.approx(54.348, abs=1e-3)
    assert average == pytest.approx((200 + 0.3 * 150 + 0.7 * 150 / 3) / 13.8)
    assert pytest.approx(1 / 3) == PROGRAMME_DUTY_SHARE
    assert SHORT_TERM_DUTY_SHARE == 0.5

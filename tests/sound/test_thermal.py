"""Hot coils against published figures and a general solver."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.linalg import expm

from basswright.errors import InputError
from basswright.sound.copper import COPPER_PER_K
from basswright.sound.models import BoxModels
from basswright.sound.response import respond
from basswright.sound.thermal import (
    compression_db,
    heated,
    settled_rise_k,
    warm_up,
)
from tests.sound.worked import BOXES

#: Level lost by the worked closed box, from an independent calculation: Hz -> dB at a
#: rise of 100 K and of 150 K (copper, 0.00393 per K).
LOST = {
    20: (2.15, 3.09), 30: (1.37, 2.04), 40: (0.63, 0.96), 50: (0.24, 0.36), 60: (0.26, 0.40),
    80: (0.85, 1.29), 100: (1.43, 2.12), 200: (2.48, 3.52),
}  # fmt: skip


@pytest.mark.parametrize(("column", "rise"), [(0, 100.0), (1, 150.0)])
def test_loss_of_a_hot_coil(column: int, rise: float) -> None:
    """The loss is what a hotter Re makes of the whole circuit, near nothing at resonance."""
    grid = list(LOST)
    wanted = [row[column] for row in LOST.values()]
    lost = compression_db(BOXES["closed"], grid, rise)[0, 0]
    np.testing.assert_allclose(lost, wanted, atol=0.006)
    cold, hot = (
        respond(box, grid).pressure_pa[0, 0]
        for box in (BOXES["closed"], heated(BOXES["closed"], rise))
    )
    np.testing.assert_allclose(20 * np.log10(np.abs(cold / hot)), lost, atol=1e-9)


def box() -> BoxModels:
    """Return the worked vented box with thermal resistances and capacities."""
    plain = BOXES["vented"]
    one = np.ones(plain.shape)
    return replace(
        plain,
        coil_k_per_w=0.4 * one,
        magnet_k_per_w=0.15 * one,
        coil_j_per_k=20 * one,
        magnet_j_per_k=9000 * one,
    )


def test_settled_rise_balances_heat() -> None:
    """In the end the heat made by the hot coil is the heat carried off."""
    volts = 30.0
    rise = settled_rise_k(box(), [25.0, 40.0, 80.0], volts)
    hot = box().Re_ohm * (1 + COPPER_PER_K * rise[0])
    cold = respond(box(), [25.0, 40.0, 80.0]).impedance_ohm[0]
    current2 = volts**2 / np.abs(cold + hot - box().Re_ohm) ** 2
    np.testing.assert_allclose(0.55 * current2 * hot, rise[0], rtol=1e-9)
    music = settled_rise_k(box(), [40.0], volts, duty=0.15)
    assert music[0, 0, 0] < 0.3 * rise[0, 0, 1]


def test_warming_agrees_with_a_general_solver() -> None:
    """Coil and magnet follow the two time constants of the heat equation (scipy)."""
    volts, hz = 40.0, 40.0
    time = np.geomspace(0.02, 3000, 800)
    told = warm_up(box(), hz, volts, time_s=time)
    Re = float(box().Re_ohm[0, 0])
    Z = respond(box(), [hz]).impedance_ohm[0, 0, 0]

    def slope(_: float, rise: np.ndarray) -> list[float]:
        extra = COPPER_PER_K * rise[0] * Re
        heat = volts**2 * (Re + extra) / abs(Z + extra) ** 2
        out = (rise[0] - rise[1]) / 0.4
        return [(heat - out) / 20, (out - rise[1] / 0.15) / 9000]

    solved = solve_ivp(slope, (0, 3000), [0.0, 0.0], t_eval=time, method="LSODA", rtol=1e-9)
    np.testing.assert_allclose(told.coil_k[0, 0], solved.y[0], rtol=0.01, atol=0.3)
    np.testing.assert_allclose(told.magnet_k[0, 0], solved.y[1], rtol=0.01, atol=0.3)
    end = settled_rise_k(box(), [hz], volts)[0, 0, 0]
    assert told.coil_k[0, 0, -1] == pytest.approx(end, rel=0.15)
    assert np.all(np.diff(told.compression_db[0, 0]) >= 0)


def test_two_time_constants_are_exact() -> None:
    """At a small level, where Re stays, warming is that of the linear heat equation."""
    volts, hz = 0.5, 40.0
    time = np.geomspace(0.5, 4000, 40)
    told = warm_up(box(), hz, volts, time_s=time)
    Z = respond(box(), [hz]).impedance_ohm[0, 0, 0]
    heat = volts**2 * 3.6 / abs(Z) ** 2
    system = np.array([[-1 / (0.4 * 20), 1 / (0.4 * 20)], [1 / 3600, -1 / 3600 - 1 / 1350]])
    source = np.array([heat / 20, 0.0])
    balance = -np.linalg.solve(system, source)
    wanted = np.array([balance - expm(system * t) @ balance for t in time])
    np.testing.assert_allclose(told.coil_k[0, 0], wanted[:, 0], rtol=2e-4)
    np.testing.assert_allclose(told.magnet_k[0, 0], wanted[:, 1], rtol=2e-4)


def test_bad_input_is_refused() -> None:
    """A duty above one and times that fall are named."""
    with pytest.raises(InputError, match="duty"):
        settled_rise_k(box(), [40.0], 10.0, duty=1.5)
    with pytest.raises(InputError, match="time_s"):
        warm_up(box(), 40.0, 10.0, time_s=[2.0, 1.0])

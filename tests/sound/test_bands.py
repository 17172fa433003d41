"""Bands hold the truth as often as they say, and are narrow enough to be useful."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.catalogue.demo import make
from basswright.records.enclosure import Cuboid, Driver, Enclosure
from basswright.sound.grid import octave_grid
from basswright.sound.known import KnownChamber, KnownDriver, KnownPort, known_box
from basswright.sound.models import BoxModels
from basswright.sound.sheet_models import box_models, falls_below_hz, half_space_level
from tests.sound.population import Coverage, coverage, true_models

#: Figure -> greatest median width of its 90 % band.
USEFUL = {
    "level at 30 Hz, dB": 3.5,
    "level at 50 Hz, dB": 3.5,
    "level at 80 Hz, dB": 3.5,
    "loudest level, dB": 3.0,
    "low limit, Hz": 5.0,
}


@pytest.fixture(scope="module")
def demo() -> dict[str, Coverage]:
    """Compare the whole demo range with what its boxes truly do."""
    made = make()
    enclosures = made.snapshot.enclosures
    models = box_models(enclosures, draws=41)
    return coverage(models, true_models(enclosures, made.truth))


@pytest.mark.parametrize("figure", list(USEFUL))
def test_bands_cover_the_demo_range(demo: dict[str, Coverage], figure: str) -> None:
    """A 90 % band holds the hidden truth in 87 to 93 % of the demo range, and is useful."""
    assert 0.87 <= demo[figure].share <= 0.93
    assert demo[figure].width <= USEFUL[figure]


def strangers(n: int) -> tuple[list[Enclosure], BoxModels]:
    """Draw vented boxes from other habits than the priors': lossy coils, leaky, small."""
    rng = np.random.default_rng(7)

    def around(middle: float, spread: float) -> np.ndarray:
        return middle * np.exp(rng.normal(0, spread, n))

    Sd, fs, Qts = around(0.0505, 0.03), around(31, 0.12), around(0.48, 0.15)
    Mms, Qms, Re = around(0.190, 0.2), around(5, 0.3), around(3.4, 0.04)
    w = 2 * np.pi * fs
    Qes = 1 / (1 / Qts - 1 / Qms)
    exponent = rng.uniform(0.75, 0.95, n)
    driver = KnownDriver(
        Re_ohm=Re, Bl_tm=np.sqrt(w * Mms * Re / Qes), Mms_kg=Mms, Cms_m_per_n=1 / (w**2 * Mms),
        Rms_kg_per_s=w * Mms / Qms, Sd_m2=Sd, Xmax_m=around(0.013, 0.2), coil_n=exponent,
        coil_K=around(1.8e-3, 0.3) * (2000 * np.pi) ** (1 - exponent), heat_limit_w=400.0,
    )  # fmt: skip
    volume, fb = around(0.048, 0.2), around(35, 0.1)
    area = around(0.010, 0.3)
    length = area * (343.2 / (2 * np.pi * fb)) ** 2 / volume
    port = KnownPort(area_m2=area, effective_length_m=length)
    truth = known_box(
        driver, KnownChamber(volume_m3=volume, QL=rng.uniform(4, 12, n), opening=port)
    )
    grid = octave_grid(12.0, 100.0, 24)
    low = falls_below_hz(half_space_level(truth, grid), truth.sensitivity_db - 10.0, grid)
    sheets = [
        Enclosure(
            id=f"stranger-{i}", maker="Invented", model="Stranger", kind="vented",
            shape=Cuboid(width_m=0.7, height_m=0.4, depth_m=0.4),
            driver=Driver(size_m=0.30), load_ohm=4.0, power_high_w=325.0,
            sensitivity_db=float(np.round(truth.sensitivity_db[i, 0] + rng.normal(0, 0.5))),
            low_limit_hz=float(np.round(low[i, 0] * np.exp(rng.normal(0, 0.03)))),
            net_volume_m3=float(volume[i] * np.exp(rng.normal(0, 0.02))),
            tuning_hz=float(np.round(fb[i] * np.exp(rng.normal(0, 0.02)))),
            price=100.0,
        )
        for i in range(n)
    ]  # fmt: skip
    return sheets, truth


def test_bands_cover_strangers_too() -> None:
    """Boxes drawn from other habits than the priors' are still held by most bands."""
    sheets, truth = strangers(250)
    found = coverage(box_models(sheets, draws=65), truth)
    shares = {name: one.share for name, one in found.items()}
    assert all(0.80 <= share <= 0.99 for share in shares.values()), shares

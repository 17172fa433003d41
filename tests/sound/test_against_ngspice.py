"""Thirty designs of every kind against ngspice's AC analysis of the same circuit."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.sound.known import (
    KnownChamber,
    KnownDriver,
    KnownPort,
    KnownRadiator,
    known_box,
)
from basswright.sound.models import BoxModels, joined
from basswright.sound.response import respond
from tests.sound.netlist import solve_ac

EACH = 6


def designs(kind: str) -> BoxModels:
    """Draw boxes of one kind from ordinary ranges, with every loss and an inductance."""
    rng = np.random.default_rng(sum(map(ord, kind)))

    def between(low: float, high: float) -> np.ndarray:
        return rng.uniform(low, high, EACH)

    driver = KnownDriver(
        Re_ohm=between(1.6, 3.8), Bl_tm=between(9, 19), Mms_kg=between(0.08, 0.25),
        Cms_m_per_n=between(1e-4, 3e-4), Rms_kg_per_s=between(2, 8), Sd_m2=between(0.02, 0.08),
        coil_K=between(0.5e-3, 3e-3),
    )  # fmt: skip
    port = KnownPort(
        area_m2=between(0.005, 0.015), effective_length_m=between(0.2, 0.6), Qp=between(30, 90)
    )
    cone = KnownRadiator(
        Sd_m2=between(0.03, 0.09), Mms_kg=between(0.2, 0.6), Cms_m_per_n=between(2e-4, 5e-4),
        Rms_kg_per_s=between(1, 5),
    )  # fmt: skip
    losses = {"QL": between(5, 20), "QA": between(30, 100)}
    volume = between(0.02, 0.07)
    closed = KnownChamber(volume_m3=volume, filled_share=between(0, 1), **losses)
    vented = KnownChamber(volume_m3=volume, opening=port, **losses)
    return {
        "closed": lambda: known_box(driver, closed),
        "vented": lambda: known_box(driver, vented, count=2),
        "passive-radiator": lambda: known_box(
            driver, KnownChamber(volume_m3=volume, opening=cone, **losses)
        ),
        "fourth-order bandpass": lambda: known_box(driver, closed, front=vented),
        "sixth-order bandpass": lambda: known_box(
            driver, KnownChamber(volume_m3=1.5 * volume, opening=port, **losses), front=vented
        ),
    }[kind]()


KINDS = (
    "closed", "vented", "passive-radiator", "fourth-order bandpass", "sixth-order bandpass",
)  # fmt: skip


@pytest.fixture(scope="module")
def compared(tmp_path_factory: pytest.TempPathFactory) -> dict[str, float]:
    """Return the greatest differences over 30 designs and 96 frequencies."""
    models = joined([designs(kind) for kind in KINDS])
    grid = np.linspace(10, 200, 96)
    found = respond(models, grid)
    wanted = solve_ac(models, grid, tmp_path_factory.mktemp("spice"))
    assert len(wanted) == 30
    current = np.array([one.current_a for one in wanted])
    cone = np.array([one.cone_m_per_s for one in wanted])
    total = np.array([one.total_m3_per_s for one in wanted])
    flow = found.flow_m3_per_s[:, 0]
    turned = np.angle(flow / total)
    return {
        "level_db": float(np.abs(20 * np.log10(np.abs(flow / total))).max()),
        "cone_share": float(np.abs(np.abs(found.cone_m_per_s[:, 0] / cone) - 1).max()),
        "impedance_share": float(np.abs(found.impedance_ohm[:, 0] * current - 1).max()),
        "phase_rad": float(np.abs(turned).max()),
    }


@pytest.mark.parametrize(
    ("what", "allowed"),
    [("level_db", 2e-4), ("cone_share", 1e-5), ("impedance_share", 1e-5), ("phase_rad", 1e-4)],
)
def test_agrees_with_ngspice(compared: dict[str, float], what: str, allowed: float) -> None:
    """Level, excursion, impedance and phase are ngspice's, far inside 0.02 dB and 0.1 %."""
    assert compared[what] < allowed

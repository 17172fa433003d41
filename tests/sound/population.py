"""Boxes whose truth is known, and how often a prediction's band holds it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from basswright.catalogue.demo import HiddenBox
from basswright.records.enclosure import Enclosure
from basswright.sound.air import half_space_transfer
from basswright.sound.goals import loudest_level, low_limit
from basswright.sound.grid import octave_grid
from basswright.sound.known import (
    KnownChamber,
    KnownDriver,
    KnownPort,
    KnownRadiator,
    known_box,
)
from basswright.sound.levels import level_table
from basswright.sound.models import BoxModels, joined
from basswright.sound.ports import FLARED_SPEED, PLAIN_SPEED
from basswright.sound.prediction import loudest_of

GRID = octave_grid(14.0, 100.0)
#: An ordinary amplifier, the same for truth and prediction.
VOLTAGE_V, CURRENT_A = 28.0, 100.0


def true_models(enclosures: Sequence[Enclosure], truth: Mapping[str, HiddenBox]) -> BoxModels:
    """Return the models of the hidden boxes, shape (n, 1)."""
    parts = [_true_model(truth[box.id], _speed(box)) for box in enclosures]
    return replace(joined(parts), ids=tuple(box.id for box in enclosures))


def _speed(box: Enclosure) -> float:
    return FLARED_SPEED if box.ports and box.ports.flared else PLAIN_SPEED


def _true_model(box: HiddenBox, speed: float) -> BoxModels:
    driver = KnownDriver(
        Re_ohm=box.Re_ohm,
        Bl_tm=box.Bl_tm,
        Mms_kg=box.Mms_kg,
        Cms_m_per_n=box.Cms_m_per_n,
        Rms_kg_per_s=box.Rms_kg_per_s,
        Sd_m2=box.Sd_m2,
        Xmax_m=box.Xmax_m,
        coil_K=box.Le_henry,
        heat_limit_w=box.thermal_power_w,
    )
    opening = _opening(box, speed)
    closed = KnownChamber(volume_m3=box.net_volume_m3)
    if box.kind == "bandpass":
        assert box.front_volume_m3 is not None
        front = KnownChamber(volume_m3=box.front_volume_m3, QL=box.leakage_q, opening=opening)
        return known_box(driver, closed, front=front, count=box.count, series=box.series)
    rear = closed if opening is None else replace(closed, QL=box.leakage_q, opening=opening)
    return known_box(driver, rear, count=box.count, series=box.series)


def _opening(box: HiddenBox, speed: float) -> KnownPort | KnownRadiator | None:
    if box.port_area_m2 and box.port_effective_length_m:
        return KnownPort(
            area_m2=box.port_area_m2,
            effective_length_m=box.port_effective_length_m,
            speed_m_per_s=speed,
        )
    if not (box.radiator_Sd_m2 and box.radiator_Mms_kg):
        return None
    assert box.radiator_Cms_m_per_n
    assert box.radiator_Rms_kg_per_s
    assert box.radiator_Xmax_m
    return KnownRadiator(
        Sd_m2=box.radiator_count * box.radiator_Sd_m2,
        Mms_kg=box.radiator_count * box.radiator_Mms_kg,
        Cms_m_per_n=box.radiator_Cms_m_per_n / box.radiator_count,
        Rms_kg_per_s=box.radiator_count * box.radiator_Rms_kg_per_s,
        Xmax_m=box.radiator_Xmax_m,
    )


def figures(models: BoxModels) -> dict[str, NDArray[np.float64]]:
    """Return what is promised of a box in half space at 1 m, each of shape (n, d).

    Level for 1 V at 30, 50 and 80 Hz [dB], loudest clean level [dB], low limit [Hz].
    """
    table = level_table(models, GRID, half_space_transfer(GRID), lowpass_hz=80.0)
    loudest, _ = loudest_of(table, voltage_v=VOLTAGE_V, current_a=CURRENT_A)
    at = {hz: int(np.argmin(np.abs(GRID - hz))) for hz in (30, 50, 80)}
    levels = {f"level at {hz} Hz, dB": table.per_volt_db[..., k] for hz, k in at.items()}
    return levels | {
        "loudest level, dB": loudest_level(loudest, GRID),
        "low limit, Hz": low_limit(loudest, GRID).frequency_hz,
    }


@dataclass(frozen=True)
class Coverage:
    """How often a 90 % band holds the truth, and how wide it is."""

    share: float
    width: float
    inside: NDArray[np.bool_]


def coverage(models: BoxModels, truth: BoxModels) -> dict[str, Coverage]:
    """Compare bands from the draws with the truth, for each figure."""
    answer = {}
    for name, cases in figures(models).items():
        true = figures(truth)[name][:, 0]
        low, high = np.quantile(cases[:, 1:], (0.05, 0.95), axis=1, method="median_unbiased")
        inside = (low <= true) & (true <= high)
        answer[name] = Coverage(
            share=float(inside.mean()),
            width=float(np.median(high - low)),
            inside=inside,
        )
    return answer

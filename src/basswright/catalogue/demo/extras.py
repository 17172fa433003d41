"""Figures that only some makers tell: Qts, the rear chamber, the inputs of an amplifier."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numpy.random import Generator

from basswright.catalogue.demo.hidden import RHO, C, HiddenBox
from basswright.records.amplifier import Amplifier
from basswright.records.enclosure import Driver, Enclosure

#: Shares of makers that tell these figures, or whose amplifiers have these parts. Invented.
_REAR_TOLD: Final = 0.45
_THREE_TOLD: Final = 0.06
_INPUTS_TOLD: Final = 0.75
_SPEAKER_INPUT: Final = 0.60


def enclosures(
    rng: Generator, boxes: tuple[Enclosure, ...], truth: dict[str, HiddenBox]
) -> tuple[Enclosure, ...]:
    """Return the enclosures with Qts, or fs, Vas and Qts alone, and rear chambers told."""
    chance = rng.random((len(boxes), 2))
    off = np.clip(rng.normal(0.0, 0.02, (len(boxes), 4)), -0.04, 0.04)
    return tuple(
        _with_figures(box, truth[box.id], chance[i].tolist(), off[i].tolist())
        for i, box in enumerate(boxes)
    )


def _with_figures(
    box: Enclosure, truth: HiddenBox, chance: list[float], off: list[float]
) -> Enclosure:
    changes: dict[str, Any] = {}
    driver = _with_qts(box.driver, truth, off, alone=chance[0] < _THREE_TOLD)
    if driver is not box.driver:
        changes["driver"] = driver
    if box.kind == "bandpass" and box.net_volume_m3 and chance[1] < _REAR_TOLD:
        rear = round(truth.net_volume_m3 * (1 + off[3] / 2), 4)
        changes["rear_volume_m3"] = min(rear, box.net_volume_m3)
    return box.model_copy(update=changes) if changes else box


def _with_qts(driver: Driver, truth: HiddenBox, off: list[float], *, alone: bool) -> Driver:
    if driver.Qes is not None and driver.Qms is not None:
        Qts = driver.Qes * driver.Qms / (driver.Qes + driver.Qms)
        return driver.model_copy(update={"Qts": round(Qts, 3)})
    if not alone:
        return driver
    w = 1 / (truth.Mms_kg * truth.Cms_m_per_n) ** 0.5
    damping = truth.Rms_kg_per_s + truth.Bl_tm**2 / truth.Re_ohm
    three = {
        "fs_hz": round(w / (2 * np.pi) * (1 + off[0]), 1),
        "Vas_m3": round(RHO * C**2 * truth.Sd_m2**2 * truth.Cms_m_per_n * (1 + off[1]), 4),
        "Qts": round(w * truth.Mms_kg / damping * (1 + off[2]), 3),
    }
    return driver.model_copy(update=three)


def amplifiers(rng: Generator, made: tuple[Amplifier, ...]) -> tuple[Amplifier, ...]:
    """Return the amplifiers with the range of their inputs, where it is told."""
    n = len(made)
    low = np.round(rng.uniform(0.15, 0.30, n), 2).tolist()
    high = rng.choice([4.0, 5.0, 6.0, 8.0], n).tolist()
    told, speaker, senses = (
        rng.random((3, n)) < [[_INPUTS_TOLD], [_SPEAKER_INPUT], [0.5]]
    ).tolist()
    return tuple(
        amplifier.model_copy(
            update={
                "input_low_v": low[i] if told[i] else None,
                "input_high_v": high[i] if told[i] else None,
                "speaker_input": speaker[i] if told[i] else None,
                "signal_sensing": (speaker[i] and senses[i]) if told[i] else None,
            }
        )
        for i, amplifier in enumerate(made)
    )

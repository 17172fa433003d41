"""What the data sheets say of the hidden boxes: measured, rounded, and not always told.

Between a sheet and the truth lie the supplier's own measuring tolerance and rounding,
stated in :data:`TOLERANCE`. Outer dimensions are told exactly, in whole millimetres.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from basswright.catalogue.demo.boxes import Boxes
from basswright.catalogue.demo.hidden import RHO, C, Cones, Floats
from basswright.records.enclosure import BoxKind

#: How far a told figure may lie from the truth, rounding included. Shares of the true
#: value, except for the sensitivity [dB].
TOLERANCE: Final = {
    "sensitivity_db": 1.1,
    "low_limit": 0.07,
    "net_volume": 0.06,
    "tuning": 0.07,
    "mass": 0.05,
    "power": 0.15,
    "cone": 0.15,
}

#: How often a usual maker leaves a figure off the sheet.
_SILENCE: Final = {
    "load_ohm": 0.01,
    "power_low_w": 0.15,
    "power_high_w": 0.01,
    "sensitivity_db": 0.12,
    "low_limit_hz": 0.10,
    "net_volume_m3": 0.25,
    "tuning_hz": 0.30,
    "port": 0.40,
    "radiators": 0.45,
    "thiele_small": 0.65,
    "Xmax_m": 0.55,
    "mass_kg": 0.08,
}


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """Columns as told; NaN where nothing is told.

    `cone` holds the Thiele/Small figures by their field names in the driver record.
    """

    sensitivity_db: Floats
    low_limit_hz: Floats
    net_volume_m3: Floats
    tuning_hz: Floats
    mass_kg: Floats
    load_ohm: Floats
    power_low_w: Floats
    power_high_w: Floats
    cone: dict[str, Floats]
    tells_port: NDArray[np.bool_]
    tells_radiators: NDArray[np.bool_]


def write(rng: Generator, kind: BoxKind, boxes: Boxes, silence: Floats) -> Sheet:
    """Write the sheets of boxes of one kind; `silence` is that of each box's maker."""
    n = silence.size
    whole = rng.random(n) < 0.5
    sensitivity = boxes.sensitivity_db + _off(rng, n, 0.25)
    volume = boxes.chambers.volume_m3 + np.nan_to_num(boxes.chambers.front_volume_m3)
    high = steps(boxes.power_w * (1 + 0.4 * _off(rng, n, 0.08)))
    cones = boxes.cones
    load = cones.nominal_ohm * cones.series**2 / cones.count
    told = {name: rng.random(n) >= share * silence for name, share in _SILENCE.items()}

    def as_told(name: str, values: Floats) -> Floats:
        return np.where(told[name], values, np.nan)

    tuned = boxes.chambers.tuning_hz * (1 + _off(rng, n, 0.02))
    return Sheet(
        sensitivity_db=as_told(
            "sensitivity_db",
            np.where(whole, np.round(sensitivity), np.round(2 * sensitivity) / 2),
        ),
        low_limit_hz=as_told(
            "low_limit_hz", np.round(boxes.low_limit_hz * (1 + _off(rng, n, 0.02)))
        ),
        net_volume_m3=as_told("net_volume_m3", _litres(volume * (1 + _off(rng, n, 0.015)))),
        tuning_hz=as_told("tuning_hz", np.round(tuned)),
        mass_kg=as_told("mass_kg", np.round(boxes.mass_kg * (1 + _off(rng, n, 0.02)), 1)),
        load_ohm=as_told("load_ohm", load),
        power_low_w=as_told("power_low_w", steps(high * rng.uniform(0.25, 0.42, n))),
        power_high_w=as_told("power_high_w", high),
        cone=_cone(rng, cones, told),
        tells_port=told["port"],
        tells_radiators=told["radiators"],
    )


def _off(rng: Generator, n: int, deviation: float) -> Floats:
    """Draw measuring errors that stay within two deviations."""
    return np.clip(rng.normal(0.0, deviation, n), -2 * deviation, 2 * deviation)


def steps(power_w: Floats) -> Floats:
    """Round a power as makers do: to 5 W, from 100 W to 25 W, from 500 W to 50 W."""
    step = np.select([power_w >= 475, power_w >= 95], [50.0, 25.0], 5.0)
    return np.asarray(np.maximum(np.round(power_w / step) * step, 5.0), float)


def _litres(volume_m3: Floats) -> Floats:
    fine = np.round(volume_m3, 4)
    return np.where(volume_m3 < 0.020, fine, np.round(np.round(volume_m3 * 2e3) / 2e3, 4))


def significant(values: Floats, digits: int = 3) -> Floats:
    """Round to so many significant digits."""
    with np.errstate(divide="ignore", invalid="ignore"):
        magnitude = np.floor(np.log10(np.abs(values)))
    scale = 10.0 ** (digits - 1 - magnitude)
    return np.asarray(np.round(np.round(values * scale) / scale, 9), float)


def _cone(rng: Generator, cones: Cones, told: dict[str, NDArray[np.bool_]]) -> dict[str, Floats]:
    """Measure one cone of each box; its figures agree with one another."""
    n = cones.count.size
    Mms = cones.Mms_kg * (1 + _off(rng, n, 0.02))
    Cms = cones.Cms_m_per_n * (1 + _off(rng, n, 0.03))
    Bl = cones.Bl_tm * (1 + _off(rng, n, 0.02))
    Re = cones.Re_ohm * (1 + _off(rng, n, 0.015))
    w = 1 / np.sqrt(Mms * Cms)
    figures = {
        "fs_hz": w / (2 * np.pi),
        "Qes": w * Mms * Re / Bl**2,
        "Qms": w * Mms / cones.Rms_kg_per_s,
        "Vas_m3": RHO * C**2 * cones.Sd_m2**2 * Cms,
        "Re_ohm": Re,
        "Le_henry": cones.Le_henry * (1 + _off(rng, n, 0.05)),
        "Sd_m2": cones.Sd_m2,
        "Bl_tm": Bl,
        "Mms_kg": Mms,
    }
    tells = told["thiele_small"]
    sheet = {name: np.where(tells, significant(v), np.nan) for name, v in figures.items()}
    throw = np.round(np.round(2e3 * cones.Xmax_m) / 2e3, 4)
    return {**sheet, "Xmax_m": np.where(told["Xmax_m"] | tells, throw, np.nan)}

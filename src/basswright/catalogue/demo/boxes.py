"""Whole hidden boxes of one kind: drawn, built, and kept if a designer would keep them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.random import Generator

from basswright.catalogue.demo import carcass, cones, designs
from basswright.catalogue.demo.carcass import Carcass
from basswright.catalogue.demo.designs import Port, Radiators
from basswright.catalogue.demo.hidden import RHO, C, Chambers, Columns, Cones, Floats
from basswright.catalogue.demo.response import (
    FREQUENCY_HZ,
    low_limit_hz,
    reference_level_db,
    respond,
)
from basswright.records.enclosure import BoxKind

_SIZE_SHARE = (0.20, 0.30, 0.37, 0.13)
_WEDGE_SHARE: dict[BoxKind, float] = {
    "closed": 0.50,
    "vented": 0.50,
    "passive-radiator": 0.20,
    "bandpass": 0.25,
}
_TUNING_HZ: dict[BoxKind, tuple[float, float]] = {
    "vented": (30.0, 45.0),
    "passive-radiator": (29.0, 42.0),
    "bandpass": (48.0, 70.0),
}
#: Share of Xmax to which a maker lets the cone go at the rated power.
_EXCURSION_SHARE = 1.3
_BATCH = 2000


@dataclass(frozen=True, kw_only=True)
class Boxes(Columns):
    """Columns of hidden boxes of one kind, with what they truly do."""

    cones: Cones
    chambers: Chambers
    port: Port
    carcass: Carcass
    sensitivity_db: Floats
    low_limit_hz: Floats
    power_w: Floats
    mass_kg: Floats


def draw(rng: Generator, kind: BoxKind, n: int) -> Boxes:
    """Draw n boxes of one kind."""
    kept: list[Boxes] = []
    missing = n
    while missing > 0:
        batch = _batch(rng, kind, min(_BATCH, 3 * missing + 40))
        kept.append(batch)
        missing -= batch.power_w.size
    return Boxes.join(kept).take(np.arange(n))


def _batch(rng: Generator, kind: BoxKind, n: int) -> Boxes:
    size = rng.choice(4, n, p=_SIZE_SHARE)
    count = np.where(rng.random(n) < 0.20, 2, 1)
    count = np.where((size == 0) & (rng.random(n) < 0.06), 4, count).astype(np.int64)
    drivers = cones.draw(rng, kind, size, count)
    volume = designs.wanted_volume(rng, kind, size, drivers)
    front = volume * rng.uniform(0.6, 1.1, n) if kind == "bandpass" else np.zeros(n)
    tuning = rng.uniform(*_TUNING_HZ.get(kind, (1.0, 1.0)), n)
    tuned_m3 = front if kind == "bandpass" else volume
    has_port = kind in ("vented", "bandpass")
    port = designs.port(rng, tuned_m3, tuning, drivers) if has_port else designs.no_port(n)
    radiators = designs.no_radiators(n)
    if kind == "passive-radiator":
        radiators = designs.radiators(rng, volume, tuning, drivers)
    taken = carcass.taken_m3(kind, drivers, port)
    shell = carcass.build(
        rng, drivers, volume + front + taken, radiators, wedge_share=_WEDGE_SHARE[kind]
    )
    scale = carcass.air_m3(shell, taken) / (volume + front)
    chambers = _chambers(rng, volume * scale, front * scale, port, radiators)
    possible = shell.possible & (scale > 0.9) & (scale < 1.1)
    if has_port:
        possible &= (port.length_m > 0.06) & (port.length_m < 0.95)
    rows = np.flatnonzero(possible)
    return _judged(
        rng,
        kind,
        drivers.take(rows),
        chambers.take(rows),
        port=port.take(rows),
        shell=shell.take(rows),
    )


def _chambers(
    rng: Generator, volume_m3: Floats, front_m3: Floats, port: Port, radiators: Radiators
) -> Chambers:
    n = volume_m3.size
    has_port = port.area_m2 > 0
    tuned_m3 = np.where(front_m3 > 0, front_m3, volume_m3)
    with np.errstate(divide="ignore", invalid="ignore"):
        of_port = designs.port_tuning_hz(tuned_m3, port)
    of_radiators = designs.radiator_tuning_hz(volume_m3, radiators)
    return Chambers(
        volume_m3=volume_m3,
        front_volume_m3=np.where(front_m3 > 0, front_m3, np.nan),
        leakage_q=rng.uniform(5.0, 15.0, n),
        tuning_hz=np.where(has_port, of_port, of_radiators),
        port_area_m2=np.where(has_port, port.area_m2, np.nan),
        port_effective_length_m=np.where(has_port, port.length_m + port.end_correction_m, np.nan),
        radiator_count=radiators.count,
        radiator_Sd_m2=radiators.Sd_m2,
        radiator_Mms_kg=radiators.Mms_kg,
        radiator_Cms_m_per_n=radiators.Cms_m_per_n,
        radiator_Rms_kg_per_s=radiators.Rms_kg_per_s,
        radiator_Xmax_m=radiators.Xmax_m,
    )


def _judged(
    rng: Generator,
    kind: BoxKind,
    drivers: Cones,
    chambers: Chambers,
    *,
    port: Port,
    shell: Carcass,
) -> Boxes:
    """Return the boxes that sound as a maker would sell them."""
    response = respond(kind, drivers, chambers, FREQUENCY_HZ)
    n = drivers.count.size
    peak = response.level_db.max(axis=1)
    reference = peak if kind == "bandpass" else reference_level_db(drivers)
    low = low_limit_hz(response.level_db, reference, FREQUENCY_HZ)
    sound = (peak - reference < 5.0) & (low > 18.0) & (low < 52.0)
    if kind == "closed":
        growth = np.sqrt(1 + _alpha(drivers, chambers))
        w = np.sqrt(1 / (drivers.Mms_kg * drivers.Cms_m_per_n))
        resonance = w / (2 * np.pi) * growth
        damping = drivers.Rms_kg_per_s + drivers.Bl_tm**2 / drivers.Re_ohm
        total_q = growth * w * drivers.Mms_kg / damping
        sound &= (resonance > 40) & (resonance < 66) & (total_q > 0.66) & (total_q < 1.15)
    rows = np.flatnonzero(sound)
    motor = 4.5 * (drivers.size_m / 0.25) ** 2 * (drivers.thermal_power_w / 300) ** 0.35
    passive = np.nan_to_num(chambers.radiator_count * chambers.radiator_Mms_kg) * 1.8
    return Boxes(
        cones=drivers,
        chambers=chambers,
        port=port,
        carcass=shell,
        sensitivity_db=reference,
        low_limit_hz=low,
        power_w=_power_w(drivers, chambers, low, response.excursion_m),
        mass_kg=shell.panel_mass_kg + drivers.count * motor + passive + rng.uniform(0.5, 1.5, n),
    ).take(rows)


def _power_w(drivers: Cones, chambers: Chambers, low_hz: Floats, excursion_m: Floats) -> Floats:
    """Return the power that the maker rates: what the coils stand, less if the cone hits.

    The cone may go a little beyond Xmax, above the low limit and with the infrasonic
    filter that vented boxes ask for; half of what the coils stand is always claimed.
    """
    tuned = np.nan_to_num(0.85 * chambers.tuning_hz)
    bottom = np.maximum(np.nan_to_num(0.95 * low_hz, nan=30.0), np.maximum(tuned, 25.0))
    played = (bottom[:, np.newaxis] < FREQUENCY_HZ) & (FREQUENCY_HZ < 120)
    swing = np.where(played, excursion_m, 0.0).max(axis=1)
    thermal = drivers.count * drivers.thermal_power_w
    at_excursion = (_EXCURSION_SHARE * drivers.Xmax_m / swing) ** 2
    return np.asarray(np.minimum(thermal, np.maximum(at_excursion, 0.5 * thermal)), float)


def _alpha(drivers: Cones, chambers: Chambers) -> Floats:
    """Return the compliance ratio of cone suspensions and box."""
    stiffness = RHO * C**2 * drivers.count * drivers.Sd_m2**2 / chambers.volume_m3
    return np.asarray(stiffness * drivers.Cms_m_per_n, float)

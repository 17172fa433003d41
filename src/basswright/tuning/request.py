"""What has to be known before a system can be set."""

from __future__ import annotations

import math

from pydantic import Field

from basswright.records.base import Record
from basswright.records.job import Job
from basswright.records.system import Option
from basswright.records.tuning import FilterFamily


class TuningRequest(Record):
    """What the settings are asked for."""

    crossover_hz: float = Field(ge=40, le=200, description="low-pass towards the bass box")
    gain_voltage_v: float = Field(gt=0, le=400, description="RMS at the terminals, full scale")
    protect_below_hz: float | None = Field(
        None, gt=5, le=120, description="tuning of a vented or passive-radiator box"
    )
    bass_distance_m: float | None = Field(None, gt=0, le=12, description="cone to the ear")
    front_distance_m: float | None = Field(None, gt=0, le=12, description="front speaker to ear")
    rise_db: float = Field(6.0, ge=-6, le=15, description="wanted rise towards the low bass")
    bands: int = Field(5, ge=0, le=12, description="most equaliser bands there are")
    family: FilterFamily = "butterworth"
    slope_db_per_octave: int = Field(24, ge=6, le=48)
    sample_rate_hz: float = Field(48000.0, ge=8000, le=384000)
    tone_hz: float = Field(45.0, ge=20, le=100, description="set-up tone")
    tone_level_dbfs: float = Field(-5.0, ge=-40, le=0)


def request_for(
    job: Job, option: Option, *, front_distance_m: float | None = None
) -> TuningRequest:
    """Return the request that a job and the chosen system lead to."""
    ear, cone = job.car.listener, option.placement.cone
    distance = math.dist(cone, (ear.ear_x_m, ear.ear_y_m, ear.ear_z_m))
    vented = option.enclosure.kind in ("vented", "passive-radiator", "bandpass")
    return TuningRequest(
        crossover_hz=job.wish.crossover_hz,
        gain_voltage_v=option.match.gain_voltage_v,
        protect_below_hz=option.enclosure.tuning_hz if vented else None,
        bass_distance_m=distance,
        front_distance_m=front_distance_m,
    )

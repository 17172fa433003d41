"""How a system is set: what a person dials in, and the same as filter coefficients."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from basswright.records.base import Record

Polarity = Literal["normal", "reversed"]
FilterFamily = Literal["butterworth", "linkwitz-riley"]


class EqualiserBand(Record):
    """One band of a parametric equaliser."""

    frequency_hz: float = Field(ge=5, le=1000)
    gain_db: float = Field(ge=-24, le=12)
    Q: float = Field(ge=0.1, le=20, description="centre over the bandwidth between half gains")


class PassFilter(Record):
    """A low-pass or high-pass filter, as it is dialled in."""

    family: FilterFamily
    frequency_hz: float = Field(ge=5, le=1000, description="corner; -3 dB, Linkwitz-Riley -6 dB")
    slope_db_per_octave: int = Field(ge=6, le=48)


class Biquad(Record):
    """One second-order section, a0 = 1: y = b0 x + b1 x' + b2 x'' - a1 y' - a2 y''."""

    what: str = Field(description='"low-pass", "infrasonic filter" or the band, such as "41 Hz"')
    b0: float
    b1: float
    b2: float
    a1: float
    a2: float


class Delay(Record):
    """Which speakers wait, how long, and how that was come by."""

    on: Literal["bass", "front", "neither"]
    delay_s: float = Field(ge=0, le=0.1)
    polarity: Polarity = Field(description="of the bass box")
    how: Literal["distances", "measurement", "not known"]
    note: str = ""


class GainSetting(Record):
    """How the amplifier's gain is set with a test tone and a true-RMS voltmeter."""

    gain_voltage_v: float = Field(gt=0, le=400, description="RMS at the terminals at full scale")
    tone_hz: float = Field(ge=20, le=100)
    tone_level_dbfs: float = Field(ge=-40, le=0)
    tone_voltage_v: float = Field(gt=0, le=400, description="what the meter must show")


class TuningSettings(Record):
    """Everything that is set on the day of fitting."""

    low_pass: PassFilter
    infrasonic: PassFilter | None = Field(description="None: the box needs none")
    delay: Delay
    bands: tuple[EqualiserBand, ...]
    gain: GainSetting
    biquads: tuple[Biquad, ...] = Field(description="whole chain, in order of the signal")
    sample_rate_hz: float = Field(ge=8000, le=384000)
    ripple_before_db: float = Field(ge=0, description="rms distance to the target, no equaliser")
    ripple_after_db: float = Field(ge=0, description="rms distance to the target, with it")
    level_lost_db: float = Field(
        ge=0, description="how much less the loudest clean level becomes, mean 31.5 to 80 Hz"
    )
    held_back: tuple[str, ...] = Field(
        description="where the target was not reached because the driver or amplifier cannot"
    )
    cautions: tuple[str, ...]

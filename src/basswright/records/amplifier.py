"""What a separate amplifier is, as its data sheet tells it."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from basswright.records.base import Origins, Record

OutputMode = Literal["single", "per-channel", "bridged"]
AmplifierClass = Literal["AB", "D", "G", "H"]


class PowerRating(Record):
    """One line of a data sheet: so many watts into so many ohms, in this mode."""

    mode: OutputMode
    load_ohm: float = Field(gt=0.2, le=32)
    power_w: float = Field(gt=0, le=20000, description="continuous (RMS), per output")


class Amplifier(Record):
    """One amplifier that can be bought."""

    id: str = Field(min_length=1, max_length=80)
    maker: str = Field(min_length=1, max_length=80)
    model: str = Field(min_length=1, max_length=80)
    channels: int = Field(ge=1, le=12)
    ratings: tuple[PowerRating, ...] = Field(min_length=1)
    lowest_load_ohm: float = Field(gt=0.2, le=16, description="per channel, not bridged")
    lowest_bridged_ohm: float | None = Field(None, gt=0.2, le=32, description="None: no bridging")
    rated_voltage_v: float | None = Field(None, ge=10, le=16, description="supply when rated")
    rated_distortion_share: float | None = Field(None, gt=0, le=0.5, description="THD+N")
    regulated: bool | None = Field(None, description="whether its inner supply is regulated")
    amplifier_class: AmplifierClass | None = None
    efficiency_share: float | None = Field(None, gt=0.1, le=0.97, description="at full power")
    idle_current_a: float | None = Field(None, ge=0, le=20)
    current_a: float | None = Field(None, gt=0, le=600, description="greatest supply current")
    fuse_a: float | None = Field(None, gt=0, le=600, description="sum of the fuses on it")
    input_low_v: float | None = Field(
        None, gt=0, le=20, description="RMS at the input for rated power, gain fully up"
    )
    input_high_v: float | None = Field(
        None, gt=0, le=40, description="RMS at the input for rated power, gain fully down"
    )
    speaker_input: bool | None = Field(None, description="takes speaker-level signals")
    signal_sensing: bool | None = Field(None, description="turns itself on by the signal")
    width_m: float | None = Field(None, gt=0, le=1.5)
    height_m: float | None = Field(None, gt=0, le=0.5)
    depth_m: float | None = Field(None, gt=0, le=1.5)
    mass_kg: float | None = Field(None, gt=0, le=60)
    price: float = Field(ge=0, le=1e6)
    remarks: tuple[str, ...] = ()
    origins: Origins = Field(default_factory=dict)

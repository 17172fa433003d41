"""What a measurement in the finished car tells of its cabin."""

from __future__ import annotations

from pydantic import Field

from basswright.records.base import Record


class CabinMeasurement(Record):
    """A measured transfer function: the box's volume velocity to pressure at the ear."""

    frequency_hz: tuple[float, ...] = Field(min_length=3, description="rising")
    level_db: tuple[float, ...] = Field(
        min_length=3, description="level of pressure over volume velocity, re 1 Pa s/m3"
    )
    phase_deg: tuple[float, ...] = Field((), description="its phase; empty if not measured")
    spread_db: float = Field(
        0.5, gt=0, le=10, description="standard deviation of the measured level"
    )
    cone_x_m: float = Field(gt=-4, le=6, description="where the cone stood: forwards")
    cone_y_m: float = Field(ge=-1.5, le=1.5, description="to the left")
    cone_z_m: float = Field(gt=-1, le=3, description="above the load floor")

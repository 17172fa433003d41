"""What a job is: a car, a wish, and the workshop's own settings."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from basswright.records.base import Record
from basswright.records.car import Car
from basswright.records.wish import Wish


class LabourTimes(Record):
    """Times that a quote reckons with (common practice, no source; set your own)."""

    fit_box_s: float = Field(3600.0, ge=0, le=86400, description="box in its place, held down")
    fit_amplifier_s: float = Field(2700.0, ge=0, le=86400, description="separate amplifier")
    connect_amplifier_s: float = Field(
        1800.0, ge=0, le=86400, description="signal, turn-on lead and loudspeaker cable"
    )
    lay_cable_s: float = Field(
        900.0, ge=0, le=86400, description="supply cable, for each metre of route"
    )
    set_up_s: float = Field(1800.0, ge=0, le=86400, description="gain, filters, measurement")


class Workshop(Record):
    """What goes on every paper and into every price."""

    name: str = Field("", max_length=80, description="stands at the head of every paper")
    address: str = Field("", max_length=160, description="stands at the foot of every paper")
    contact: str = Field("", max_length=120, description="telephone, mail: at the foot as well")
    tax_number: str = Field("", max_length=60, description="stands on the quote")
    valid_days: int = Field(30, ge=0, le=365, description="for how many days a quote holds")
    currency: str = Field("EUR", pattern=r"^[A-Z]{3}$", description="ISO 4217 code, such as EUR")
    hourly_rate: float = Field(60.0, ge=0, le=1000, description="labour, without tax")
    tax_share: float = Field(0.20, ge=0, le=0.5, description="sales tax on parts and labour")
    labour: LabourTimes = Field(default_factory=LabourTimes)
    paper: Literal["a4", "us-letter"] = Field("a4", description="size of the printed papers")
    lengths: Literal["metric", "inch"] = Field("metric", description="how lengths are shown")
    language: str = Field(
        "en",
        min_length=2,
        max_length=10,
        description="of the papers: en, de, with a region en-US, de-CH",
    )


class Job(Record):
    """Everything that the stages need to know of one customer's car."""

    id: str = Field(
        min_length=1,
        max_length=60,
        pattern=r"^[a-z0-9][a-z0-9-]*$",
        description="small letters, digits and hyphens",
    )
    title: str = Field(min_length=1, max_length=120, description="how the job is found again")
    customer: str = Field("", max_length=120, description="whom the papers are for")
    car: Car
    wish: Wish
    workshop: Workshop = Field(default_factory=Workshop)

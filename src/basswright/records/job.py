"""What a job is: a car, a wish, and the workshop's own settings."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from basswright.records.base import Record
from basswright.records.car import Car
from basswright.records.wish import Wish


class Workshop(Record):
    """What goes on every paper and into every price."""

    name: str = Field("", max_length=80)
    currency: str = Field("EUR", min_length=3, max_length=3, description="ISO 4217 code")
    hourly_rate: float = Field(60.0, ge=0, le=1000, description="labour, without tax")
    tax_share: float = Field(0.20, ge=0, le=0.5, description="sales tax on parts and labour")
    paper: Literal["a4", "us-letter"] = "a4"
    lengths: Literal["metric", "inch"] = "metric"
    language: str = Field("en", min_length=2, max_length=10)


class Job(Record):
    """Everything that the stages need to know of one customer's car."""

    id: str = Field(min_length=1, max_length=60, pattern=r"^[a-z0-9][a-z0-9-]*$")
    title: str = Field(min_length=1, max_length=120)
    customer: str = Field("", max_length=120)
    car: Car
    wish: Wish
    workshop: Workshop = Field(default_factory=Workshop)

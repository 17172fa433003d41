"""Two systems of one job, side by side."""

from __future__ import annotations

from pydantic import Field

from basswright.records.base import Record


class Difference(Record):
    """One figure of both systems."""

    what: str
    first: str
    second: str


class Comparison(Record):
    """Two systems of one job, side by side."""

    first: str
    second: str
    differences: tuple[Difference, ...]
    heard_hz: tuple[float, ...]
    louder_db: tuple[float, ...] = Field(description="second over first, highest clean level")
    times_as_loud: tuple[float, ...] = Field(description="second over first, ISO 226 and sone")
    sentence: str = Field(description="for the customer")

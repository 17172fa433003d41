"""What each of the fitter's choices costs and brings, in figures for one car."""

from __future__ import annotations

from pydantic import Field

from basswright.records.base import Record


class PowerStep(Record):
    """The same box with more or less power."""

    share: float = Field(gt=0, description="of the power that the chosen system uses")
    power_w: float = Field(gt=0)
    change_db: float = Field(description="against the chosen system, bands 31.5 to 80 Hz")
    times_as_loud: float = Field(gt=0, description="as heard, ISO 226 and sone")
    sure_level_db: float
    sure_low_limit_hz: float
    box_limits_share: float = Field(
        ge=0, le=1, description="of the bass range, where the box and not the power is the limit"
    )
    beyond_range: bool = Field(description="more than the box is meant for")
    peak_current_a: float = Field(gt=0)
    feed: str = Field(description="cable and fuse; empty where none is safe")
    upgrade: str = Field(description="what the charging system needs; empty for nothing")
    extra_price: float | None = Field(
        description="feed and upgrades over those of the chosen system, tax included; "
        "None where none is safe"
    )


class LoadStep(Record):
    """What the chosen amplifier gives into another total load."""

    load_ohm: float = Field(gt=0)
    power_w: float = Field(ge=0, description="0 where the load is not allowed")
    change_db: float | None = Field(
        description="against the box's own load, by power alone; None where not allowed"
    )
    own: bool = Field(description="the load of the chosen box")


class Group(Record):
    """Boxes of one kind or one cone size: how many go in, and the best of them."""

    name: str
    boxes: int = Field(ge=0)
    go_in: int = Field(ge=0, description="stand in the load space and pass the opening")
    best: str = Field("", description="id of its loudest system that may be offered")
    sure_level_db: float | None = None
    sure_low_limit_hz: float | None = None
    luggage_lost_m3: float | None = None
    price: float | None = None


class Dimension(Record):
    """One dimension of the load space, and how many boxes hang on it."""

    name: str
    leaves_out: int = Field(ge=0, description="boxes that it keeps out")
    more_mm: tuple[float, ...]
    lets_in: tuple[int, ...] = Field(description="of these, with so much more of it")


class Tradeoffs(Record):
    """What each choice costs and brings in one car."""

    option: str
    currency: str
    dimensions: tuple[Dimension, ...]
    cones: tuple[Group, ...]
    kinds: tuple[Group, ...]
    power: tuple[PowerStep, ...]
    charging_stays_up_to_w: float | None = Field(
        description="highest power without a stronger battery or alternator, for an amplifier "
        "of the chosen efficiency; None above 20 times the chosen power, 0 for none"
    )
    loads: tuple[LoadStep, ...]
    sentences: tuple[str, ...]

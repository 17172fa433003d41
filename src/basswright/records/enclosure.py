"""What a ready-made bass enclosure is, as its data sheet tells it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from basswright.records.base import Origins, Record

BoxKind = Literal["closed", "vented", "passive-radiator", "bandpass"]
Firing = Literal["front", "up", "down"]

_Side = Annotated[float, Field(gt=0.02, le=3.0)]


class Cuboid(Record):
    """A plain box, as it stands: the cone side is width times height."""

    form: Literal["cuboid"] = "cuboid"
    width_m: _Side
    height_m: _Side
    depth_m: _Side


class Wedge(Record):
    """A box whose depth shrinks towards the top: one upright face, one leaning."""

    form: Literal["wedge"] = "wedge"
    width_m: _Side
    height_m: _Side
    depth_bottom_m: _Side
    depth_top_m: _Side


Shape = Annotated[Cuboid | Wedge, Field(discriminator="form")]


class Port(Record):
    """One opening of a vented box. A slot gives width and height, a tube its diameter."""

    count: int = Field(1, ge=1, le=12)
    diameter_m: float | None = Field(None, gt=0, le=0.4)
    width_m: float | None = Field(None, gt=0, le=1.5)
    height_m: float | None = Field(None, gt=0, le=0.5)
    length_m: float | None = Field(None, gt=0, le=2)
    flared: bool | None = None


class PassiveRadiators(Record):
    """The driven-by-air cones of a passive-radiator box."""

    count: int = Field(1, ge=1, le=8)
    size_m: float | None = Field(None, gt=0.05, le=0.6, description="nominal diameter")
    Sd_m2: float | None = Field(None, gt=0, le=0.3, description="area of each")
    Mms_kg: float | None = Field(None, gt=0, le=5)
    Xmax_m: float | None = Field(None, gt=0, le=0.1)


class Driver(Record):
    """The cones of the box. Thiele/Small data is per driver, coils as wired in the box."""

    size_m: float = Field(gt=0.05, le=0.6, description="nominal diameter")
    count: int = Field(1, ge=1, le=8)
    fs_hz: float | None = Field(None, gt=5, le=200)
    Qes: float | None = Field(None, gt=0.05, le=5)
    Qms: float | None = Field(None, gt=0.3, le=50)
    Qts: float | None = Field(None, gt=0.05, le=5)
    Vas_m3: float | None = Field(None, gt=1e-4, le=2)
    Re_ohm: float | None = Field(None, gt=0.1, le=30)
    Le_henry: float | None = Field(None, ge=0, le=0.02)
    Sd_m2: float | None = Field(None, gt=0.001, le=0.3)
    Xmax_m: float | None = Field(None, gt=5e-4, le=0.1, description="one way")
    Bl_tm: float | None = Field(None, gt=0.5, le=100)
    Mms_kg: float | None = Field(None, gt=1e-3, le=5)


class Terminals(Record):
    """Pairs of terminals outside the box, each leading to coils of its own, all alike."""

    pairs: int = Field(ge=2, le=8, description="pairs of terminals that a fitter can join")
    load_ohm: float = Field(gt=0.2, le=32, description="nominal load at each pair")


class BuiltInAmplifier(Record):
    """The amplifier of an enclosure that brings its own."""

    power_w: float = Field(gt=0, le=10000, description="continuous (RMS) into its own drivers")
    amplifier_class: Literal["AB", "D", "G", "H"] | None = None
    current_a: float | None = Field(None, gt=0, le=500, description="greatest supply current")
    fuse_a: float | None = Field(None, gt=0, le=500)


class Enclosure(Record):
    """One ready-made loaded enclosure that can be bought.

    `load_ohm`, `power_low_w` and `power_high_w` are those of the whole box; with several
    pairs of `terminals`, `load_ohm` is one of the loads that these can be joined to.
    `sensitivity_db` is for 1 W at 1 m in half space, `low_limit_hz` the supplier's
    own low limit, taken as the -10 dB point in half space unless the sheet says so.
    """

    id: str = Field(min_length=1, max_length=80)
    maker: str = Field(min_length=1, max_length=80)
    model: str = Field(min_length=1, max_length=80)
    kind: BoxKind
    shape: Shape
    firing: Firing = "front"
    driver: Driver
    load_ohm: float | None = Field(None, gt=0.2, le=32, description="total nominal load")
    terminals: Terminals | None = Field(
        None, description="where coils or cones are led out one by one; None: one pair"
    )
    power_low_w: float | None = Field(None, gt=0, le=20000, description="RMS, recommended from")
    power_high_w: float | None = Field(None, gt=0, le=20000, description="RMS, recommended up to")
    sensitivity_db: float | None = Field(None, ge=60, le=110)
    low_limit_hz: float | None = Field(None, ge=8, le=120)
    net_volume_m3: float | None = Field(None, gt=5e-4, le=1.0)
    tuning_hz: float | None = Field(None, ge=10, le=120)
    rear_volume_m3: float | None = Field(
        None, gt=5e-4, le=1.0, description="of a bandpass box, behind the cones, part of the net"
    )
    rear_tuning_hz: float | None = Field(
        None, ge=8, le=100, description="of a bandpass box whose rear chamber is vented too"
    )
    ports: Port | None = None
    radiators: PassiveRadiators | None = None
    amplifier: BuiltInAmplifier | None = None
    mass_kg: float | None = Field(None, gt=0.3, le=200)
    price: float = Field(ge=0, le=1e6)
    remarks: tuple[str, ...] = ()
    origins: Origins = Field(default_factory=dict)

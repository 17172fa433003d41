"""What feeds an amplifier and holds a box: cables, fuses, charging parts, fixings."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from basswright.records.base import Record
from basswright.records.car import BatteryKind

ConductorMaterial = Literal["copper", "tinned-copper", "copper-clad-aluminium"]
FuseFamily = Literal["blade", "maxi-blade", "strip-sf30", "strip-sf51", "high-current"]


class _Part(Record):
    id: str = Field(min_length=1, max_length=80)
    maker: str = Field(min_length=1, max_length=80)
    model: str = Field(min_length=1, max_length=80)
    price: float = Field(ge=0, le=1e6)


class Cable(_Part):
    """Power cable; the price is per metre."""

    series: Literal["AWG", "SAE", "mm2"]
    size: str = Field(min_length=1, max_length=8, description='"4", "1/0" or "25"')
    material: ConductorMaterial
    insulation_c: float = Field(ge=60, le=260, description="temperature class")


class Fuse(_Part):
    """One fuse link."""

    family: FuseFamily
    rating_a: float = Field(gt=0, le=1000)
    breaking_a: float = Field(gt=0, le=20000, description="breaking capacity")


class FuseHolder(_Part):
    """A holder for one fuse of a family."""

    family: FuseFamily
    largest_a: float = Field(gt=0, le=1000)


class BatteryUpgrade(_Part):
    """A battery in place of, or beside, the car's own."""

    kind: BatteryKind
    role: Literal["replace", "second"]
    capacity_ah: float = Field(gt=1, le=400)
    cca_a: float = Field(gt=50, le=3000)
    labour_s: float = Field(ge=0, le=86400)


class AlternatorUpgrade(_Part):
    """A stronger alternator."""

    rated_a: float = Field(gt=20, le=800)
    idle_a: float = Field(gt=5, le=700)
    labour_s: float = Field(ge=0, le=86400)


class Fixing(_Part):
    """Something that holds a box down: an angle, a strap, a bolt set."""

    kind: Literal["bracket-set", "strap", "bolt-set", "anchor-nut-set"]
    rated_force_n: float = Field(gt=0, le=1e6, description="working load of the set")

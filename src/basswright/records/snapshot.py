"""What can be bought and what is known of cars, at one moment: the input of every stage."""

from __future__ import annotations

from dataclasses import dataclass

from basswright.records.amplifier import Amplifier
from basswright.records.electrics import (
    AlternatorUpgrade,
    BatteryUpgrade,
    Cable,
    Fixing,
    Fuse,
    FuseHolder,
)
from basswright.records.enclosure import Enclosure
from basswright.records.measured_car import MeasuredCar


@dataclass(frozen=True, kw_only=True)
class Snapshot:
    """A catalogue as it stands: plain records, no session, can be pickled.

    `measured_cars` are those of every kind; a job uses the ones of its own.
    """

    currency: str
    enclosures: tuple[Enclosure, ...]
    amplifiers: tuple[Amplifier, ...]
    cables: tuple[Cable, ...]
    fuses: tuple[Fuse, ...]
    fuse_holders: tuple[FuseHolder, ...]
    batteries: tuple[BatteryUpgrade, ...]
    alternators: tuple[AlternatorUpgrade, ...]
    fixings: tuple[Fixing, ...]
    measured_cars: tuple[MeasuredCar, ...] = ()

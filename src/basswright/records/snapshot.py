"""What can be bought, at one moment: the input of every stage."""

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


@dataclass(frozen=True, kw_only=True)
class Snapshot:
    """A catalogue as it stands: plain records, no session, can be pickled."""

    currency: str
    enclosures: tuple[Enclosure, ...]
    amplifiers: tuple[Amplifier, ...]
    cables: tuple[Cable, ...]
    fuses: tuple[Fuse, ...]
    fuse_holders: tuple[FuseHolder, ...]
    batteries: tuple[BatteryUpgrade, ...]
    alternators: tuple[AlternatorUpgrade, ...]
    fixings: tuple[Fixing, ...]

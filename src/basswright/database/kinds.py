"""The kinds of things in a catalogue, and the record of each."""

from __future__ import annotations

from typing import Final, TypeAlias

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

Item: TypeAlias = (
    Enclosure | Amplifier | Cable | Fuse | FuseHolder | BatteryUpgrade | AlternatorUpgrade | Fixing
)

#: Kind, as the fields of a snapshot are called -> its record.
RECORDS: Final[dict[str, type[Item]]] = {
    "enclosures": Enclosure,
    "amplifiers": Amplifier,
    "cables": Cable,
    "fuses": Fuse,
    "fuse_holders": FuseHolder,
    "batteries": BatteryUpgrade,
    "alternators": AlternatorUpgrade,
    "fixings": Fixing,
}

"""What a supply has to hold out against; a workshop may set it otherwise."""

from __future__ import annotations

from pydantic import Field

from basswright.records.base import Record
from basswright.supply.current import PROGRAMME_DUTY_SHARE


class SupplyRules(Record):
    """The demands behind every verdict on the supply.

    Attributes
    ----------
    drop_limit_v : float
        Of cable and return together, at the peak current [V].
    engine_off_s, idle_s : float
        Music with the engine off, and standing with it idling by night [s].
    engine_off_load_a, recharge_a : float
        What the car draws with the engine off, and what must be left in town [A].
    programme_duty_share : float
        Long-term programme power over full sine power [-].
    conductor_c : float
        Temperature of the cable [°C].
    copper_only : bool
    hourly_rate : float
        Labour on upgrades, in the catalogue's currency an hour.
    """

    drop_limit_v: float = Field(
        0.5, gt=0.05, le=2, description="of cable and return together, at the peak current"
    )
    engine_off_s: float = Field(
        900.0, ge=60, le=86400, description="music with the engine off, and it still starts"
    )
    engine_off_load_a: float = Field(
        6.0, ge=0, le=60, description="what the car draws then, radio on"
    )
    idle_s: float = Field(
        1800.0, ge=60, le=86400, description="standing with the engine idling by night"
    )
    recharge_a: float = Field(
        10.0, ge=0, le=60, description="what must be left in town to charge the battery"
    )
    programme_duty_share: float = Field(PROGRAMME_DUTY_SHARE, gt=0, le=1)
    conductor_c: float = Field(50.0, ge=-20, le=120, description="temperature of the cable")
    copper_only: bool = Field(
        True, description="leave out copper-clad aluminium, whose joints loosen sooner"
    )
    hourly_rate: float = Field(0.0, ge=0, le=1000, description="labour on upgrades, if priced")

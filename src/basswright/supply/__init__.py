"""Can the car feed it? Current, cable, fuse, alternator, battery, supply sag."""

from basswright.supply.current import (
    PROGRAMME_DUTY_SHARE,
    constant_power_current_a,
    currents,
    draw_share,
    duty_share,
    heat_w,
)
from basswright.supply.diagram import wiring_diagram
from basswright.supply.ladder import SupplyLadder, SupplyVerdicts, ladder
from basswright.supply.plan import plan, relief
from basswright.supply.programme import bursts, demand_w, invented_piece, track_share
from basswright.supply.rules import SupplyRules
from basswright.supply.simulate import SupplyCase, SupplyTrace, simulate

__all__ = [
    "PROGRAMME_DUTY_SHARE",
    "SupplyCase",
    "SupplyLadder",
    "SupplyRules",
    "SupplyTrace",
    "SupplyVerdicts",
    "bursts",
    "constant_power_current_a",
    "currents",
    "demand_w",
    "draw_share",
    "duty_share",
    "heat_w",
    "invented_piece",
    "ladder",
    "plan",
    "relief",
    "simulate",
    "track_share",
    "wiring_diagram",
]

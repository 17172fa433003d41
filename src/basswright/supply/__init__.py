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
from basswright.supply.rules import SupplyRules

__all__ = [
    "PROGRAMME_DUTY_SHARE",
    "SupplyLadder",
    "SupplyRules",
    "SupplyVerdicts",
    "constant_power_current_a",
    "currents",
    "draw_share",
    "duty_share",
    "heat_w",
    "ladder",
    "plan",
    "relief",
    "wiring_diagram",
]

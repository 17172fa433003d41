"""Can the car feed it? Current, cable, fuse, alternator, battery, supply sag."""

from basswright.supply.current import (
    PROGRAMME_DUTY_SHARE,
    SHORT_TERM_DUTY_SHARE,
    constant_power_current_a,
    currents,
    draw_share,
    duty_share,
    heat_w,
)
from basswright.supply.diagram import wiring_diagram
from basswright.supply.distribution import Branch, BranchLoad, Distribution, distribute
from basswright.supply.heat import case_rise_k, cooling_air_m3_per_s
from basswright.supply.ladder import SupplyLadder, SupplyVerdicts, ladder
from basswright.supply.plan import plan, relief
from basswright.supply.plausible import SupplyProblem, charging_problems
from basswright.supply.programme import bursts, demand_w, invented_piece, track_share
from basswright.supply.quick_test import QuickTest, Readings, quick_test
from basswright.supply.reach import charging_relief, power_without_upgrade_w, upgrade_reaches
from basswright.supply.remedies import Remedy, remedies
from basswright.supply.rules import SupplyRules
from basswright.supply.simulate import SupplyCase, SupplyTrace, simulate

__all__ = [
    "PROGRAMME_DUTY_SHARE",
    "SHORT_TERM_DUTY_SHARE",
    "Branch",
    "BranchLoad",
    "Distribution",
    "QuickTest",
    "Readings",
    "Remedy",
    "SupplyCase",
    "SupplyLadder",
    "SupplyProblem",
    "SupplyRules",
    "SupplyTrace",
    "SupplyVerdicts",
    "bursts",
    "case_rise_k",
    "charging_problems",
    "charging_relief",
    "constant_power_current_a",
    "cooling_air_m3_per_s",
    "currents",
    "demand_w",
    "distribute",
    "draw_share",
    "duty_share",
    "heat_w",
    "invented_piece",
    "ladder",
    "plan",
    "power_without_upgrade_w",
    "quick_test",
    "relief",
    "remedies",
    "simulate",
    "track_share",
    "upgrade_reaches",
    "wiring_diagram",
]

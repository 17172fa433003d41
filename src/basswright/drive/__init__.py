"""Which amplifier? Coil loads, power at that load, gain."""

from basswright.drive.built_in import built_in_load_ohm, built_in_power_w
from basswright.drive.claims import ClaimProblem, claim_problems
from basswright.drive.clipping import undistorted_share
from basswright.drive.coils import CoilWiring, coil_loads
from basswright.drive.diagram import coil_diagram, wiring_diagram
from basswright.drive.drivers import driver_loads
from basswright.drive.efficiency import efficiency_share
from basswright.drive.gain import gain_range, gain_voltage, tone_voltage
from basswright.drive.match import match
from basswright.drive.match_table import LIMITS, UNSAFE_SHARE, ZONES, MatchTable, match_table
from basswright.drive.outputs import OutputTable, outputs
from basswright.drive.power import REASONS, load_reason_index, power_at_load, supply_share
from basswright.drive.ranges import PowerRanges, power_ranges
from basswright.drive.several import SeveralMatch, SharedMatch, boxes_at_once, several, shared
from basswright.drive.standard import STANDARD_SUPPLY_V
from basswright.drive.wirings import (
    as_wired,
    joining_text,
    loads_of,
    terminal_loads,
    terminal_wiring,
)

__all__ = [
    "LIMITS",
    "REASONS",
    "STANDARD_SUPPLY_V",
    "UNSAFE_SHARE",
    "ZONES",
    "ClaimProblem",
    "CoilWiring",
    "MatchTable",
    "OutputTable",
    "PowerRanges",
    "SeveralMatch",
    "SharedMatch",
    "as_wired",
    "boxes_at_once",
    "built_in_load_ohm",
    "built_in_power_w",
    "claim_problems",
    "coil_diagram",
    "coil_loads",
    "driver_loads",
    "efficiency_share",
    "gain_range",
    "gain_voltage",
    "joining_text",
    "load_reason_index",
    "loads_of",
    "match",
    "match_table",
    "outputs",
    "power_at_load",
    "power_ranges",
    "several",
    "shared",
    "supply_share",
    "terminal_loads",
    "terminal_wiring",
    "tone_voltage",
    "undistorted_share",
    "wiring_diagram",
]

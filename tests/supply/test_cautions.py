"""Cautions that a plan carries."""

from __future__ import annotations

from basswright.records.electrics import AlternatorUpgrade, BatteryUpgrade
from basswright.records.snapshot import Snapshot
from basswright.supply.cautions import SUPPLY_CAUTIONS, cautions, parked_cautions
from basswright.supply.rules import SupplyRules
from basswright.supply.upgrades import Upgrade, upgrades
from tests.supply.sample import alternator, battery, cable, charging, snapshot


def _upgrade(
    *, batteries: tuple[BatteryUpgrade, ...] = (), alternators: tuple[AlternatorUpgrade, ...] = ()
) -> Upgrade:
    shelf: Snapshot = snapshot(batteries=batteries, alternators=alternators)
    return upgrades(charging(), shelf, SupplyRules())[-1]


def test_a_car_as_it_is_gets_the_general_ones() -> None:
    """And one more for clad cable."""
    bare = _upgrade()
    assert cautions(charging(), bare, cable("4")) == SUPPLY_CAUTIONS
    clad = cautions(charging(), bare, cable("4", material="copper-clad-aluminium"))
    assert len(clad) == len(SUPPLY_CAUTIONS) + 1
    assert "Copper-clad" in clad[-1]


def test_each_upgrade_brings_its_own() -> None:
    """Another chemistry, lithium, a second battery, an alternator; the same kind nothing."""
    same = _upgrade(batteries=(battery(80.0, 800.0, 1.0, kind="flooded"),))
    assert cautions(charging(), same, cable("4")) == SUPPLY_CAUTIONS
    agm = cautions(charging(), _upgrade(batteries=(battery(80.0, 800.0, 1.0),)), cable("4"))
    assert "another kind" in agm[-1]
    lithium = battery(60.0, 680.0, 1.0, role="second", kind="lithium")
    both = _upgrade(batteries=(lithium,), alternators=(alternator(180.0, 90.0, 1.0),))
    found = " ".join(cautions(charging(), both, cable("4"))[len(SUPPLY_CAUTIONS) :])
    for words in ("another kind", "below freezing", "both ends", "charge cable and fuse"):
        assert words in found


def test_a_parked_car_is_cautioned_within_a_week() -> None:
    """A week (common practice, no source) is still short; a car without drain never ends."""
    week = 7 * 86400.0
    assert parked_cautions(charging(), None) == parked_cautions(charging(), week + 1) == ()
    found = parked_cautions(charging(standing_drain_a=0.16), week - 3600)
    assert "draws 0.16 A: after about 167 h" in found[0]

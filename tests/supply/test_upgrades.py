"""What each charging upgrade settles, by hand."""

from __future__ import annotations

import pytest

from basswright.supply.rules import SupplyRules
from basswright.supply.upgrades import upgrades
from tests.supply.sample import alternator, battery, charging, snapshot


def _carried(capacity_ah: float, time_s: float, exponent: float, usable: float) -> float:
    """Peukert turned round on 85 % of the capacity."""
    return capacity_ah / 20 * (usable * 0.85 * 20 * 3600 / time_s) ** (1 / exponent)


def test_the_car_as_it_is() -> None:
    """120 A, 60 A idling (48 A hot), 45 A of lights, 70 Ah flooded."""
    own = upgrades(charging(), snapshot(), SupplyRules())[0]
    town = 0.35 * 48 + 0.65 * (60 + 0.75 * 60) - 45 - 10
    idle = 48 - 45 + _carried(70.0, 1800, 1.25, 0.4)
    off = _carried(70.0, 900, 1.25, 0.4) - 6
    assert own.limits_a == pytest.approx((town, idle, off))
    assert own.average_limit_a == pytest.approx(min(town, idle, off))
    assert own.limit_index == [town, idle, off].index(min(town, idle, off))
    assert (own.price, own.labour_s, own.rated_a, own.idle_a) == (0.0, 0.0, 120.0, 60.0)
    assert (own.capacity_ah, own.cca_a) == (70.0, 640.0)


def test_a_battery_that_replaces_or_stands_beside() -> None:
    """A new one counts by itself; two count together, by the less favourable law, and short by
    the stronger one."""
    shelf = snapshot(
        batteries=(
            battery(95.0, 850.0, 230.0, kind="agm"),
            battery(60.0, 600.0, 260.0, role="second", kind="lithium"),
        ),
        alternators=(),
    )
    rules = SupplyRules(hourly_rate=60.0)
    own, new, beside = upgrades(charging(), shelf, rules)
    assert own.price == 0.0
    assert (new.capacity_ah, new.cca_a, new.exponent, new.usable_share) == (95.0, 850.0, 1.10, 0.4)
    assert new.limits_a[2] == pytest.approx(_carried(95.0, 900, 1.10, 0.4) - 6)
    assert new.price == pytest.approx(230.0 + 30.0)
    assert new.labour_s == 1800.0
    assert (beside.capacity_ah, beside.cca_a) == (130.0, 640.0)
    assert (beside.exponent, beside.usable_share) == (1.25, 0.4)
    assert beside.limits_a[1] == pytest.approx(3 + _carried(130.0, 1800, 1.25, 0.4))


def test_only_stronger_alternators_are_tried() -> None:
    """Both upgrades together cost both, in parts and in hours."""
    shelf = snapshot(
        batteries=(battery(95.0, 850.0, 230.0),),
        alternators=(alternator(120.0, 70.0, 1.0), alternator(180.0, 90.0, 420.0)),
    )
    found = upgrades(charging(), shelf, SupplyRules(hourly_rate=50.0))
    assert len(found) == 4
    both = found[-1]
    assert (both.rated_a, both.idle_a, both.labour_s) == (180.0, 90.0, 9000.0)
    assert both.price == pytest.approx(650.0 + 2.5 * 50)
    assert both.limits_a[0] == pytest.approx(0.35 * 72 + 0.65 * (90 + 0.75 * 90) - 45 - 10)

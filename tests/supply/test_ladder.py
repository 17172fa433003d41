"""The ladder equals planning each pair by itself, and follows the trade's experience."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from basswright.errors import InputError
from basswright.records.car import Charging
from basswright.records.snapshot import Snapshot
from basswright.supply import SupplyRules, currents, ladder, plan, relief
from basswright.supply.ampacity import ampacity_a
from basswright.supply.battery import (
    HEALTH_SHARE,
    PEUKERT,
    USABLE_SHARE,
    discharge_s,
)
from basswright.supply.charging import balances
from basswright.supply.conductors import area_m2, resistance_20c_ohm_per_m, resistance_ohm_per_m
from basswright.supply.fuses import short_circuit_a
from tests.supply.sample import alternator, battery, cable, charging, fuse, holder, snapshot

RULES = SupplyRules()


def _stands(car: Charging, new_battery: object, new_alternator: object, average_a: float) -> bool:
    """Tell by going forward in time whether a charging system stands a current."""
    rated = getattr(new_alternator, "rated_a", car.alternator_rated_a)
    idle = getattr(new_alternator, "idle_a", car.alternator_idle_a)
    capacity, kind = car.battery_capacity_ah, car.battery_kind
    exponent, usable = PEUKERT[kind], USABLE_SHARE[kind]
    if new_battery is not None:
        second = new_battery.role == "second"
        exponent = max(PEUKERT[new_battery.kind], exponent if second else 0)
        usable = min(USABLE_SHARE[new_battery.kind], usable if second else 1)
        capacity = new_battery.capacity_ah + (capacity if second else 0)
    share = usable * HEALTH_SHARE
    left = {b.situation: b.balance_a for b in balances(car, average_a, rated_a=rated, idle_a=idle)}
    off = discharge_s(average_a + RULES.engine_off_load_a, capacity, exponent, share)
    idling = discharge_s(-left["idle, night, hot"], capacity, exponent, share)
    return bool(
        left["town, night, hot"] >= RULES.recharge_a
        and off >= RULES.engine_off_s
        and idling >= RULES.idle_s
    )


def _cheapest(car: Charging, shelf: Snapshot, peak_a: float, average_a: float) -> float:
    """Plan one pair by trying every set of parts on the shelf."""
    best = np.inf
    length = car.cable_route_m + car.ground_route_m
    needed = max(peak_a, average_a / 0.7)
    for new_battery, new_alternator in product(
        (None, *shelf.batteries), (None, *shelf.alternators)
    ):
        if new_alternator is not None and new_alternator.rated_a <= car.alternator_rated_a:
            continue
        if not _stands(car, new_battery, new_alternator, average_a):
            continue
        second = new_battery is not None and new_battery.role == "second"
        cca = car.battery_cca_a if new_battery is None else new_battery.cca_a
        cca = max(cca, car.battery_cca_a) if second else cca
        extra = sum(part.price for part in (new_battery, new_alternator) if part is not None)
        for wire, link, socket in product(shelf.cables, shelf.fuses, shelf.fuse_holders):
            fits = socket.family == link.family and socket.largest_a >= link.rating_a
            short = short_circuit_a(cca, resistance_20c_ohm_per_m(wire), link.rating_a)
            drop = needed * resistance_ohm_per_m(wire, RULES.conductor_c) * length
            if (
                fits
                and link.rating_a <= ampacity_a(wire)
                and link.breaking_a >= short
                and link.rating_a >= needed
                and drop <= RULES.drop_limit_v
            ):
                fuses = (2 if second else 1) * (link.price + socket.price)
                best = min(best, extra + wire.price * length + fuses)
    return best


SMALL = snapshot(
    cables=(cable("8", 2.0), cable("4", 4.5), cable("1/0", 12.0), cable("35", 7.0, series="mm2")),
    fuses=(
        fuse(50.0, family="strip-sf30", breaking_a=2000.0, price=2.0),
        fuse(100.0, family="strip-sf30", breaking_a=2000.0, price=2.2),
        fuse(80.0, price=5.0),
        fuse(130.0, price=5.5),
        fuse(200.0, price=6.0),
    ),
    fuse_holders=(
        holder("high-current", 150.0, 14.0),
        holder("high-current", 300.0, 18.0),
        holder("strip-sf30", 200.0, 9.0),
    ),
    batteries=(battery(80.0, 800.0, 190.0), battery(60.0, 500.0, 150.0, role="second")),
    alternators=(alternator(180.0, 90.0, 420.0),),
)


@settings(max_examples=60, deadline=None)
@given(
    peak_a=st.floats(0.5, 260),
    duty=st.floats(0.1, 1.0),
    rated_a=st.sampled_from([70.0, 110.0, 150.0]),
    cca_a=st.sampled_from([360.0, 640.0, 900.0]),
    route_m=st.sampled_from([1.5, 4.5, 6.5]),
)
def test_the_ladder_equals_planning_each_pair_by_itself(
    peak_a: float, duty: float, rated_a: float, cca_a: float, route_m: float
) -> None:
    """Price, choice and both verdicts are exact."""
    car = charging(
        alternator_rated_a=rated_a,
        alternator_idle_a=rated_a / 2,
        battery_cca_a=cca_a,
        cable_route_m=route_m,
    )
    steps = ladder(car, SMALL)
    average_a = peak_a * duty
    expected = _cheapest(car, SMALL, peak_a, average_a)
    found = float(steps.price(peak_a, average_a))
    assert found == pytest.approx(expected)
    verdicts = steps.verdicts([peak_a], [average_a])
    safe = bool(verdicts.feed.passes[0] and verdicts.charging.passes[0])
    assert safe == bool(np.isfinite(expected))
    if np.isfinite(expected):
        made = plan(car, SMALL, peak_a=peak_a, average_a=average_a, steps=steps)
        assert made.price == pytest.approx(expected)
        assert all(verdict.passes and verdict.margin >= 0 for verdict in made.verdicts)
        assert made.fuse.rating_a <= ampacity_a(made.cable)
        assert made.fuse.rating_a >= peak_a
    else:
        with pytest.raises(InputError, match="no supply on offer is safe"):
            plan(car, SMALL, peak_a=peak_a, average_a=average_a, steps=steps)


def test_price_never_falls_with_either_current() -> None:
    """Over a fine grid."""
    steps = ladder(charging(), snapshot())
    peak, average = np.linspace(0, 300, 301)[:, None], np.linspace(0, 120, 121)[None, :]
    price = np.where(np.isinf(grid := steps.price(peak, average)), 1e9, grid)
    assert np.all(np.diff(price, axis=0) >= 0)
    assert np.all(np.diff(price, axis=1) >= 0)
    assert price.shape == (301, 121)


def _plan_at(power_w: float) -> tuple[bool, float]:
    """Return whether a common car needs a charging upgrade, and the cable's area [mm2]."""
    peak, average = currents(power_w, 0.80, 13.8)
    made = plan(charging(), snapshot(), peak_a=float(peak), average_a=float(average))
    upgraded = made.battery is not None or made.alternator is not None
    return upgraded, area_m2(made.cable) * 1e6


@pytest.mark.parametrize("power_w", [150.0, 300.0, 400.0, 500.0])
def test_below_five_hundred_watts_a_common_car_needs_no_upgrade(power_w: float) -> None:
    """Common practice, no source; here it follows from the energy balance."""
    assert not _plan_at(power_w)[0]


def test_between_five_hundred_and_a_thousand_watts_a_common_car_needs_help() -> None:
    """Common practice, no source; and above 500 to 750 W the cable has to grow."""
    first = next(p for p in range(500, 1001, 10) if _plan_at(float(p))[0])
    assert 500 < first <= 1000
    assert _plan_at(1000.0)[1] > _plan_at(500.0)[1] * 1.5


def test_what_cannot_be_fed_is_refused_with_what_is_missing() -> None:
    """Both limits are named, in amperes, and the relief is the smallest cut."""
    steps = ladder(charging(), snapshot())
    with pytest.raises(InputError) as caught:
        plan(charging(), snapshot(), peak_a=400.0, average_a=150.0)
    assert "A short" in caught.value.problem
    cut = relief(steps, 400.0, 30.0)
    assert cut is not None
    assert relief(steps, 400.0 - cut.amount - 1e-6, 30.0) is None
    assert relief(steps, 20.0, 5.0) is None


def test_no_fuse_that_breaks_the_short_circuit_means_no_supply() -> None:
    """A strong battery and only 1000 A fuses."""
    weak = snapshot(
        fuses=(fuse(60.0, family="maxi-blade", breaking_a=1000.0),),
        fuse_holders=(holder("maxi-blade", 100.0),),
    )
    steps = ladder(charging(), weak)
    verdict = steps.verdicts([20.0], [5.0]).feed.row(0)
    assert not verdict.passes
    assert "short circuit" in verdict.limit
    assert np.isinf(steps.price(20.0, 5.0))


def test_a_fuse_above_the_ampacity_is_never_chosen() -> None:
    """Only an 8 AWG cable and a 100 A fuse: refused though both carry 30 A."""
    risky = snapshot(cables=(cable("8", 1.0),), fuses=(fuse(100.0),))
    with pytest.raises(InputError, match="no fuse on offer"):
        plan(charging(), risky, peak_a=30.0, average_a=10.0)


def test_an_empty_shelf_gives_a_refusal_and_no_crash() -> None:
    """Nothing to buy."""
    empty = snapshot(cables=(), fuses=(), fuse_holders=(), batteries=(), alternators=())
    steps = ladder(charging(), empty)
    assert np.isinf(steps.price([1.0, 2.0], [0.1, 0.2])).all()
    assert not steps.verdicts([1.0], [0.1]).feed.passes[0]
    with pytest.raises(InputError):
        plan(charging(), empty, peak_a=1.0, average_a=0.1)


def test_labour_counts_at_the_rules_rate() -> None:
    """Two hours on the alternator at 60 an hour."""
    plain, paid = (
        ladder(charging(), snapshot(), rules=SupplyRules(hourly_rate=rate)) for rate in (0.0, 60.0)
    )
    assert paid.price(80.0, 40.0) - plain.price(80.0, 40.0) == pytest.approx(120.0)
    assert plain.labour_s(80.0, 40.0) == 7200.0
    assert plain.labour_s(20.0, 5.0) == 0.0


def test_cables_that_cannot_be_judged_are_left_out_and_named() -> None:
    """A size that does not exist must not stop the rest."""
    shelf = snapshot(cables=(cable("17", series="mm2"), cable("4", 4.5)))
    steps = ladder(charging(), shelf)
    assert [error.item for error in steps.left_out] == ["mm2-17-copper"]
    assert np.isfinite(steps.price(30.0, 10.0))


def test_copper_clad_cable_is_taken_only_where_the_workshop_allows_it() -> None:
    """Cheaper, and then with its own caution."""
    copper = plan(charging(), snapshot(), peak_a=90.0, average_a=25.0)
    rules = SupplyRules(copper_only=False)
    clad = plan(charging(), snapshot(), peak_a=120.0, average_a=25.0, rules=rules)
    assert copper.cable.material == "copper"
    assert clad.cable.material == "copper-clad-aluminium"
    assert any("lugs" in caution for caution in clad.cautions)
    assert not any("lugs" in caution for caution in copper.cautions)


def test_a_fuse_carries_no_more_than_seven_tenths_for_good() -> None:
    """A warm fuse: 28 A on average is the most for a 40 A one (common practice)."""
    shelf = snapshot(
        cables=(cable("2", 8.0),), fuses=(fuse(40.0, family="strip-sf30", breaking_a=2000.0),)
    )
    steps = ladder(charging(), shelf)
    verdicts = steps.verdicts([28.0, 28.0], [27.9, 28.1]).feed
    assert verdicts.passes.tolist() == [True, False]
    assert verdicts.margin[1] == pytest.approx(40 - 28.1 / 0.7)


def test_verdicts_carry_the_price_and_the_distance_to_what_is_on_offer() -> None:
    """In currency and amperes; without any fuse nothing is near."""
    steps = ladder(charging(), snapshot())
    peak, average = [60.0, 60.0, 1e4], [22.0, 1e3, 22.0]
    found = steps.verdicts(peak, average)
    assert found.price == pytest.approx(steps.price(peak, average))
    assert np.isfinite(found.price).tolist() == [True, False, False]
    strongest = max(feed.capacity_a for feeds in steps.feed_lists for feed in feeds)
    assert found.feed.margin[2] == pytest.approx(strongest - 1e4)
    most = max(upgrade.average_limit_a for upgrade in steps.upgrade_list)
    assert found.charging.margin[1] == pytest.approx(most - 1e3)
    bare = ladder(charging(), snapshot(fuses=())).verdicts([60.0], [22.0])
    assert bare.feed.margin[0] == pytest.approx(-1e4 - 60.0)
    assert bare.feed.limits[int(bare.feed.limit_index[0])].startswith("no fuse on offer")

"""Several amplifiers on one cable."""

from __future__ import annotations

import pytest

from basswright.errors import InputError
from basswright.supply.ampacity import ampacity_a
from basswright.supply.conductors import resistance_20c_ohm_per_m, resistance_ohm_per_m
from basswright.supply.distribution import BranchLoad, distribute
from tests.supply.sample import battery, cable, charging, fuse, holder, snapshot


def _load(name: str, peak_a: float, length_m: float = 1.0) -> BranchLoad:
    return BranchLoad(name=name, peak_a=peak_a, average_a=0.35 * peak_a, length_m=length_m)


CHEAP = snapshot(
    fuse_holders=(holder("high-current", 300.0, 1.0), holder("strip-sf30", 200.0, 1.0))
)
LOADS = [_load("bass", 90.0), _load("front", 20.0, length_m=2.0)]


def test_every_step_to_a_thinner_cable_is_fused() -> None:
    """No cable lies behind a fuse above what it may carry (the meaning of a fuse)."""
    made = distribute(charging(), CHEAP, LOADS)
    assert made.main.peak_current_a == pytest.approx(110)
    assert made.main.fuse.rating_a <= ampacity_a(made.main.cable)
    for branch in made.branches:
        before = branch.fuse or made.main.fuse
        assert before.rating_a <= ampacity_a(branch.cable)
        assert before.rating_a >= branch.load.peak_a
        ohm = resistance_ohm_per_m(branch.cable, 50.0) * branch.load.length_m
        assert branch.drop_v == pytest.approx(branch.load.peak_a * ohm)
        assert branch.drop_v <= 0.1
    assert made.branches[1].fuse is not None
    drop = next(v for v in made.main.verdicts if v.rule == "voltage drop")
    ohm = resistance_ohm_per_m(made.main.cable, 50.0) * 6.0
    assert drop.margin == pytest.approx(0.4 - 110 * ohm)
    assert made.price > (made.main.price or 0.0)


def test_a_branch_as_strong_as_the_main_cable_needs_no_second_fuse() -> None:
    """Only one size on the shelf."""
    one = snapshot(cables=(cable("1/0", 12.0),))
    made = distribute(charging(), one, [_load("bass", 40.0), _load("front", 20.0)])
    assert [branch.fuse for branch in made.branches] == [None, None]


def test_a_fuse_at_the_block_breaks_what_the_battery_gives_there() -> None:
    """Less than at the battery, by the cable in between."""
    made = distribute(charging(), CHEAP, LOADS)
    assert made.main.short_circuit_a is not None
    for branch in made.branches:
        assert branch.short_circuit_a < made.main.short_circuit_a
        if branch.fuse is not None:
            assert branch.fuse.breaking_a >= branch.short_circuit_a


def test_what_cannot_be_protected_is_refused_by_name() -> None:
    """A 4 AWG branch may carry 136 A, but the only fuse is a 150 A one."""
    risky = snapshot(
        cables=(cable("2/0", 16.0), cable("4", 4.0).model_copy(update={"insulation_c": 60.0})),
        fuses=(fuse(150.0),),
        fuse_holders=(holder("high-current", 300.0),),
    )
    made = distribute(charging(), risky, [_load("bass", 60.0), _load("front", 20.0)])
    assert {branch.cable.size for branch in made.branches} == {"2/0"}
    short = snapshot(cables=(cable("4", 4.0),))
    with pytest.raises(InputError, match=r"front, peak_a: no cable and fuse"):
        distribute(charging(), short, [_load("front", 60.0, length_m=9.0)])
    with pytest.raises(InputError, match="no amplifier"):
        distribute(charging(), snapshot(), [])


def test_the_short_at_the_block_is_ohms_law() -> None:
    """12.65 V behind battery, 5.5 m of cold main cable and 1 mohm; a stronger second battery
    counts with its own cranking current."""
    made = distribute(charging(), CHEAP, LOADS)
    cold = resistance_20c_ohm_per_m(made.main.cable) * 5.5
    ohm = 0.55 * 5.1 / 640 + cold + 1e-3
    assert made.branches[0].short_circuit_a == pytest.approx(12.65 / ohm)
    price = sum(
        branch.cable.price * branch.load.length_m
        + (branch.fuse.price if branch.fuse else 0.0)
        + (branch.holder.price if branch.holder else 0.0)
        for branch in made.branches
    )
    assert made.price == pytest.approx((made.main.price or 0.0) + price)


def test_a_branch_whose_fuses_have_no_holder_is_fed_by_a_stronger_cable() -> None:
    """Blade fuses are on the shelf without a holder: they are no protection."""
    shelf = snapshot(
        cables=(cable("2/0", 16.0), cable("8", 2.0)),
        fuses=(fuse(150.0), fuse(40.0, family="blade", breaking_a=6000.0)),
        fuse_holders=(holder("high-current", 300.0),),
    )
    made = distribute(charging(), shelf, [_load("bass", 60.0), _load("front", 20.0)])
    assert {branch.cable.size for branch in made.branches} == {"2/0"}


def test_a_stronger_new_battery_shorts_harder_at_the_block() -> None:
    """850 A instead of 640 A of cranking current."""
    strong = snapshot(batteries=(battery(95.0, 850.0, 1.0),), alternators=())
    loads = [_load("bass", 60.0), _load("front", 20.0)]
    made = distribute(charging(battery_capacity_ah=40.0), strong, loads)
    assert made.main.battery is not None
    cold = resistance_20c_ohm_per_m(made.main.cable) * 5.5
    ohm = 0.55 * 5.1 / 850 + cold + 1e-3
    assert made.branches[0].short_circuit_a == pytest.approx(12.65 / ohm)

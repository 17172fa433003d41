"""The demo range: consistent with its hidden truth, and true to the trade's rules."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.catalogue.demo import DemoRange, make
from basswright.catalogue.demo.sheets import TOLERANCE
from basswright.records.enclosure import Cuboid, Enclosure


@pytest.fixture(scope="module")
def demo() -> DemoRange:
    return make()


def _outer_m3(enclosure: Enclosure) -> float:
    shape = enclosure.shape
    if isinstance(shape, Cuboid):
        return shape.width_m * shape.height_m * shape.depth_m
    depth = (shape.depth_bottom_m + shape.depth_top_m) / 2
    return shape.width_m * shape.height_m * depth


def _median_outer_m3(demo: DemoRange, kind: str, *, size_m: float, count: int) -> float:
    return float(
        np.median(
            [
                _outer_m3(e)
                for e in demo.snapshot.enclosures
                if (e.kind, e.driver.size_m, e.driver.count) == (kind, size_m, count)
            ]
        )
    )


def test_the_range_is_large_and_has_every_kind_of_thing(demo: DemoRange) -> None:
    snapshot = demo.snapshot
    assert len(snapshot.enclosures) >= 1500
    assert len(snapshot.amplifiers) >= 400
    assert sum(e.amplifier is not None for e in snapshot.enclosures) >= 150
    assert {e.kind for e in snapshot.enclosures} == {
        "closed",
        "vented",
        "passive-radiator",
        "bandpass",
    }
    assert {fuse.family for fuse in snapshot.fuses} == {h.family for h in snapshot.fuse_holders}
    for table in ("cables", "fuses", "fuse_holders", "batteries", "alternators", "fixings"):
        assert len(getattr(snapshot, table)) >= 8


def test_ids_are_unique_and_every_maker_is_plainly_invented(demo: DemoRange) -> None:
    snapshot = demo.snapshot
    parts = [part for table in list(vars(snapshot).values())[1:] for part in table]
    assert len({part.id for part in parts}) == len(parts)
    assert all(part.maker.startswith("Demo ") for part in parts)


def test_the_same_seed_gives_the_same_range_and_another_seed_another() -> None:
    assert make(3, enclosures=60, amplifiers=20) == make(3, enclosures=60, amplifiers=20)
    first, second = (make(seed, enclosures=60, amplifiers=20).snapshot for seed in (3, 4))
    assert first.enclosures != second.enclosures
    assert first.amplifiers != second.amplifiers


@pytest.mark.parametrize("count", [1, 3, 10])
def test_a_range_may_be_small(count: int) -> None:
    small = make(1, enclosures=count, amplifiers=count)
    assert len(small.snapshot.enclosures) == len(small.truth) == count


def test_the_truth_is_beside_the_catalogue_for_every_box(demo: DemoRange) -> None:
    assert set(demo.truth) == {e.id for e in demo.snapshot.enclosures}
    for enclosure in demo.snapshot.enclosures:
        truth = demo.truth[enclosure.id]
        assert truth.kind == enclosure.kind
        assert truth.count == enclosure.driver.count


@pytest.mark.parametrize(
    ("told", "tolerance"),
    [
        ("low_limit_hz", "low_limit"),
        ("tuning_hz", "tuning"),
        ("mass_kg", "mass"),
        ("power_high_w", "power"),
    ],
)
def test_told_figures_lie_within_the_stated_tolerance(
    demo: DemoRange, told: str, tolerance: str
) -> None:
    true_name = {"power_high_w": "power_w"}.get(told, told)
    pairs = np.array(
        [
            (getattr(e, told), getattr(demo.truth[e.id], true_name))
            for e in demo.snapshot.enclosures
            if getattr(e, told) is not None
        ]
    )
    off = pairs[:, 0] / pairs[:, 1] - 1
    assert np.all(np.abs(off) <= TOLERANCE[tolerance])
    assert np.abs(off).max() > TOLERANCE[tolerance] / 4


def test_told_sensitivity_and_volume_lie_within_the_stated_tolerance(demo: DemoRange) -> None:
    for enclosure in demo.snapshot.enclosures:
        truth = demo.truth[enclosure.id]
        if enclosure.sensitivity_db is not None:
            off = abs(enclosure.sensitivity_db - truth.sensitivity_db)
            assert off <= TOLERANCE["sensitivity_db"]
        if enclosure.net_volume_m3 is not None:
            air = truth.net_volume_m3 + (truth.front_volume_m3 or 0.0)
            assert enclosure.net_volume_m3 == pytest.approx(air, rel=TOLERANCE["net_volume"])


def test_told_cone_figures_agree_with_one_another(demo: DemoRange) -> None:
    """fs, Vas and Qes follow from Mms, Sd, Bl and Re (Small, JAES 20(5), 1972)."""
    told = [e.driver for e in demo.snapshot.enclosures if e.driver.Qes is not None]
    assert len(told) > 300
    for cone in told:
        fs, Qes, Vas, Re, Sd, Bl, Mms = (
            getattr(cone, name)
            for name in ("fs_hz", "Qes", "Vas_m3", "Re_ohm", "Sd_m2", "Bl_tm", "Mms_kg")
        )
        w = 2 * np.pi * fs
        assert Qes == pytest.approx(w * Mms * Re / Bl**2, rel=0.02)
        assert Vas == pytest.approx(1.204 * 343.2**2 * Sd**2 / (w**2 * Mms), rel=0.03)


def test_figures_that_only_some_makers_tell_follow_the_truth(demo: DemoRange) -> None:
    """Qts = Qes Qms / (Qes + Qms) (Small, JAES 20(5), 1972); the rear chamber is in the net."""
    alone = rear = 0
    for box in demo.snapshot.enclosures:
        truth = demo.truth[box.id]
        if box.driver.Qts is not None:
            w = 1 / np.sqrt(truth.Mms_kg * truth.Cms_m_per_n)
            damping = truth.Rms_kg_per_s + truth.Bl_tm**2 / truth.Re_ohm
            Qts = w * truth.Mms_kg / damping
            assert box.driver.Qts == pytest.approx(Qts, rel=TOLERANCE["cone"])
            alone += box.driver.Qes is None
        if box.rear_volume_m3 is not None:
            assert box.kind == "bandpass"
            assert box.rear_volume_m3 == pytest.approx(truth.net_volume_m3, rel=0.03)
            assert box.net_volume_m3 is not None
            assert box.rear_volume_m3 < box.net_volume_m3
            rear += 1
    assert alone > 25
    assert rear > 20
    told = [a for a in demo.snapshot.amplifiers if a.input_low_v is not None]
    assert 0.5 < len(told) / len(demo.snapshot.amplifiers) < 0.9
    assert all(a.input_high_v and a.input_low_v < a.input_high_v for a in told)


def test_every_figure_is_missing_somewhere_but_never_everywhere(demo: DemoRange) -> None:
    boxes = [e for e in demo.snapshot.enclosures if e.amplifier is None and e.kind == "vented"]
    for field in ("sensitivity_db", "low_limit_hz", "net_volume_m3", "tuning_hz", "ports"):
        told = sum(getattr(e, field) is not None for e in boxes) / len(boxes)
        assert 0.4 < told < 0.97, field


def test_the_air_fits_into_the_outside(demo: DemoRange) -> None:
    for enclosure in demo.snapshot.enclosures:
        truth = demo.truth[enclosure.id]
        air = truth.net_volume_m3 + (truth.front_volume_m3 or 0.0)
        assert 0.35 < air / _outer_m3(enclosure) < 0.90


@pytest.mark.parametrize("size_m", [0.200, 0.250, 0.300])
def test_a_closed_box_is_the_smallest_for_the_same_cone(demo: DemoRange, size_m: float) -> None:
    """Common practice, no source."""
    closed = _median_outer_m3(demo, "closed", size_m=size_m, count=1)
    for kind in ("vented", "passive-radiator", "bandpass"):
        assert closed < 0.85 * _median_outer_m3(demo, kind, size_m=size_m, count=1)


@pytest.mark.parametrize("size_m", [0.200, 0.250, 0.300])
def test_a_passive_radiator_box_is_about_as_large_as_one_for_two_cones(
    demo: DemoRange, size_m: float
) -> None:
    """Common practice, no source."""
    one = _median_outer_m3(demo, "passive-radiator", size_m=size_m, count=1)
    two = _median_outer_m3(demo, "closed", size_m=size_m, count=2)
    assert one == pytest.approx(two, rel=0.35)


def test_a_small_cone_in_a_suitable_box_reaches_as_low_as_a_large_one(demo: DemoRange) -> None:
    """Common practice, no source."""
    low = {
        size: [t.low_limit_hz for t in demo.truth.values() if t.size_m == size]
        for size in (0.200, 0.380)
    }
    assert np.percentile(low[0.200], 10) < np.median(low[0.380])


def test_prices_follow_size_and_stay_in_the_usual_band(demo: DemoRange) -> None:
    boxes = [e for e in demo.snapshot.enclosures if e.amplifier is None]
    prices = {
        size: np.median([e.price for e in boxes if e.driver.size_m == size])
        for size in (0.200, 0.250, 0.300, 0.380)
    }
    assert list(prices.values()) == sorted(prices.values())
    assert min(e.price for e in boxes) < 150
    assert max(e.price for e in demo.snapshot.enclosures) <= 2500


def test_amplifier_ratings_follow_their_voltage_and_their_inner_resistance(
    demo: DemoRange,
) -> None:
    powers = []
    for amplifier in demo.snapshot.amplifiers:
        hidden = demo.amplifier_truth[amplifier.id]
        for rating in amplifier.ratings:
            bridged = rating.mode == "bridged"
            load = rating.load_ohm / (2 if bridged else 1)
            expected = hidden.power_w(load) * (2 if bridged else 1)
            assert rating.power_w == pytest.approx(expected, abs=6, rel=0.03)
            assert load >= amplifier.lowest_load_ohm
        plain = {r.load_ohm: r.power_w for r in amplifier.ratings if r.mode != "bridged"}
        if 2.0 in plain:
            assert 1.4 * plain[4.0] < plain[2.0] <= 2.0 * plain[4.0]
        powers.append(max(rating.power_w for rating in amplifier.ratings))
    assert min(powers) < 150
    assert 2000 < max(powers) <= 3000


def test_the_fuses_on_an_amplifier_carry_its_rated_power(demo: DemoRange) -> None:
    """P <= fuse x V x efficiency, at the 14.4 V of ANSI/CTA-2006."""
    for amplifier in demo.snapshot.amplifiers:
        if amplifier.fuse_a is not None:
            total = amplifier.channels * max(
                r.power_w for r in amplifier.ratings if r.mode != "bridged"
            )
            efficiency = demo.amplifier_truth[amplifier.id].efficiency_share
            assert total <= amplifier.fuse_a * 14.4 * efficiency * 1.03

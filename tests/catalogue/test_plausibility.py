"""Data sheets that contradict physics are flagged with the figures that clash."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from basswright.catalogue.demo import make
from basswright.catalogue.plausibility import (
    AMPLIFIER_RULES,
    BOX_RULES,
    check,
    check_amplifiers,
    left_out,
    trusted_less,
)
from basswright.records.amplifier import Amplifier, PowerRating
from basswright.records.enclosure import (
    BuiltInAmplifier,
    Cuboid,
    Driver,
    Enclosure,
    PassiveRadiators,
    Port,
)

#: A 12 in cone in 36 L, tuned to 35 Hz; every figure follows from the others.
DRIVER = Driver(
    size_m=0.30,
    fs_hz=30.0,
    Qes=0.45,
    Qms=6.0,
    Vas_m3=0.0499,
    Re_ohm=3.6,
    Sd_m2=0.050,
    Bl_tm=17.37,
    Mms_kg=0.200,
    Xmax_m=0.012,
)
SOUND = Enclosure(
    id="sound",
    maker="Demo Foo",
    model="V12",
    kind="vented",
    shape=Cuboid(width_m=0.55, height_m=0.38, depth_m=0.32),
    driver=DRIVER,
    load_ohm=4.0,
    power_low_w=150.0,
    power_high_w=500.0,
    sensitivity_db=87.0,
    low_limit_hz=27.0,
    net_volume_m3=0.036,
    tuning_hz=35.0,
    ports=Port(diameter_m=0.10, length_m=0.395),
    mass_kg=20.0,
    price=299.0,
)
AMPLIFIER = Amplifier(
    id="amp",
    maker="Demo Watt",
    model="M",
    channels=2,
    ratings=(
        PowerRating(mode="per-channel", load_ohm=4.0, power_w=100.0),
        PowerRating(mode="per-channel", load_ohm=2.0, power_w=175.0),
        PowerRating(mode="bridged", load_ohm=4.0, power_w=350.0),
    ),
    lowest_load_ohm=2.0,
    amplifier_class="AB",
    efficiency_share=0.55,
    fuse_a=45.0,
    price=199.0,
)


def _changed(**changes: Any) -> Enclosure:
    return SOUND.model_copy(update=changes)


def _cone(**changes: Any) -> Enclosure:
    return _changed(driver=DRIVER.model_copy(update=changes))


def test_a_sheet_that_holds_together_is_left_alone() -> None:
    assert check([SOUND]).clashes == ()
    assert check([]).clashes == ()


def test_the_demo_range_holds_together() -> None:
    snapshot = make(11, enclosures=3000, amplifiers=600).snapshot
    assert check(snapshot.enclosures).clashes == ()
    assert check_amplifiers(snapshot.amplifiers).clashes == ()


@pytest.mark.parametrize(
    ("rule", "sheet", "severity"),
    [
        ("air inside", _changed(net_volume_m3=0.0620, ports=None), "doubtful"),
        ("air inside", _changed(net_volume_m3=0.0700, ports=None), "contradiction"),
        (
            "loud, low and small",
            _changed(
                kind="closed", low_limit_hz=20.0, sensitivity_db=92.0, tuning_hz=None, ports=None
            ),
            "contradiction",
        ),
        ("sensitivity of the cone", _changed(sensitivity_db=91.0), "doubtful"),
        ("sensitivity of the cone", _changed(sensitivity_db=94.0), "contradiction"),
        ("Thiele/Small figures agree", _cone(Qes=0.60), "doubtful"),
        ("Thiele/Small figures agree", _cone(Vas_m3=0.100), "contradiction"),
        ("Thiele/Small figures agree", _cone(Qts=0.55), "doubtful"),
        ("Thiele/Small figures agree", _cone(Qts=0.70), "contradiction"),
        ("Thiele/Small figures agree", _cone(Bl_tm=12.0), "contradiction"),
        ("cone area", _cone(Sd_m2=0.025), "doubtful"),
        ("cone area", _cone(Sd_m2=0.080), "contradiction"),
        ("room for the cone", _cone(size_m=0.375), "doubtful"),
        ("room for the cone", _cone(size_m=0.45), "contradiction"),
        ("power and coil", _changed(power_high_w=1500.0), "doubtful"),
        ("power and coil", _changed(power_low_w=1000.0, power_high_w=5000.0), "contradiction"),
        ("power range", _changed(power_low_w=20.0), "doubtful"),
        ("power range", _changed(power_low_w=600.0), "contradiction"),
        (
            "built-in power and fuse",
            _changed(amplifier=BuiltInAmplifier(power_w=270.0, fuse_a=20.0)),
            "doubtful",
        ),
        (
            "built-in power and fuse",
            _changed(amplifier=BuiltInAmplifier(power_w=800.0, fuse_a=20.0)),
            "contradiction",
        ),
        (
            "built-in power and fuse",
            _changed(amplifier=BuiltInAmplifier(power_w=800.0, current_a=30.0)),
            "contradiction",
        ),
        ("coils and load", _changed(load_ohm=3.4), "doubtful"),
        ("coils and load", _changed(load_ohm=1.0), "contradiction"),
        ("port and tuning", _changed(tuning_hz=45.0, low_limit_hz=30.0), "doubtful"),
        ("port and tuning", _changed(tuning_hz=60.0, low_limit_hz=45.0), "contradiction"),
        ("below the tuning", _changed(low_limit_hz=19.0), "doubtful"),
        ("below the tuning", _changed(low_limit_hz=13.0), "contradiction"),
        ("parts of the kind", _changed(kind="closed"), "contradiction"),
        ("parts of the kind", _changed(ports=None, radiators=PassiveRadiators()), "contradiction"),
        ("mass", _changed(mass_kg=5.0), "doubtful"),
        ("mass", _changed(mass_kg=90.0), "doubtful"),
    ],
)
def test_each_rule_flags_the_figures_that_clash(rule: str, sheet: Enclosure, severity: str) -> None:
    found = {clash.rule: clash for clash in check([SOUND, sheet]).clashes}
    assert rule in found
    assert found[rule].severity == severity
    assert found[rule].figures
    assert found[rule].excess > 0
    assert all(value in found[rule].sentence for _, value in found[rule].figures if value[0] != "(")


def test_missing_figures_are_no_contradiction() -> None:
    bare = Enclosure(
        id="bare",
        maker="Demo Foo",
        model="X",
        kind="closed",
        shape=Cuboid(width_m=0.4, height_m=0.35, depth_m=0.3),
        driver=Driver(size_m=0.25),
        price=100.0,
    )
    assert check([bare]).clashes == ()


def test_two_cones_share_the_power_and_the_level() -> None:
    two = DRIVER.model_copy(update={"count": 2, "Re_ohm": 3.6})
    shape = Cuboid(width_m=0.95, height_m=0.38, depth_m=0.40)
    double = _changed(
        driver=two,
        shape=shape,
        load_ohm=2.0,
        power_high_w=1000.0,
        sensitivity_db=90.0,
        net_volume_m3=0.072,
        ports=None,
        mass_kg=38.0,
    )
    assert check([double]).clashes == ()
    flagged = check([double.model_copy(update={"sensitivity_db": 86.0})])
    assert [clash.rule for clash in flagged.clashes] == ["sensitivity of the cone"]


@given(
    resonance_hz=st.floats(20.0, 120.0),
    q=st.floats(0.3, 2.5),
    volume_m3=st.floats(0.005, 0.2),
)
@settings(max_examples=200, deadline=None)
def test_no_closed_box_is_called_impossible(
    resonance_hz: float, q: float, volume_m3: float
) -> None:
    """A box at the limit of physics (no other spring, no other loss) is never a contradiction.

    eta0 = (4 pi^2 / c^3) fc^3 Vb / Qtc (R. H. Small, JAES 20(10), 1972).
    """
    eta0 = 4 * np.pi**2 / 343.2**3 * resonance_hz**3 * volume_m3 / q
    a, b = 0.9, 0.1 * (2 - 1 / q**2)
    square = (-b + np.sqrt(b**2 + 0.4 * a)) / (2 * a)
    low = resonance_hz * np.sqrt(square)
    level = 112.16 + 10 * np.log10(eta0)
    if not (8 <= low <= 120 and 60 <= level <= 110):
        return
    sheet = Enclosure(
        id="limit",
        maker="Demo Foo",
        model="C",
        kind="closed",
        shape=Cuboid(width_m=0.9, height_m=0.8, depth_m=0.8),
        driver=Driver(size_m=0.3),
        sensitivity_db=level,
        low_limit_hz=low,
        net_volume_m3=volume_m3,
        price=1.0,
    )
    assert check([sheet]).clashes == ()


def test_the_limit_of_a_closed_box_is_near_the_best_possible() -> None:
    """At Qtc 0.71 a sheet that claims 3 dB more than physics gives is a contradiction."""
    eta0 = 4 * np.pi**2 / 343.2**3 * 50.0**3 * 0.05 / 0.7071
    sheet = _changed(
        kind="closed",
        ports=None,
        tuning_hz=None,
        driver=Driver(size_m=0.3),
        low_limit_hz=50.0 * 9**-0.25,
        net_volume_m3=0.05,
        sensitivity_db=112.16 + 10 * np.log10(eta0) + 3.0,
    )
    clashes = check([sheet]).clashes
    assert [(c.rule, c.severity) for c in clashes] == [("loud, low and small", "contradiction")]
    assert clashes[0].excess == pytest.approx(3.0, abs=0.05)


def test_flagged_boxes_can_be_left_out() -> None:
    doubtful = _changed(id="doubtful", mass_kg=5.0)
    wrong = _changed(id="wrong", power_low_w=600.0)
    boxes = [SOUND, doubtful, wrong]
    report = check(boxes)
    assert left_out(boxes, report) == (SOUND, doubtful)
    assert left_out(boxes, report, doubtful_too=True) == (SOUND,)
    assert report.ids("contradiction") == {"wrong"}


def test_flagged_boxes_can_be_trusted_less() -> None:
    loud = _changed(id="loud", sensitivity_db=94.0)
    boxes = [SOUND, loud]
    first, second = trusted_less(boxes, check(boxes))
    assert first is SOUND
    band = second.origins["sensitivity_db"]
    assert (band.kind, band.low, band.high) == ("estimated", 88.0, 95.0)
    assert "94.0 dB" in band.note
    assert second.sensitivity_db == 94.0


@pytest.mark.parametrize(
    ("rule", "changes", "severity"),
    [
        ("power and fuse", {"fuse_a": 25.0}, "doubtful"),
        ("power and fuse", {"fuse_a": 20.0}, "contradiction"),
        ("power and fuse", {"current_a": 20.0}, "contradiction"),
        ("class AB efficiency", {"efficiency_share": 0.72}, "doubtful"),
        ("class AB efficiency", {"efficiency_share": 0.80}, "contradiction"),
        (
            "power and load",
            {
                "ratings": (
                    *AMPLIFIER.ratings[:1],
                    PowerRating(mode="per-channel", load_ohm=2.0, power_w=300.0),
                )
            },
            "contradiction",
        ),
        (
            "bridged power",
            {
                "ratings": (
                    *AMPLIFIER.ratings[:2],
                    PowerRating(mode="bridged", load_ohm=4.0, power_w=450.0),
                )
            },
            "doubtful",
        ),
    ],
)
def test_each_amplifier_rule_flags_its_figures(
    rule: str, changes: dict[str, Any], severity: str
) -> None:
    assert check_amplifiers([AMPLIFIER]).clashes == ()
    found = {c.rule: c for c in check_amplifiers([AMPLIFIER.model_copy(update=changes)]).clashes}
    assert found[rule].severity == severity


def test_every_rule_says_what_it_compares() -> None:
    rules = [*BOX_RULES, *AMPLIFIER_RULES]
    assert len({rule.name for rule in rules}) == len(rules)
    assert all(rule.description.endswith(".") for rule in rules)
    assert all(rule.fields for rule in rules)

"""Several amplifiers, and one shared with other speakers."""

from __future__ import annotations

import pytest

from basswright.drive import boxes_at_once, match, several, shared
from basswright.errors import InputError
from basswright.records.car import HeadUnit
from tests.drive.sample import box, mono, stereo

LINE = HeadUnit(signal="line", output_v=4.0)


def test_other_speakers_take_from_what_the_fuses_stand_for() -> None:
    """Four channels behind 35 A: 35 x 14.4 x 0.88 = 444 W for all."""
    four = stereo(channels=4, fuse_a=35.0, amplifier_class="D")
    found = match(box(), four, supply_voltage_v=14.4, head_unit=LINE)
    assert found.mode == "bridged"
    part = shared(four, found, others_w=300.0)
    assert part.free_channels == 2
    assert part.limited
    assert part.bass_w == pytest.approx(35 * 14.4 * 0.88 - 300)
    assert not shared(four, found, others_w=20.0).limited
    assert boxes_at_once(four, "bridged") == 2


def test_a_bridged_pair_leaves_nothing_for_others() -> None:
    """Two channels, both bridged."""
    found = match(box(), stereo(), supply_voltage_v=14.4, head_unit=LINE)
    with pytest.raises(InputError, match="no channel is left"):
        shared(stereo(), found, others_w=50.0)
    assert shared(stereo(), found, others_w=0.0).bass_w == found.used_w


def test_equal_boxes_get_the_voltage_of_the_weakest_output() -> None:
    """300 W and 150 W at 4 ohm: both play at 24.5 V; together as much as one at 300 W."""
    boxes = box(power_high_w=400.0)
    strong = match(boxes, mono(), supply_voltage_v=14.4, head_unit=LINE)
    weak = match(box(power_high_w=150.0), mono(), supply_voltage_v=14.4, head_unit=LINE)
    both = several([strong, weak])
    assert both.weakest == 1
    assert both.gain_voltage_v == pytest.approx((150 * 4) ** 0.5)
    assert both.used_w == pytest.approx(300)
    assert both.more_than_one_db == pytest.approx(0.0, abs=1e-9)
    assert several([strong, strong]).more_than_one_db == pytest.approx(3.0103, abs=1e-4)


def test_unequal_boxes_and_silent_outputs_are_refused() -> None:
    """They do not play as one."""
    four = match(box(), mono(), supply_voltage_v=14.4, head_unit=LINE)
    two = match(box(load_ohm=2.0), mono(), supply_voltage_v=14.4, head_unit=LINE)
    mute = match(box(load_ohm=1.0), stereo(), supply_voltage_v=14.4, head_unit=LINE)
    for matches in ([four, two], [four, mute], []):
        with pytest.raises(InputError):
            several(matches)


def test_what_the_others_take_is_handed_on() -> None:
    """120 W for the front speakers, negative power refused."""
    four = stereo(channels=4)
    found = match(box(), four, supply_voltage_v=14.4, head_unit=LINE)
    part = shared(four, found, others_w=120.0)
    assert (part.others_w, part.bass_w, part.limited) == (120.0, found.used_w, False)
    with pytest.raises(InputError, match="a negative power"):
        shared(four, found, others_w=-1.0)

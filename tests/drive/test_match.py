"""The best way to drive one box, in plain words."""

from __future__ import annotations

import pytest

from basswright.drive import built_in_load_ohm, match
from basswright.errors import InputError
from basswright.records.car import HeadUnit
from tests.drive.sample import box, mono, stereo

LINE = HeadUnit(signal="line", output_v=4.0)


def test_bridging_is_chosen_where_it_brings_the_power() -> None:
    """75 W from a channel is too little, 240 W bridged is enough."""
    found = match(box(), stereo(), supply_voltage_v=14.4, head_unit=LINE)
    assert found.mode == "bridged"
    assert found.available_w == pytest.approx(240)
    assert found.used_w == pytest.approx(200)
    assert "Bridge two channels" in found.wiring
    assert found.zone == "above, gain set"


def test_one_channel_is_enough_for_a_small_box() -> None:
    """The others stay free for the car's speakers; bridging would be unsafe."""
    small = box(power_low_w=30.0, power_high_w=75.0)
    found = match(small, stereo(), supply_voltage_v=14.4, head_unit=LINE)
    assert found.mode == "per-channel"
    assert found.zone == "inside"
    assert "stay free" in found.wiring


@pytest.mark.parametrize(
    ("power_w", "load_ohm", "voltage_v"),
    [(75, 4, 17.32), (100, 4, 20.0), (300, 4, 34.64), (500, 2, 31.62), (800, 1, 28.28)],
)
def test_set_up_gives_the_meter_voltage(power_w: float, load_ohm: float, voltage_v: float) -> None:
    """V = sqrt(P R); the tone at -5 dB reads 0.5623 of it."""
    found = match(
        box(load_ohm=float(load_ohm), power_low_w=50.0, power_high_w=float(power_w)),
        mono(),
        supply_voltage_v=14.4,
        head_unit=LINE,
    )
    assert found.gain_voltage_v == pytest.approx(voltage_v, abs=0.01)
    assert f"{voltage_v * 0.5623:.1f} V RMS" in " ".join(found.set_up)


def test_the_gain_range_of_the_amplifier_is_checked() -> None:
    """1 V from the radio is too little for an input that wants 2 V."""
    deaf = mono(input_low_v=2.0, input_high_v=8.0)
    weak = HeadUnit(signal="line", output_v=1.0)
    found = match(box(power_high_w=300.0), deaf, supply_voltage_v=14.4, head_unit=weak)
    assert any("line driver with at least 2.0 V" in note for note in found.notes)
    strong = HeadUnit(signal="line", output_v=12.0)
    found = match(box(power_high_w=300.0), deaf, supply_voltage_v=14.4, head_unit=strong)
    assert any("fully down" in note for note in found.notes)
    fine = match(box(power_high_w=300.0), deaf, supply_voltage_v=14.4, head_unit=LINE)
    assert fine.gain_db == pytest.approx(18.75, abs=0.01)


def test_speaker_level_needs_a_converter_or_the_right_input() -> None:
    """Cautions follow the radio and the amplifier."""
    speaker = HeadUnit(signal="speaker", output_v=10.0)
    bare = match(box(), mono(), supply_voltage_v=14.4, head_unit=speaker)
    assert any("converter" in caution for caution in bare.cautions)
    deaf = match(
        box(), mono(input_low_v=0.2, input_high_v=4.0), supply_voltage_v=14.4, head_unit=speaker
    )
    assert any("converter's own included" in note for note in deaf.notes)
    assert not any("fully down" in note for note in deaf.notes)
    ready = mono(speaker_input=True, signal_sensing=True)
    taken = match(box(), ready, supply_voltage_v=14.4, head_unit=speaker)
    assert any("speaker input" in caution for caution in taken.cautions)
    assert any("turns itself on" in caution for caution in taken.cautions)


def test_an_unknown_load_is_refused_with_what_to_measure() -> None:
    """A box without a stated load cannot be matched."""
    with pytest.raises(InputError, match="box, load_ohm: the total load is not known"):
        match(box(load_ohm=None), mono(), supply_voltage_v=14.4, head_unit=LINE)


def test_a_missing_power_range_is_taken_from_the_cone_and_said() -> None:
    """A 300 mm cone: about 300 W at most (common practice, no source)."""
    found = match(
        box(power_low_w=None, power_high_w=None), mono(), supply_voltage_v=14.4, head_unit=LINE
    )
    assert found.used_w == pytest.approx(300)
    assert found.verdict.certainty == "too close to call"
    assert any("estimate" in note for note in found.notes)


def test_nothing_suitable_gives_the_nearest_and_a_failing_verdict() -> None:
    """A 1 ohm box on an amplifier that allows 2 ohm."""
    found = match(box(load_ohm=1.0), stereo(), supply_voltage_v=14.4, head_unit=LINE)
    assert not found.verdict.passes
    assert found.verdict.unit == "ohm"
    assert found.zone == "unsafe"
    assert found.used_w == 0.0
    assert found.set_up == ()


def test_a_built_in_amplifier_is_matched_by_its_maker() -> None:
    """It passes; a claim beyond its fuse is cut down."""
    own = box(amplifier={"power_w": 150.0, "amplifier_class": "D", "fuse_a": 15.0})
    found = match(own, None, supply_voltage_v=14.4, head_unit=LINE)
    assert found.used_w == pytest.approx(150)
    assert found.verdict.passes
    boast = box(amplifier={"power_w": 1000.0, "amplifier_class": "D", "fuse_a": 15.0})
    found = match(boast, None, supply_voltage_v=14.4, head_unit=LINE)
    assert found.used_w == pytest.approx(15 * 14.4 * 0.88)
    assert any("ask for the continuous" in note for note in found.notes)
    edge = 15 * 14.4 * 0.88
    for claim, taken in ((edge * 1.249, edge * 1.249), (edge * 1.251, edge)):
        near = box(amplifier={"power_w": claim, "amplifier_class": "D", "fuse_a": 15.0})
        found = match(near, None, supply_voltage_v=14.4, head_unit=LINE)
        assert found.used_w == pytest.approx(taken)
    with pytest.raises(InputError, match="no built-in amplifier"):
        match(box(), None, supply_voltage_v=14.4, head_unit=LINE)


def test_an_output_can_be_asked_for() -> None:
    """One channel although bridging would pass; and no output that does not exist."""
    found = match(box(), stereo(), supply_voltage_v=14.4, head_unit=LINE, mode="per-channel")
    assert (found.mode, found.zone) == ("per-channel", "too little")
    assert found.current_limit_a == pytest.approx((120 / 2) ** 0.5)
    with pytest.raises(InputError, match=r"no such output.*per-channel, bridged"):
        match(box(), stereo(), supply_voltage_v=14.4, head_unit=LINE, mode="single")


def test_the_load_inside_a_box_is_stated_or_guessed_from_its_coils() -> None:
    """As stated; two coils of 3.2 ohm in parallel, 15 % up to the nominal load; else 4 ohm."""
    assert built_in_load_ohm(box(load_ohm=2.0)) == 2.0
    coils = {"size_m": 0.3, "count": 2, "Re_ohm": 3.2}
    assert built_in_load_ohm(box(load_ohm=None, driver=coils)) == pytest.approx(1.84)
    assert built_in_load_ohm(box(load_ohm=None)) == 4.0


@pytest.mark.parametrize(
    ("top_w", "below_db", "heard"),
    [
        (310.0, 0.142, "next to nothing"),
        (400.0, 1.249, "a small step"),
        (700.0, 3.680, "a clear step"),
        (1300.0, 6.368, "much louder"),
    ],
)
def test_what_the_box_could_take_beyond_is_told_in_decibels_and_words(
    top_w: float, below_db: float, heard: str
) -> None:
    """10 log10 of the top of the range over 300 W; the words are common practice."""
    found = match(box(power_high_w=top_w), mono(), supply_voltage_v=14.4, head_unit=LINE)
    assert found.below_top_db == pytest.approx(below_db, abs=1e-3)
    assert any(f"heard as {heard}" in note for note in found.notes)


def test_the_clipping_margin_is_that_of_the_gain_set() -> None:
    """300 W used at 120 W: 3.98 dB before the amplifier clips."""
    found = match(box(power_high_w=120.0), mono(), supply_voltage_v=14.4, head_unit=LINE)
    assert any("with the gain set: 4.0 dB" in note for note in found.notes)

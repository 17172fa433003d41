"""Restraint: forces by Newton, bolts by ISO 898-1 and EN 1993-1-8."""

from __future__ import annotations

import pytest

from basswright.errors import InputError
from basswright.space import restraint


def test_an_m8_bolt_of_class_88_carries_14_kilonewtons_in_shear() -> None:
    """EN 1993-1-8, table 3.4: 0.6 x 800 MPa x 36.6 mm2 / 1.25 = 14.05 kN."""
    assert restraint(20.0).bolt_force_n == pytest.approx(14_054, abs=1)


def test_twenty_kilograms_at_twenty_g_pull_with_3923_newtons() -> None:
    """F = m a = 20 x 20 x 9.80665."""
    found = restraint(20.0)
    assert found.force_n == pytest.approx(3922.66)
    assert found.bolts == 4
    assert "17" in found.deceleration_source
    assert "airbags" in found.caution


def test_a_heavy_tall_box_on_thin_bolts_needs_more_of_them() -> None:
    """60 kg on M5 class 4.6: 11.77 kN against 2.73 kN each, and tipping on top."""
    flat = restraint(60.0, thread="M5", grade="4.6")
    assert flat.bolts == 6
    tall = restraint(60.0, thread="M5", grade="4.6", centre_height_m=0.3, foot_length_m=0.3)
    assert tall.tipping_force_n == pytest.approx(flat.force_n)
    assert tall.bolts > flat.bolts


def test_a_chosen_deceleration_says_that_it_was_chosen() -> None:
    """Only the default rests on the regulation."""
    assert restraint(10.0, deceleration_g=8.0).deceleration_source == "chosen by the workshop"


@pytest.mark.parametrize(
    ("mass", "changes", "field"),
    [
        (0.0, {}, "mass"),
        (float("nan"), {}, "mass"),
        (10.0, {"thread": "M7"}, "thread"),
        (10.0, {"grade": "9"}, "grade"),
        (10.0, {"deceleration_g": -1.0}, "deceleration"),
    ],
)
def test_impossible_inputs_are_refused(mass: float, changes: dict[str, float], field: str) -> None:
    """The error names the field."""
    with pytest.raises(InputError) as caught:
        restraint(mass, **changes)
    assert caught.value.field == field

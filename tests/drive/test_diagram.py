"""Drawings are well-formed and show what they must."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from basswright.drive import coil_diagram, coil_loads, match, wiring_diagram
from basswright.records.car import HeadUnit
from tests.drive.sample import box, mono, stereo

LINE = HeadUnit(signal="line", output_v=4.0)


def _words(svg: str) -> str:
    return " ".join(ElementTree.fromstring(svg).itertext())


def test_bridged_terminals_are_drawn_with_awkward_names_as_text() -> None:
    """All four terminals, names with signs that mean something to a drawing."""
    found = match(box(), stereo(), supply_voltage_v=14.4, head_unit=LINE)
    words = _words(wiring_diagram(found, amplifier_name="A & <B> $x$", box_name="Box & Co"))
    for text in ("1 +", "1 −", "2 +", "2 −", "4 Ω", "A & <B> x", "Box & Co"):
        assert text in words
    single = _words(wiring_diagram(match(box(), mono(), supply_voltage_v=14.4, head_unit=LINE)))
    assert "2 +" not in single


@pytest.mark.parametrize("coils", range(1, 7))
def test_every_coil_is_drawn_with_its_share(coils: int) -> None:
    """As many labels as coils, and the total load."""
    for wiring in coil_loads([4.0] * coils)[::7]:
        words = _words(coil_diagram(wiring))
        assert words.count("4 Ω, ") == coils
        assert f"total load {wiring.load_ohm:.3g} Ω" in words


def test_long_names_are_broken_into_lines() -> None:
    """No line of a drawing is longer than 16 signs."""
    found = match(box(), mono(), supply_voltage_v=14.4, head_unit=LINE)
    svg = wiring_diagram(found, amplifier_name="An invented amplifier with a long name")
    lines = [text for text in ElementTree.fromstring(svg).itertext() if "invented" in text]
    assert lines == ["An invented"]

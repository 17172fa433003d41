"""Heads of columns: what they are taken for, and what they are not."""

from __future__ import annotations

import pytest

from basswright.catalogue.sheets.mapping import guess
from basswright.errors import InputErrors


def _one(head: str, kind: str = "enclosures") -> tuple[str | None, str]:
    column = guess(kind, [head]).columns[0]
    return column.target, column.unit


@pytest.mark.parametrize(
    ("head", "target", "unit"),
    [
        ("Width (mm)", "shape.width", "mm"),
        ("width [in]", "shape.width", "in"),
        ("Outer width in cm", "shape.width", "cm"),
        ("Breite außen", "shape.width", ""),
        ("Largeur, mm", "shape.width", "mm"),
        ("Weight kg", "mass", "kg"),
        ("Net Volume (L)", "net_volume", "L"),
        ("Net volume / cu ft", "net_volume", "cu ft"),
        ("Ext. height", "shape.height", ""),
        ("Xmax (mm)", "driver.Xmax", "mm"),
        ("Qts", "driver.Qts", ""),
        ("QES", "driver.Qes", ""),
        ("Fs (Hz)", "driver.fs", "Hz"),
        ("Tuning freq. (Hz)", "tuning", "Hz"),
        ("Sensitivity (dB)", "sensitivity", "dB"),
        ("Recommended amplifier power (RMS)", "power", ""),
        ("Max RMS power (W)", "power_high", "W"),
        ("Peak power (W)", None, ""),
        ("Max power", None, ""),
        ("Musikleistung", None, ""),
        ("Net price (EUR)", "price", "EUR"),
        ("Manufactuer", "maker", ""),
        ("Impedence", "load", ""),
        ("Colour", None, ""),
        ("", None, ""),
    ],
)
def test_heads_of_enclosure_sheets(head: str, target: str | None, unit: str) -> None:
    assert _one(head) == (target, unit)


@pytest.mark.parametrize(
    ("head", "target"),
    [
        ("RMS power @ 4 Ohm", "ratings@4 ohm"),
        ("Leistung an 2 Ω", "ratings@2 ohm"),
        ("4 ohm bridged power", "ratings@4 ohm bridged"),
        ("Watt 0,5 Ohm", "ratings@0.5 ohm"),
        ("Peak power @ 4 ohm", None),
        ("Min. impedance", "lowest_load"),
        ("Input sensitivity (V)", "input_low"),
        ("High-level input", "speaker_input"),
    ],
)
def test_heads_of_amplifier_sheets(head: str, target: str | None) -> None:
    assert _one(head, "amplifiers")[0] == target


def test_a_misspelt_head_is_a_guess_and_says_so() -> None:
    column = guess("enclosures", ["Manufactuer"]).columns[0]
    assert column.how == "guessed"
    assert 80 < column.score < 95


def test_one_target_is_told_by_one_column_only() -> None:
    mapping = guess("enclosures", ["Width", "Outer width"])
    assert [column.target for column in mapping.columns] == ["shape.width", None]
    assert "already" in mapping.columns[1].note


def test_a_merged_cell_above_tells_which_length_is_meant() -> None:
    heads = ["Width", "Length", "Width"]
    above = ["Box (mm)", "Port", "Port"]
    mapping = guess("enclosures", heads, above=above)
    assert [c.target for c in mapping.columns] == ["shape.width", "ports.length", "ports.width"]
    assert [c.unit for c in mapping.columns] == ["mm", "", ""]
    assert [c.head for c in mapping.columns] == ["Width", "Port Length", "Port Width"]


def test_the_unit_of_a_merged_cell_ends_where_other_things_begin() -> None:
    heads = ["Width", "Height", "Driver size", "Xmax"]
    above = ["Dimensions (mm)"] * 4
    mapping = guess("enclosures", heads, above=above)
    assert [column.unit for column in mapping.columns] == ["mm", "mm", "", ""]


def test_corrections_replace_guesses() -> None:
    mapping = guess("enclosures", ["Width", "W2"]).corrected({"W2": "shape.width [mm]"})
    assert [column.target for column in mapping.columns] == [None, "shape.width"]
    assert mapping.columns[1].how == "given"
    assert mapping.corrected({"W2": None}).columns[1].target is None


@pytest.mark.parametrize(
    ("corrections", "problem"),
    [
        ({"Nowhere": "price"}, "no such column"),
        ({"Width": "shape.girth"}, "nothing that a column can tell"),
        ({"Width": "shape.width [kg]"}, "not a unit of shape.width"),
        ({"Width": "price", "Height": "price"}, "tells price already"),
    ],
)
def test_wrong_corrections_are_refused(corrections: dict[str, str | None], problem: str) -> None:
    with pytest.raises(InputErrors, match=problem):
        guess("enclosures", ["Width", "Height"]).corrected(corrections)


def test_what_is_remembered_is_used_and_other_heads_do_not_disturb() -> None:
    remembered: dict[str, str | None] = {"B": "shape.width [cm]", "Gone": "price", "Colour": None}
    mapping = guess("enclosures", ["B", "Colour"], remembered=remembered)
    assert [(c.target, c.unit, c.how) for c in mapping.columns] == [
        ("shape.width", "cm", "remembered"),
        (None, "", "unused"),
    ]

"""Loads of boxes as suppliers write them."""

from __future__ import annotations

from pathlib import Path

import pytest

from basswright.catalogue.sheets import read_sheet
from basswright.catalogue.sheets.loads import read_coils
from basswright.errors import InputError
from basswright.records.enclosure import Enclosure, Terminals

HEAD = "Brand,Model,Type,Width [mm],Height [mm],Depth [mm],Driver size,Price,"
ROW = 'Demo Foo,A1,sealed,640,380,350,12 in,100,"{}"\n'


@pytest.mark.parametrize(
    ("text", "coils", "each", "outside"),
    [
        ("2", 1, 2.0, False),
        ("0,5 Ohm", 1, 0.5, False),
        ("SVC 4", 1, 4.0, False),
        ("2x4Ω", 2, 4.0, False),
        ("2 × 4 ohm", 2, 4.0, False),
        ("4+4", 2, 4.0, False),
        ("4Ω+4Ω", 2, 4.0, False),
        ("DVC 2Ω", 2, 2.0, False),
        ("2Ω DVC", 2, 2.0, False),
        ("D4", 2, 4.0, False),
        ("dual 2 ohm voice coil", 2, 2.0, False),
        ("double bobine 4 ohms", 2, 4.0, False),
        ("Doppelschwingspule 2x4 Ohm", 2, 4.0, False),
        ("2 x DVC 2", 4, 2.0, False),
        ("2x4 ohm, separate terminals", 2, 4.0, True),
        ("2x4 Ohm getrennte Anschlüsse", 2, 4.0, True),
        ("2 or 8 ohm", 2, 4.0, True),
        ("2/8 ohm", 2, 4.0, True),
        ("1/4/16 Ω", 4, 4.0, True),
    ],
)
def test_coils_are_read(text: str, coils: int, each: float, outside: bool) -> None:
    """Count and impedance of the coils, and whether the words say that each is led out."""
    told = read_coils(text)
    assert (told.coils, told.each_ohm, told.outside) == (coils, each, outside)


@pytest.mark.parametrize("text", ["3 or 5", "nonsense", "4+2", "0", "12x4", "2x", "-4"])
def test_what_no_box_can_have_is_refused(text: str) -> None:
    """No silent guess."""
    with pytest.raises(InputError, match="no load that a box can have"):
        read_coils(text)


def _box(tmp_path: Path, head: str, cells: str) -> tuple[Enclosure, tuple[str, ...]]:
    sheet = tmp_path / "sheet.csv"
    sheet.write_text(f"{HEAD}{head}\n{ROW.format(cells)}", encoding="utf-8")
    report = read_sheet(sheet, kind="enclosures")
    report.raise_if_refused()
    (box,) = report.records
    assert isinstance(box, Enclosure)
    return box, tuple(note.problem for note in report.notes)


def test_coils_that_are_led_out_are_offered_in_every_wiring(tmp_path: Path) -> None:
    """A choice of loads, the words, or a column of terminals."""
    two_fours = Terminals(pairs=2, load_ohm=4.0)
    for head, cell in (("Impedance", "2 or 8 ohm"), ("Terminals", "2x4 ohm"), ("Klemmen", "4+4")):
        box, remarks = _box(tmp_path, head, cell)
        assert (box.load_ohm, box.terminals) == (2.0, two_fours)
        assert "every wiring outside is offered" in remarks[0]


def test_coils_of_which_the_sheet_says_no_more_count_as_parallel(tmp_path: Path) -> None:
    """With a remark that names the way to say more."""
    box, remarks = _box(tmp_path, "Impedance", "DVC 2Ω")
    assert (box.load_ohm, box.terminals) == (1.0, None)
    assert "1 ohm in parallel, 4 ohm in series; taken as parallel" in remarks[0]


@pytest.mark.parametrize(
    ("pairs", "load", "expected"), [("2", "2x4", 4.0), ("2", "4", None), ("1", "2x4", None)]
)
def test_a_column_of_pairs_completes_the_coils(
    tmp_path: Path, pairs: str, load: str, expected: float | None
) -> None:
    """Two pairs and 2x4 ohm are enough; two pairs and one figure are not."""
    box, _ = _box(tmp_path, "Impedance,Terminal pairs", f'{load}","{pairs}')
    assert (box.terminals and box.terminals.load_ohm) == expected

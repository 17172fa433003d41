"""Sheets taken into the store: all or nothing, known things once, prices followed."""

from __future__ import annotations

from pathlib import Path

import pytest
from sqlalchemy import Engine

from basswright.catalogue.store import Catalogue
from basswright.errors import ConflictError, InputErrors
from basswright.records.enclosure import Wedge

HEAD = "Maker,Model,Kind,Breite,Höhe,Tiefe,Driver size,Price\n"
UNITS = {
    "Breite": "shape.width [mm]",
    "Höhe": "shape.height [mm]",
    "Tiefe": "shape.depth [mm]",
}


def _row(model: str, price: str = "299", kind: str = "closed") -> str:
    return f"Demo Foo,{model},{kind},640,380,350,12 in,{price}\n"


@pytest.fixture
def catalogue(engine: Engine) -> Catalogue:
    return Catalogue(engine)


def _write(folder: Path, *rows: str, name: str = "sheet.csv") -> Path:
    path = folder / name
    path.write_text(HEAD + "".join(rows), encoding="utf-8")
    return path


def test_a_sheet_with_a_refused_row_changes_nothing(catalogue: Catalogue, tmp_path: Path) -> None:
    path = _write(tmp_path, _row("A1"), _row("A2", price="cheap"))
    with pytest.raises(InputErrors, match="row 3, Price"):
        catalogue.import_sheet(path, kind="enclosures", mapping=UNITS)
    assert catalogue.counts()["enclosures"] == 0
    assert catalogue.past_imports() == ()


def test_the_good_rows_are_taken_if_one_asks_for_it(catalogue: Catalogue, tmp_path: Path) -> None:
    path = _write(tmp_path, _row("A1"), _row("A2", price="cheap"))
    result = catalogue.import_sheet(path, kind="enclosures", mapping=UNITS, partial=True)
    assert (len(result.changes.added), result.report.refused) == (1, 1)
    assert [e.model for e in catalogue.snapshot().enclosures] == ["A1"]


def test_what_was_corrected_once_is_remembered_for_that_supplier(
    catalogue: Catalogue, tmp_path: Path
) -> None:
    path = _write(tmp_path, _row("A1"))
    thickness = {**UNITS, "Breite": "shape.depth [mm]", "Tiefe": "shape.width [mm]"}
    catalogue.import_sheet(path, kind="enclosures", supplier="Demo Trade", mapping=thickness)
    later = _write(tmp_path, _row("A2"), name="later.csv")
    result = catalogue.import_sheet(later, kind="enclosures", supplier="Demo Trade")
    heads = {column.head: column.target for column in result.report.mapping.columns}
    assert heads["Breite"] == "shape.depth"
    result = catalogue.import_sheet(later, kind="enclosures", supplier="Somebody Else")
    heads = {column.head: column.target for column in result.report.mapping.columns}
    assert heads["Breite"] == "shape.width"


def test_the_same_file_twice_changes_nothing_and_is_said(
    catalogue: Catalogue, tmp_path: Path
) -> None:
    path = _write(tmp_path, _row("A1"), _row("A2"))
    first = catalogue.import_sheet(path, kind="enclosures", mapping=UNITS)
    snapshot = catalogue.snapshot()
    again = catalogue.import_sheet(path, kind="enclosures")
    assert (first.seen_before, len(again.seen_before)) == ("", 29)
    assert (again.changes.same, again.changes.added, again.changes.changed) == (2, (), ())
    assert catalogue.snapshot() is snapshot
    assert len(catalogue.past_imports()) == 2


def test_new_prices_are_followed_and_told(catalogue: Catalogue, tmp_path: Path) -> None:
    catalogue.import_sheet(
        _write(tmp_path, _row("A1"), _row("A2")), kind="enclosures", mapping=UNITS
    )
    path = _write(tmp_path, _row("A1", price="279"), _row("A2"), _row("A3"))
    changes = catalogue.import_sheet(path, kind="enclosures").changes
    assert [(p.id, p.old, p.new) for p in changes.prices] == [("demo-foo-a1", 299.0, 279.0)]
    assert (changes.added, changes.same) == (("demo-foo-a3",), 1)
    assert [e.price for e in catalogue.snapshot().enclosures] == [279.0, 299.0, 299.0]


def test_a_thing_known_under_another_number_keeps_it(catalogue: Catalogue, tmp_path: Path) -> None:
    catalogue.import_sheet(_write(tmp_path, _row("A-1")), kind="enclosures", mapping=UNITS)
    path = tmp_path / "numbers.csv"
    row = _row("a 1", price="250").replace("Demo Foo", "DEMO FOO")
    path.write_text("Article no," + HEAD + "77-1," + row, encoding="utf-8")
    result = catalogue.import_sheet(path, kind="enclosures", mapping=UNITS)
    assert [note.read for note in result.report.notes] == ["77-1"]
    assert result.report.remarked == 1
    (box,) = catalogue.snapshot().enclosures
    assert (box.id, box.price) == ("demo-foo-a-1", 250.0)


def test_a_list_of_numbers_and_prices_is_enough_to_follow_prices(
    catalogue: Catalogue, tmp_path: Path
) -> None:
    catalogue.import_sheet(
        _write(tmp_path, _row("A1"), _row("A2")), kind="enclosures", mapping=UNITS
    )
    before = catalogue.snapshot().enclosures
    path = tmp_path / "prices.csv"
    path.write_text("Article no,Price\ndemo-foo-a2,199\ndemo-foo-a1,299\n")
    changes = catalogue.import_sheet(path, kind="enclosures").changes
    assert (changes.changed, changes.same) == (("demo-foo-a2",), 1)
    assert catalogue.snapshot().enclosures == (
        before[0],
        before[1].model_copy(update={"price": 199.0}),
    )
    path.write_text("Brand,Model,Price\nDemo Foo,a-1,249\n")
    catalogue.import_sheet(path, kind="enclosures")
    assert catalogue.snapshot().enclosures[0].price == 249.0


def test_a_price_of_something_unknown_is_refused(catalogue: Catalogue, tmp_path: Path) -> None:
    catalogue.import_sheet(_write(tmp_path, _row("A1")), kind="enclosures", mapping=UNITS)
    path = tmp_path / "prices.csv"
    path.write_text("Article no,Price\ndemo-foo-a1,100\nno-such-box,199\n")
    with pytest.raises(InputErrors, match=r"row 3, .*required"):
        catalogue.import_sheet(path, kind="enclosures")
    assert catalogue.snapshot().enclosures[0].price == 299.0


def test_a_later_sheet_adds_to_what_is_known(catalogue: Catalogue, tmp_path: Path) -> None:
    catalogue.import_sheet(_write(tmp_path, _row("A1")), kind="enclosures", mapping=UNITS)
    path = tmp_path / "more.csv"
    path.write_text(
        "Article no,fs,depth bottom,depth top,Drivers\ndemo-foo-a1,31 Hz,350 mm,200 mm,2\n"
    )
    catalogue.import_sheet(path, kind="enclosures")
    (box,) = catalogue.snapshot().enclosures
    assert box.shape == Wedge(width_m=0.64, height_m=0.38, depth_bottom_m=0.35, depth_top_m=0.2)
    assert (box.driver.fs_hz, box.driver.count, box.driver.size_m) == (31.0, 2, 0.3048)
    assert box.price == 299.0


def test_a_change_by_somebody_else_meanwhile_is_not_overwritten(
    catalogue: Catalogue, tmp_path: Path
) -> None:
    catalogue.import_sheet(_write(tmp_path, _row("A1")), kind="enclosures", mapping=UNITS)
    other = Catalogue(catalogue.engine)

    def meanwhile(done: int, expected: int) -> None:
        (box,) = other.snapshot().enclosures
        other.update([box.model_copy(update={"price": 123.0})])

    path = _write(tmp_path, _row("A1", price="199"))
    with pytest.raises(ConflictError, match="while the sheet was read"):
        catalogue.import_sheet(path, kind="enclosures", progress=meanwhile)
    assert catalogue.snapshot().enclosures[0].price == 123.0

"""Whole sheets as suppliers send them: what is taken, what is remarked, what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from basswright.catalogue.demo import make
from basswright.catalogue.sheets import read_sheet, show_mapping, write_csv
from basswright.database.kinds import RECORDS
from basswright.errors import InputError, InputErrors, NotFoundError
from basswright.records.amplifier import Amplifier
from basswright.records.enclosure import Cuboid, Enclosure, Wedge
from basswright.records.snapshot import Snapshot

HEAD = "maker,model,kind,width,height,depth,driver size,price\n"
ROW = "Demo Foo,A1,closed,640 mm,380 mm,350 mm,12 in,299\n"


def _sheet(folder: Path, text: str, *, encoding: str = "utf-8") -> Path:
    path = folder / "sheet.csv"
    path.write_bytes(text.encode(encoding))
    return path


def _only(folder: Path, text: str, *, encoding: str = "utf-8") -> Enclosure:
    report = read_sheet(_sheet(folder, text, encoding=encoding), kind="enclosures")
    report.raise_if_refused()
    (record,) = report.records
    assert isinstance(record, Enclosure)
    return record


@pytest.fixture(scope="module")
def demo() -> Snapshot:
    return make(9, enclosures=150, amplifiers=60).snapshot


@pytest.mark.parametrize("kind", list(RECORDS))
def test_what_is_written_is_read_back_exactly(demo: Snapshot, kind: str, tmp_path: Path) -> None:
    path = tmp_path / "out.csv"
    items = getattr(demo, kind)
    assert write_csv(path, kind, items) == len(items)
    report = read_sheet(path, kind=kind)
    report.raise_if_refused()
    assert report.records == items
    assert report.unused_columns == ()
    assert report.assumptions == ()
    assert (report.accepted, report.remarked, report.refused) == (len(items), 0, 0)


def test_a_sheet_as_it_comes(tmp_path: Path) -> None:
    """Merged heading, decimal commas, mixed units, fractions, several coils, price with dots."""
    text = (
        "Price list;;;;;;;;;;\n"
        ";;;Dimensions (mm);;;;;;;\n"
        "Brand;Model;Box type;Width;Height;Depth;Driver size;Power;Impedance;"
        "Net price (EUR);Weight\n"
        "Demo Foo;A1;sealed;640;380;350;12 in;125-400 W RMS;2x4Ω;1.299,00;17,5 kg\n"
        'Demo Foo;A2;ported;25 1/4 in;380;350;12";300;4;299,90;17,5 kg\n'
    )
    report = read_sheet(_sheet(tmp_path, text), kind="enclosures")
    report.raise_if_refused()
    first, second = report.records
    assert isinstance(first, Enclosure)
    assert isinstance(second, Enclosure)
    assert first.shape == Cuboid(width_m=0.64, height_m=0.38, depth_m=0.35)
    assert (first.power_low_w, first.power_high_w) == (125.0, 400.0)
    assert (first.price, first.mass_kg, first.kind) == (1299.0, 17.5, "closed")
    assert first.load_ohm == 2.0
    assert first.remarks == ("2 coils of 4 ohm: 2 ohm in parallel, 8 ohm in series",)
    assert second.shape == Cuboid(width_m=0.64135, height_m=0.38, depth_m=0.35)
    assert (second.power_low_w, second.power_high_w, second.load_ohm) == (None, 300.0, 4.0)
    assert second.driver.size_m == 0.3048
    assert (report.accepted, report.remarked) == (1, 1)
    assert "the comma is the decimal sign of this file" in report.assumptions
    assert any("'Power'" in text and "as W" in text for text in report.assumptions)


def test_each_refusal_names_row_column_what_was_read_and_what_is_allowed(tmp_path: Path) -> None:
    text = HEAD + ROW + "Demo Foo,A2,triangle,640,,350 mm,12 parsec,-5\n"
    report = read_sheet(_sheet(tmp_path, text), kind="enclosures")
    assert (report.accepted, report.refused) == (1, 1)
    found = {note.column: note for note in report.notes}
    assert set(found) == {"kind", "width", "shape.height", "driver size"}
    assert {note.row for note in report.notes} == {3}
    assert (found["kind"].read, "closed, vented" in found["kind"].allowed) == ("triangle", True)
    assert "unit is missing" in found["width"].problem
    assert "mm, cm, m, in" in found["width"].allowed
    assert "required" in found["shape.height"].problem
    assert found["driver size"].read == "12 parsec"
    with pytest.raises(InputErrors, match=r"row 3, kind: .*triangle"):
        report.raise_if_refused()


@pytest.mark.parametrize(
    ("column", "cell", "problem"),
    [
        ("price", "-5", "greater than or equal to 0"),
        ("price", "nan", "not a price"),
        ("price", "inf", "not a price"),
        ("price", "cheap", "not a price"),
        ("price", "1e999", "not a price|not a finite"),
        ("width", "99 m", "less than or equal to 3"),
        ("width", "-640 mm", "greater than 0.02"),
        ("width", "NaN mm", "not a length"),
        ("driver size", "12 kg", "unknown unit"),
        ("kind", "triangle", "not a known word"),
        ("maker", "x" * 90, "at most 80"),
    ],
)
def test_nonsense_is_refused(tmp_path: Path, column: str, cell: str, problem: str) -> None:
    heads = HEAD.strip().split(",")
    cells = ROW.strip().split(",")
    cells[heads.index(column)] = cell
    report = read_sheet(_sheet(tmp_path, HEAD + ",".join(cells)), kind="enclosures")
    assert report.refused == 1
    with pytest.raises(InputErrors, match=problem):
        report.raise_if_refused()
    assert report.notes[0].column == column


def test_a_power_range_upside_down_and_a_peak_power_are_refused(tmp_path: Path) -> None:
    head = HEAD.strip() + ",power\n"
    rows = ROW.strip() + ",400-125 W\n" + ROW.replace("A1", "A2").strip() + ",900 W max\n"
    report = read_sheet(_sheet(tmp_path, head + rows), kind="enclosures")
    assert [note.problem for note in report.notes] == [
        "the power range is upside down",
        "a peak figure is not an RMS power",
    ]


def test_two_depths_make_a_wedge(tmp_path: Path) -> None:
    head = "maker,model,kind,width [mm],height [mm],depth bottom [mm],depth top [mm],size,price\n"
    wedge = _only(tmp_path, head + "Demo Foo,A1,closed,640,380,350,180,12 in,299\n").shape
    assert wedge == Wedge(width_m=0.64, height_m=0.38, depth_bottom_m=0.35, depth_top_m=0.18)
    box = _only(tmp_path, head + "Demo Foo,A1,closed,640,380,350,350,12 in,299\n").shape
    assert box == Cuboid(width_m=0.64, height_m=0.38, depth_m=0.35)


@pytest.mark.parametrize(
    ("cell", "shape"),
    [
        ("640 x 380 x 350 mm", Cuboid(width_m=0.64, height_m=0.38, depth_m=0.35)),
        ("64×38×35 cm", Cuboid(width_m=0.64, height_m=0.38, depth_m=0.35)),
        (
            "640 x 380 x 350/180 mm",
            Wedge(width_m=0.64, height_m=0.38, depth_bottom_m=0.35, depth_top_m=0.18),
        ),
        (
            "640 x 380 x 180/350 mm",
            Wedge(width_m=0.64, height_m=0.38, depth_bottom_m=0.35, depth_top_m=0.18),
        ),
        ("20 x 15 x 10 1/2 in", Cuboid(width_m=0.508, height_m=0.381, depth_m=0.2667)),
    ],
)
def test_dimensions_may_stand_in_one_cell(tmp_path: Path, cell: str, shape: Cuboid | Wedge) -> None:
    head = "maker,model,kind,dimensions (W x H x D),size,price\n"
    row = f"Demo Foo,A1,closed,{cell},12 in,299\n"
    assert _only(tmp_path, head + row).shape == shape


def test_dimensions_without_a_unit_or_a_side_are_refused(tmp_path: Path) -> None:
    head = "maker,model,kind,dimensions,size,price\n"
    rows = "Demo Foo,A1,closed,640x380x350,12 in,299\nDemo Foo,A2,closed,640x380 mm,12 in,299\n"
    report = read_sheet(_sheet(tmp_path, head + rows), kind="enclosures")
    assert report.refused == 2
    assert len(report.notes) == 2
    assert "unit" in report.notes[0].problem
    assert "not width x height x depth" in report.notes[1].problem


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252", "latin-1"])
def test_encodings_are_found_out(tmp_path: Path, encoding: str) -> None:
    row = ROW.replace("Demo Foo", "Démo Bröselmann Größenwahn é")
    report = read_sheet(_sheet(tmp_path, HEAD + row, encoding=encoding), kind="enclosures")
    assert report.records[0].maker == "Démo Bröselmann Größenwahn é"
    guessed = [text for text in report.assumptions if "not UTF-8" in text]
    assert bool(guessed) == (encoding in ("cp1252", "latin-1"))


@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
@pytest.mark.parametrize("line_end", ["\n", "\r\n", "\r"])
def test_separators_and_line_ends_are_found_out(
    tmp_path: Path, separator: str, line_end: str
) -> None:
    text = (HEAD + ROW).replace(",", separator).replace("\n", line_end)
    assert _only(tmp_path, text).price == 299.0


def test_quoted_cells_may_hold_separators_and_line_ends(tmp_path: Path) -> None:
    text = HEAD + ROW.replace("A1", '"A1, the\nfirst ""one"""')
    assert _only(tmp_path, text).model == 'A1, the first "one"'


@pytest.mark.parametrize(
    ("prices", "expected"),
    [
        (["299,90", "1.299,00"], [299.9, 1299.0]),
        (["299.90", "1,299.00"], [299.9, 1299.0]),
        (["299.90", "1,299"], [299.9, 1299.0]),
        (["299,90", "1.299"], [299.9, 1299.0]),
        (["1'299.50", "€ 300"], [1299.5, 300.0]),
        (["1 299,50", "300 EUR"], [1299.5, 300.0]),
    ],
)
def test_decimal_and_thousands_signs_are_settled_by_the_file(
    tmp_path: Path, prices: list[str], expected: list[float]
) -> None:
    rows = "".join(
        ROW.replace(",", ";").replace("A1", f"A{i}").replace("299", price)
        for i, price in enumerate(prices)
    )
    report = read_sheet(_sheet(tmp_path, HEAD.replace(",", ";") + rows), kind="enclosures")
    report.raise_if_refused()
    assert [record.price for record in report.records] == expected


def test_a_lone_comma_that_may_be_either_sign_is_refused(tmp_path: Path) -> None:
    text = (HEAD + ROW).replace(",", ";").replace("299", "1,299")
    report = read_sheet(_sheet(tmp_path, text), kind="enclosures")
    assert "decimal or a thousands sign" in report.notes[0].problem
    assert report.notes[0].allowed == "1299 or 1.299"


def test_the_same_row_twice_is_taken_once_and_other_data_refused(tmp_path: Path) -> None:
    text = HEAD + ROW + ROW + ROW.replace("299", "199")
    report = read_sheet(_sheet(tmp_path, text), kind="enclosures")
    assert (report.rows, report.accepted, report.remarked, report.refused) == (3, 1, 1, 1)
    assert [note.problem for note in report.notes] == [
        "the same as row 2; taken once",
        "row 2 has this id already, with other data",
    ]
    assert len(report.records) == 1


def test_empty_rows_are_passed_over_and_titles_remarked(tmp_path: Path) -> None:
    text = HEAD + ROW + ",,,,,,,\n" + "Vented boxes,,,,,,,\n" + ROW.replace("A1", "A2")
    report = read_sheet(_sheet(tmp_path, text), kind="enclosures")
    assert (report.rows, report.accepted, report.remarked, report.refused) == (3, 2, 1, 0)
    assert report.notes[0].row == 4
    assert report.row_numbers == (2, 5)


def test_cells_that_tell_nothing_are_no_figures(tmp_path: Path) -> None:
    head = HEAD.strip() + ",sensitivity,net volume,fs\n"
    box = _only(tmp_path, head + ROW.strip() + ",n/a,-,k.A.\n")
    assert (box.sensitivity_db, box.net_volume_m3, box.driver.fs_hz) == (None, None, None)


def test_columns_that_tell_nothing_we_keep_are_named(tmp_path: Path) -> None:
    text = HEAD.strip() + ",Colour\n" + ROW.strip() + ",black\n"
    report = read_sheet(_sheet(tmp_path, text), kind="enclosures")
    assert report.unused_columns == ("Colour",)


def test_amplifier_powers_may_stand_in_a_column_for_each_load(tmp_path: Path) -> None:
    text = (
        "Brand,Model,Channels,RMS power @ 4 Ohm,RMS power @ 2 Ohm,Bridged 4 ohm (W),"
        "Min. impedance,Price\n"
        "Demo Watt,M1,1,300 W,500,,2 ohm,199\n"
        "Demo Watt,F4,4,4x75 W,4 x 110,220,2,249\n"
        "Demo Watt,U2,2,100,150,,,149\n"
    )
    report = read_sheet(_sheet(tmp_path, text), kind="amplifiers")
    report.raise_if_refused()
    mono, four, two = report.records
    assert isinstance(mono, Amplifier)
    assert isinstance(four, Amplifier)
    assert isinstance(two, Amplifier)
    assert [(r.mode, r.load_ohm, r.power_w) for r in mono.ratings] == [
        ("single", 4.0, 300.0),
        ("single", 2.0, 500.0),
    ]
    assert [(r.mode, r.load_ohm, r.power_w) for r in four.ratings] == [
        ("per-channel", 4.0, 75.0),
        ("per-channel", 2.0, 110.0),
        ("bridged", 4.0, 220.0),
    ]
    assert two.lowest_load_ohm == 2.0
    assert two.origins["lowest_load_ohm"].kind == "estimated"
    assert (report.accepted, report.remarked) == (2, 1)


def test_the_mapping_is_shown_and_can_be_corrected(tmp_path: Path) -> None:
    text = "maker,model,kind,Breite,Höhe,Tiefe,Zoll,Preis\nDemo Foo,A1,geschlossen,64,38,35,12,9\n"
    path = _sheet(tmp_path, text)
    shown = show_mapping(path, kind="enclosures")
    assert [c.target for c in shown.columns if c.head in ("Breite", "Preis")] == [
        "shape.width",
        "price",
    ]
    corrections = {
        "Breite": "shape.width [cm]",
        "Höhe": "shape.height [cm]",
        "Tiefe": "shape.depth [cm]",
        "Zoll": "driver.size [in]",
    }
    report = read_sheet(path, kind="enclosures", mapping=corrections)
    report.raise_if_refused()
    box = report.records[0]
    assert isinstance(box, Enclosure)
    assert box.shape == Cuboid(width_m=0.64, height_m=0.38, depth_m=0.35)
    assert box.driver.size_m == 0.3048
    again = read_sheet(path, kind="enclosures", mapping=shown.corrected(corrections))
    assert again.records == report.records
    remembered = read_sheet(path, kind="enclosures", remembered=report.mapping.remembered())
    assert remembered.records == report.records


def test_progress_is_told_up_to_the_end(tmp_path: Path) -> None:
    rows = "".join(ROW.replace("A1", f"A{i}") for i in range(2500))
    told: list[tuple[int, int]] = []
    path = _sheet(tmp_path, HEAD + rows)
    read_sheet(path, kind="enclosures", progress=lambda done, of: told.append((done, of)))
    assert [done for done, _ in told] == [1000, 2000, 2501]
    assert all(done <= of for done, of in told)


def test_a_file_without_a_heading_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no heading") as refused:
        read_sheet(_sheet(tmp_path, "a,b,c\n1,2,3\n"), kind="enclosures")
    assert "maker" in refused.value.allowed


def test_an_unknown_kind_is_refused_by_name(tmp_path: Path) -> None:
    with pytest.raises(NotFoundError, match="kind of thing"):
        read_sheet(_sheet(tmp_path, HEAD + ROW), kind="boxes")


def test_the_report_can_be_sent_back_without_formulas(tmp_path: Path) -> None:
    text = HEAD + ROW.replace("640 mm", '"=HYPERLINK(""http://x"")"')
    report = read_sheet(_sheet(tmp_path, text), kind="enclosures")
    out = tmp_path / "report.csv"
    report.write_csv(out)
    lines = out.read_text(encoding="utf-8-sig").splitlines()
    assert lines[0] == "row,outcome,column,problem,read,allowed"
    assert "'=HYPERLINK" in lines[1]

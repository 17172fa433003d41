"""Files of every sort: read, or refused before they can do harm."""

from __future__ import annotations

import contextlib
import json
import struct
import zipfile
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook

from basswright.catalogue.demo import make
from basswright.catalogue.sheets import files, read_sheet, write_csv, write_xlsx
from basswright.errors import BasswrightError, InputError, TooLargeError
from basswright.records.enclosure import Enclosure

HEAD = ["maker", "model", "kind", "width [mm]", "height [mm]", "depth [mm]", "size [in]", "price"]
ROW: list[Any] = ["Demo Foo", "A1", "closed", 640, 380.5, 350, 12, 299.95]


def _workbook(path: Path, *rows: list[Any], merge: str = "", before: bool = False) -> Path:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for row in rows:
        sheet.append(row)
    if merge:
        sheet.merge_cells(merge)
    if before:
        book.create_sheet("Read me", 0).append(["Prices for the trade"])
    book.save(path)
    return path


def _box(path: Path) -> Enclosure:
    report = read_sheet(path, kind="enclosures")
    report.raise_if_refused()
    (box,) = report.records
    assert isinstance(box, Enclosure)
    return box


def test_a_workbook_holds_numbers_without_any_decimal_sign(tmp_path: Path) -> None:
    box = _box(_workbook(tmp_path / "s.xlsx", HEAD, ROW))
    assert (box.shape.width_m, box.shape.height_m, box.price) == (0.64, 0.3805, 299.95)
    assert box.driver.size_m == 0.3048


def test_a_merged_heading_and_a_cover_sheet_do_not_disturb(tmp_path: Path) -> None:
    path = _workbook(
        tmp_path / "s.xlsx",
        ["Price list"],
        [None, None, None, "Outside (mm)", None, None, None, None],
        ["Brand", "Model", "Type", "Width", "Height", "Depth", "Driver size (in)", "Price"],
        ROW,
        merge="D2:F2",
        before=True,
    )
    report = read_sheet(path, kind="enclosures")
    report.raise_if_refused()
    assert report.records[0].price == 299.95
    assert report.row_numbers == (4,)
    assert any("'Sheet'" in text and "Read me" in text for text in report.assumptions)


def test_yes_no_and_dates_in_a_workbook_are_read_as_words(tmp_path: Path) -> None:
    import datetime

    path = _workbook(
        tmp_path / "s.xlsx",
        [*HEAD, "flared", "remarks"],
        [*ROW, True, datetime.date(2026, 5, 4)],
    )
    box = _box(path)
    assert box.ports is not None
    assert box.ports.flared is True
    assert "2026-05-04" in box.remarks[0]


def test_json_may_be_nested_or_flat(tmp_path: Path) -> None:
    path = tmp_path / "s.json"
    thing = {
        "maker": "Demo Foo",
        "model": "A1",
        "kind": "sealed",
        "shape": {"width": "640 mm", "height": "380 mm", "depth": "350 mm"},
        "driver.size": "12 in",
        "price": 299.95,
        "remarks": ["one", "two"],
    }
    for content in ([thing], {"enclosures": [thing], "version": 1}):
        path.write_text(json.dumps(content))
        box = _box(path)
        assert (box.shape.width_m, box.driver.size_m, box.remarks) == (0.64, 0.3048, ("one", "two"))


@pytest.mark.parametrize(
    ("content", "problem"),
    [
        ("{", "not JSON"),
        ('[{"price": NaN}]', "not a number"),
        ('[{"price": Infinity}]', "not a number"),
        ('{"a": 1}', "no list"),
        ("[1, 2]", "no list"),
        ("[" * 100_000, "not JSON"),
        ("[]", "no heading"),
    ],
)
def test_json_that_is_no_list_of_things_is_refused(
    tmp_path: Path, content: str, problem: str
) -> None:
    path = tmp_path / "s.json"
    path.write_text(content)
    with pytest.raises(InputError, match=problem):
        read_sheet(path, kind="enclosures")


@pytest.mark.parametrize(
    ("name", "content", "problem"),
    [
        ("s.csv", b"", "no heading"),
        ("s.csv", b"\x00\x01\x02" * 100, "not a text file"),
        ("s.csv", b"PK\x03\x04rest", "workbook or an archive"),
        ("s.csv", b'"never closed,1,2\n' + b"x" * 200_000, "not a table|no heading"),
        ("s.csv", b"\xff\xfe\x00", "broken|no heading"),
        ("s.xlsx", b"maker,model\n", "not a workbook"),
        ("s.xlsx", b"PK\x03\x04" + bytes(100), "not a workbook"),
        ("s.pdf", b"%PDF", "not read"),
        ("s.xls", b"\xd0\xcf\x11\xe0", "not read"),
    ],
)
def test_what_is_no_table_is_refused(
    tmp_path: Path, name: str, content: bytes, problem: str
) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    with pytest.raises(InputError, match=problem):
        read_sheet(path, kind="enclosures")


def test_a_missing_file_and_a_folder_are_named(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such file"):
        read_sheet(tmp_path / "nowhere.csv", kind="enclosures")
    (tmp_path / "folder.csv").mkdir()
    with pytest.raises(InputError, match="folder"):
        read_sheet(tmp_path / "folder.csv", kind="enclosures")


def test_a_workbook_without_a_cell_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"empty|no heading"):
        read_sheet(_workbook(tmp_path / "s.xlsx"), kind="enclosures")


def test_an_archive_that_is_no_workbook_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "s.xlsx"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("hello.txt", "hello")
    with pytest.raises(InputError, match="cannot be read"):
        read_sheet(path, kind="enclosures")


def test_a_file_of_100_megabytes_is_refused_unread(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "huge.csv"
    with path.open("wb") as file:
        file.truncate(100_000_000)

    def never(self: Path) -> bytes:
        raise AssertionError("it was read")

    monkeypatch.setattr(Path, "read_bytes", never)
    with pytest.raises(TooLargeError, match=r"huge.csv: 100 MB; allowed: up to 64 MB"):
        read_sheet(path, kind="enclosures")


@pytest.mark.parametrize("line_end", [b"\n", b"\r", b"\r\n"])
def test_ten_million_rows_are_refused_early(
    tmp_path: Path, line_end: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "long.csv"
    path.write_bytes(b"a,b" + line_end * 10_000_000)

    def never(*_: object) -> None:
        raise AssertionError("it was decoded")

    monkeypatch.setattr(files, "_decoded", never)
    with pytest.raises(TooLargeError, match=r"about 10,000,001 rows; allowed: up to 250,000"):
        read_sheet(path, kind="enclosures")


def _bomb(path: Path, *, honest: bool) -> Path:
    """Write a small archive that unpacks to 70 MB; a dishonest one claims 1 kB."""
    chunk = bytes(1_000_000)
    with (
        zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive,
        archive.open("xl/worksheets/sheet1.xml", "w") as member,
    ):
        for _ in range(70):
            member.write(chunk)
    if not honest:
        data = bytearray(path.read_bytes())
        directory = data.rindex(b"PK\x01\x02")
        data[directory + 24 : directory + 28] = struct.pack("<I", 1000)
        path.write_bytes(bytes(data))
    return path


@pytest.mark.parametrize("honest", [True, False])
def test_a_zip_bomb_is_refused_whatever_it_claims(
    tmp_path: Path, honest: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(files, "MAX_UNPACKED_BYTES", 60_000_000)
    path = _bomb(tmp_path / "bomb.xlsx", honest=honest)
    assert path.stat().st_size < 1_000_000
    with pytest.raises(TooLargeError, match="unpacks to more than 60 MB"):
        read_sheet(path, kind="enclosures")


def test_an_archive_of_thousands_of_members_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "many.xlsx"
    with zipfile.ZipFile(path, "w") as archive:
        for number in range(files.MAX_MEMBERS + 1):
            archive.writestr(f"{number}", b"")
    with pytest.raises(TooLargeError):
        read_sheet(path, kind="enclosures")


def test_a_row_of_thousands_of_cells_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "wide.csv"
    path.write_text("maker,model,price\n" + "," * 5000)
    with pytest.raises(TooLargeError, match="row 2: 5001 columns"):
        read_sheet(path, kind="enclosures")


@pytest.mark.parametrize("text", ["=1+1", "+49 30", "-0.5", "@SUM(A1)", "\tx", "|cmd", "%x"])
def test_no_exported_cell_is_a_formula_and_texts_come_back(tmp_path: Path, text: str) -> None:
    """OWASP, "CSV Injection"."""
    box = make(1, enclosures=10, amplifiers=1).snapshot.enclosures[0]
    evil = box.model_copy(update={"model": text.strip(), "remarks": (text.strip(),)})
    csv_path, book_path = tmp_path / "out.csv", tmp_path / "out.xlsx"
    write_csv(csv_path, "enclosures", [evil])
    write_xlsx(book_path, "enclosures", [evil])
    cells = csv_path.read_text(encoding="utf-8-sig").splitlines()[1].split(",")
    assert not any(cell.startswith(("=", "+", "-", "@", "|", "%", "\t")) for cell in cells)
    assert b"<f>" not in zipfile.ZipFile(book_path).read("xl/worksheets/sheet1.xml")
    assert read_sheet(csv_path, kind="enclosures").records == (evil,)
    assert read_sheet(book_path, kind="enclosures").records == (evil,)


def test_a_workbook_that_is_written_is_read_back_exactly(tmp_path: Path) -> None:
    snapshot = make(6, enclosures=40, amplifiers=20).snapshot
    for kind in ("enclosures", "amplifiers", "cables"):
        path = tmp_path / f"{kind}.xlsx"
        assert write_xlsx(path, kind, getattr(snapshot, kind)) == len(getattr(snapshot, kind))
        assert read_sheet(path, kind=kind).records == getattr(snapshot, kind)


@pytest.mark.parametrize("seed", range(12))
def test_noise_is_refused_in_words_and_never_crashes(tmp_path: Path, seed: int) -> None:
    """Files that were cut, swapped or overwritten with noise."""
    import random

    chance = random.Random(seed)
    source = tmp_path / "good.csv"
    write_csv(source, "enclosures", make(1, enclosures=20, amplifiers=1).snapshot.enclosures)
    if seed % 3 == 2:
        source = _workbook(tmp_path / "good.xlsx", HEAD, ROW, ROW)
    data = bytearray(source.read_bytes())
    for _ in range(chance.randrange(1, 60)):
        data[chance.randrange(len(data))] = chance.randrange(256)
    if seed % 2:
        del data[chance.randrange(len(data)) :]
    path = tmp_path / f"bad{source.suffix}"
    path.write_bytes(bytes(data))
    with contextlib.suppress(BasswrightError):
        report = read_sheet(path, kind="enclosures")
        assert report.accepted + report.remarked + report.refused == report.rows


def test_a_key_that_stands_twice_in_json_is_refused(tmp_path: Path) -> None:
    """The later of two figures would win without a word."""
    path = tmp_path / "twice.json"
    path.write_text('[{"id": "a", "price": 1, "price": 2}]', encoding="utf-8")
    with pytest.raises(InputError, match=r"twice.*'price'"):
        read_sheet(path, kind="enclosures")

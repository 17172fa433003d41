"""Bevelled, L-shaped and round boxes, and feet, in sheets."""

from __future__ import annotations

from pathlib import Path

import pytest

from basswright.catalogue.sheets import read_sheet, write_csv
from basswright.records.enclosure import Driver, Enclosure
from basswright.records.faces import Faces
from basswright.records.shapes import Cylinder, LShape, Shape, Truncated

_HEAD = "maker,model,kind,driver size,price"
_ROW = "Demo Foo,A1,closed,12 in,299"


def _read(folder: Path, head: str, row: str) -> Enclosure:
    path = folder / "sheet.csv"
    path.write_text(f"{_HEAD},{head}\n{_ROW},{row}\n", encoding="utf-8")
    report = read_sheet(path, kind="enclosures")
    report.raise_if_refused()
    (record,) = report.records
    assert isinstance(record, Enclosure)
    return record


@pytest.mark.parametrize(
    ("head", "row", "shape"),
    [
        (
            "width,height,depth,bevel edge,bevel height,bevel depth",
            "640 mm,380 mm,350 mm,back-top,200 mm,120 mm",
            Truncated(
                width_m=0.64, height_m=0.38, depth_m=0.35, bevel_height_m=0.2, bevel_depth_m=0.12
            ),
        ),
        (
            "width,height,depth,notch edge,notch width,notch height",
            "1.1 m,380 mm,350 mm,bottom-left,150 mm,0.2 m",
            LShape(
                width_m=1.1,
                height_m=0.38,
                depth_m=0.35,
                notch_edge="bottom-left",
                notch_width_m=0.15,
                notch_height_m=0.2,
            ),
        ),
        ("outer diameter,height", "550 mm,200 mm", Cylinder(diameter_m=0.55, length_m=0.2)),
        (
            "outer diameter,tube length,lying",
            "300 mm,600 mm,yes",
            Cylinder(diameter_m=0.3, length_m=0.6, lying=True),
        ),
    ],
)
def test_a_shape_is_known_by_its_columns(head: str, row: str, shape: Shape, tmp_path: Path) -> None:
    """Which form it is follows from the columns that are filled in."""
    assert _read(tmp_path, head, row).shape == shape


def test_feet_are_read(tmp_path: Path) -> None:
    """Feet are a column of their own."""
    box = _read(tmp_path, "width,height,depth,firing,feet", "640 mm,380 mm,350 mm,down,40 mm")
    assert box.feet_m == pytest.approx(0.04)


def test_faces_are_read(tmp_path: Path) -> None:
    """Sides and their air are columns too."""
    box = _read(
        tmp_path,
        "width,height,depth,port side,terminal side,terminal clearance,cone clearance,never down",
        "640 mm,380 mm,350 mm,left,back,55 mm,30 mm,top; right",
    )
    assert box.faces == Faces(
        port="left",
        terminals="back",
        terminals_air_m=0.055,
        cone_air_m=0.03,
        never_down=("top", "right"),
    )


def test_shapes_are_written_and_read_back(tmp_path: Path) -> None:
    """Every form in one sheet, without loss."""
    shapes: list[Shape] = [
        Truncated(
            width_m=0.64,
            height_m=0.38,
            depth_m=0.35,
            bevel_edge="top-left",
            bevel_height_m=0.2,
            bevel_width_m=0.12,
        ),
        LShape(width_m=0.9, height_m=0.4, depth_m=0.4, notch_height_m=0.1, notch_depth_m=0.1),
        Cylinder(diameter_m=0.55, length_m=0.2),
        Cylinder(diameter_m=0.3, length_m=0.6, lying=True),
    ]
    boxes = tuple(
        Enclosure(
            id=f"demo-{number}",
            maker="Demo Foo",
            model=f"B{number}",
            kind="closed",
            shape=shape,
            driver=Driver(size_m=0.3),
            price=100.0,
        )
        for number, shape in enumerate(shapes)
    )
    path = tmp_path / "out.csv"
    write_csv(path, "enclosures", boxes)
    report = read_sheet(path, kind="enclosures")
    report.raise_if_refused()
    assert report.records == boxes


def test_a_bevel_without_its_sizes_is_refused_in_plain_words(tmp_path: Path) -> None:
    """The message names the bevel, its edge and the size that lacks."""
    path = tmp_path / "sheet.csv"
    path.write_text(
        f"{_HEAD},width,height,depth,bevel edge,bevel height\n"
        f"{_ROW},640 mm,380 mm,350 mm,back-top,200 mm\n",
        encoding="utf-8",
    )
    report = read_sheet(path, kind="enclosures")
    assert report.refused == 1
    assert any("lacks its depth" in note.problem for note in report.notes)

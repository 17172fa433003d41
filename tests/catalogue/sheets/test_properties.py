"""What holds for any record and any cell."""

from __future__ import annotations

import contextlib
import csv
import tempfile
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from basswright.catalogue.demo import make
from basswright.catalogue.sheets import read_sheet, write_csv, write_xlsx
from basswright.catalogue.sheets.cells import is_nothing, tell
from basswright.catalogue.sheets.mapping import guess
from basswright.catalogue.sheets.targets import targets
from basswright.database.kinds import RECORDS
from basswright.errors import InputError
from basswright.records.enclosure import Cuboid, Driver, Enclosure, Wedge

_SNAPSHOT = make(3, enclosures=25, amplifiers=12).snapshot
_TEXT = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Zs", "Zl", "Zp", "Cf", "Cn")),
    min_size=1,
    max_size=30,
).filter(lambda text: not is_nothing(text) and not text.startswith("'"))


def _length(most: float) -> st.SearchStrategy[float]:
    return st.integers(30, int(1e4 * most)).map(lambda tenths: round(tenths / 1e4, 4))


def _maybe(strategy: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.none() | strategy


_SHAPES: st.SearchStrategy[Cuboid | Wedge] = st.one_of(
    st.builds(
        Cuboid,
        width_m=_length(2.9).filter(lambda v: v > 0.02),
        height_m=_length(2.9).filter(lambda v: v > 0.02),
        depth_m=_length(2.9).filter(lambda v: v > 0.02),
    ),
    st.builds(
        Wedge,
        width_m=st.just(0.5),
        height_m=st.just(0.4),
        depth_bottom_m=st.just(0.35),
        depth_top_m=st.integers(21, 349).map(lambda v: round(v / 1000, 3)),
    ),
)
_BOXES = st.builds(
    Enclosure,
    id=_TEXT.map(lambda text: f"i{text}"),
    maker=_TEXT,
    model=_TEXT,
    kind=st.sampled_from(["closed", "vented", "passive-radiator", "bandpass"]),
    shape=_SHAPES,
    driver=st.builds(
        Driver,
        size_m=_length(0.59).filter(lambda v: v > 0.05),
        count=st.integers(1, 8),
        fs_hz=_maybe(st.integers(51, 1999).map(lambda v: v / 10)),
        Qes=_maybe(st.integers(6, 490).map(lambda v: v / 100)),
        Le_henry=_maybe(st.integers(0, 190).map(lambda v: round(v / 1e4, 4))),
    ),
    load_ohm=_maybe(st.sampled_from([0.5, 1.0, 1.33, 2.0, 4.0, 8.0])),
    power_high_w=_maybe(st.integers(1, 20000).map(float)),
    sensitivity_db=_maybe(st.integers(600, 1100).map(lambda v: v / 10)),
    net_volume_m3=_maybe(st.integers(6, 9999).map(lambda v: round(v / 1e4, 4))),
    price=st.integers(0, 10_000_000).map(lambda cents: cents / 100),
    remarks=st.lists(_TEXT.filter(lambda t: ";" not in t), max_size=2).map(tuple),
)


@pytest.mark.parametrize("write", [write_csv, write_xlsx])
@settings(max_examples=20, deadline=None)
@given(box=_BOXES)
def test_any_box_that_is_written_is_read_back(write: Any, box: Enclosure) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"out.{'csv' if write is write_csv else 'xlsx'}"
        write(path, "enclosures", [box])
        report = read_sheet(path, kind="enclosures")
        report.raise_if_refused()
        assert report.records == (box,)


@settings(max_examples=150, deadline=None)
@given(
    kind=st.sampled_from(sorted(RECORDS)),
    which=st.integers(0, 200),
    cell=st.one_of(
        st.text(max_size=40),
        st.floats(allow_nan=False, allow_infinity=False),
        st.integers(),
        st.from_regex(
            r"[0-9]{1,4}[.,x/ -]{1,2}[0-9]{1,4} ?(mm|in|\"|W|Ω|ohm|kg|L)?", fullmatch=True
        ),
    ),
    unit=st.sampled_from(["", "mm", "W", "kg"]),
    decimal=st.sampled_from(["", ".", ","]),
)
def test_any_cell_is_read_or_refused_in_words(
    kind: str, which: int, cell: str | float | int, unit: str, decimal: str
) -> None:
    """No cell whatever ends in anything but a value or an error for a person."""
    every = list(targets(kind).values())
    target = every[which % len(every)]
    if is_nothing(cell):
        return
    with contextlib.suppress(InputError):
        assert tell(target, cell, unit=unit, decimal=decimal).values


@settings(max_examples=40, deadline=None)
@given(kind=st.sampled_from(sorted(RECORDS)), heads=st.lists(st.text(max_size=30), max_size=6))
def test_any_heads_give_a_mapping_in_which_nothing_is_told_twice(
    kind: str, heads: list[str]
) -> None:
    mapping = guess(kind, heads)
    assert len(mapping.columns) == len(heads)
    told = [column.target for column in mapping.columns if column.target]
    assert len(told) == len(set(told))
    known = targets(kind)
    assert all(t in known or t.startswith("ratings@") for t in told)


@settings(max_examples=30, deadline=None)
@given(rows=st.lists(st.lists(st.text(max_size=12), max_size=10), max_size=8))
def test_any_table_below_a_heading_is_counted_to_the_last_row(rows: list[list[str]]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "any.csv"
        with path.open("w", encoding="utf-8", newline="", errors="replace") as file:
            writer = csv.writer(file)
            writer.writerow(["maker", "model", "kind", "width", "height", "depth", "size", "price"])
            writer.writerows([[c.replace("\x00", "") for c in row] for row in rows])
        report = read_sheet(path, kind="enclosures")
    assert report.accepted + report.remarked + report.refused == report.rows
    assert report.refused == len({n.row for n in report.notes if n.fate == "refused"})

"""Settles the unit of bare lengths of a whole sheet, where only one unit is possible."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from basswright.catalogue.sheets.cells import Cell, bare_lengths
from basswright.catalogue.sheets.mapping import SheetMapping
from basswright.catalogue.sheets.targets import DIMENSION_ORDERS
from basswright.quantities import UNITS

Floats = NDArray[np.float64]

_UNITS: Final = ("mm", "cm", "in")
#: Nominal cone sizes in each unit (common practice, no source).
_CONES: Final[Mapping[str, frozenset[float]]] = {
    "mm": frozenset(
        {130, 160, 165, 170, 200, 203, 250, 254, 280, 300, 305, 330, 380, 381, 400, 450, 457, 460}
    ),
    "cm": frozenset({13, 16, 16.5, 17, 20, 25, 27, 28, 30, 33, 38, 46}),
    "in": frozenset({5, 5.25, 6, 6.5, 6.75, 7, 8, 9, 10, 11, 12, 13, 13.5, 15, 18, 21}),
}
#: Sides and volume outside of a ready-made bass box (common practice, no source).
_SIDE_M: Final = (0.06, 1.6)
_VOLUME_M3: Final = (0.003, 0.5)
#: A share of the rows may be odd.
_MOST: Final = 0.9
_OUTSIDE: Final = ("shape.width", "shape.height", "shape.depth", "shape.depth_bottom")


def with_likely_units(
    mapping: SheetMapping, sample: Sequence[Sequence[Cell]], decimal: str
) -> tuple[SheetMapping, tuple[str, ...]]:
    """Give bare lengths of boxes the only unit in which they can be boxes and cones.

    A column counts if no cell of it has a unit. Where two units are possible, none is
    given, and the rows are refused as before.

    Returns
    -------
    mapping, assumptions
    """
    if mapping.kind != "enclosures":
        return mapping, ()
    whole = tuple(DIMENSION_ORDERS.values())
    bare = {
        column.target: bare_lengths(sample, column.index, decimal, whole=column.target in whole)
        for column in mapping.columns
        if not column.unit and column.target in (*_OUTSIDE, "driver.size", *whole)
    }
    found: dict[str, str] = {}
    cones = bare.get("driver.size")
    cone_unit = _cone_unit(cones[:, 0]) if cones is not None else None
    if cone_unit:
        found["driver.size"] = cone_unit
    sides = _sides(bare)
    if sides is not None:
        size = cones[:, 0] * UNITS["length"][cone_unit] if cones is not None and cone_unit else None
        unit = _outer_unit(sides, size)
        found |= {target: unit for target in bare if target != "driver.size" and unit}
    columns = tuple(
        replace(column, unit=found[column.target]) if column.target in found else column
        for column in mapping.columns
    )
    told = tuple(
        f"column {column.head!r}: bare numbers were taken as {found[column.target]}, the only "
        "unit in which these are boxes and cones"
        for column in mapping.columns
        if column.target in found
    )
    return replace(mapping, columns=columns), told


def _sides(bare: Mapping[str, Floats | None]) -> Floats | None:
    """Return the three sides of each row as told, shape (rows, 3); None without all three."""
    for target, values in bare.items():
        if target in DIMENSION_ORDERS.values() and values is not None:
            return values
    depth = bare.get("shape.depth")
    depth = bare.get("shape.depth_bottom") if depth is None else depth
    parts = [bare.get("shape.width"), bare.get("shape.height"), depth]
    if any(part is None for part in parts):
        return None
    return np.column_stack([part[:, 0] for part in parts if part is not None])


def _cone_unit(sizes: Floats) -> str | None:
    told = sizes[~np.isnan(sizes)]
    if told.size == 0:
        return None
    fits = [unit for unit in _UNITS if np.isin(told, list(_CONES[unit])).mean() >= _MOST]
    return fits[0] if len(fits) == 1 else None


def _outer_unit(sides: Floats, cone_m: Floats | None) -> str | None:
    full = ~np.isnan(sides).any(axis=1)
    if not full.any():
        return None
    fits = []
    for unit in _UNITS:
        metres = np.sort(sides[full] * UNITS["length"][unit], axis=1)
        volume = metres.prod(axis=1)
        good = (metres[:, 0] >= _SIDE_M[0]) & (metres[:, 2] <= _SIDE_M[1])
        good &= (volume >= _VOLUME_M3[0]) & (volume <= _VOLUME_M3[1])
        if cone_m is not None:
            good &= ~(metres[:, 1] < 0.95 * cone_m[full])
        if good.mean() >= _MOST:
            fits.append(unit)
    return fits[0] if len(fits) == 1 else None

"""What decides, in words: from surfaces that a box touches to a dimension of the space."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from basswright.space.arrays import Floats, Ints

if TYPE_CHECKING:
    from basswright.space.solids import Solid

TOGETHER = "every size at once"
NO_ROOM = "no room at all"


def limit_name(solid: Solid, axis: int, surfaces: tuple[int, ...]) -> str:
    """Name the dimension of the space that lies between the surfaces that decide.

    Parameters
    ----------
    solid : Solid
    axis : int
        0 depth, 1 width, 2 height, 3 all of them together.
    surfaces : tuple of int
        Indices into ``solid.names``.
    """
    if axis == 3:
        return TOGETHER
    if not surfaces:
        return NO_ROOM
    names = sorted({solid.names[s] for s in surfaces})
    if axis == 2:
        return _height(solid, surfaces, names)
    return _width(names) if axis == 1 else _depth(solid, surfaces, names)


def _height(solid: Solid, surfaces: tuple[int, ...], names: list[str]) -> str:
    flat = [s < len(solid.b) and solid.A[s, 2] > 1 - 1e-9 for s in surfaces]
    if all(flat):
        return "height"
    return "height under the " + " and the ".join(names)


def _width(names: list[str]) -> str:
    if len(names) == 2:
        left, right = names
        if left.startswith("left ") and right == "right " + left[5:]:
            return f"width between the {_plural(left[5:])}"
    return _between("width", names)


def _between(dimension: str, names: list[str]) -> str:
    """Name a dimension by what bounds it; one surface may do so on both sides."""
    if len(names) == 1:
        return f"{dimension} inside the {names[0]}"
    return f"{dimension} between the " + " and the ".join(names)


def _plural(name: str) -> str:
    head, _, tail = name.partition(" at the ")
    head += "es" if head.endswith("arch") else "s"
    return f"{head} at the {tail}" if tail else head


def _depth(solid: Solid, surfaces: tuple[int, ...], names: list[str]) -> str:
    planes = [s for s in surfaces if s < len(solid.b)]
    slopes = solid.A[planes, 2]
    where = ""
    if (np.abs(slopes) > 1e-6).any():
        where = " at the top" if (slopes > 1e-6).any() else " at the floor"
    if len(planes) == len(surfaces) and all(abs(solid.A[s, 1]) < 1e-9 for s in planes):
        return f"depth{where}"
    return _between("depth", names) + where


class Limits:
    """Collects limits as they occur and numbers them."""

    def __init__(self, solid: Solid) -> None:
        self._solid = solid
        self._known: dict[tuple[int, tuple[int, ...]], int] = {}
        self.names: list[str] = []

    def index(self, axis: int, surfaces: tuple[int, ...]) -> int:
        """Return the number of a limit, naming it when it is new."""
        key = axis, tuple(sorted(set(surfaces)))
        if key not in self._known:
            name = limit_name(self._solid, *key)
            if name not in self.names:
                self.names.append(name)
            self._known[key] = self.names.index(name)
        return self._known[key]

    def indices(self, axis: Ints, surfaces: Ints) -> Ints:
        """Return the numbers of many limits.

        Parameters
        ----------
        axis : ndarray of int, shape (n,)
        surfaces : ndarray of int, shape (n, 3)
            -1 for none.
        """
        base = len(self._solid.names) + 1
        codes = axis.copy()
        for column in (surfaces + 1).T:
            codes = codes * base + column
        unique, inverse = np.unique(codes, return_inverse=True)
        numbers = []
        for code in unique.tolist():
            found = []
            for _ in range(3):
                code, surface = divmod(code, base)
                found.append(surface - 1)
            numbers.append(self.index(code, tuple(s for s in found if s >= 0)))
        return np.array(numbers, dtype=np.int64)[inverse.reshape(-1)]


def facing_surfaces(planes: int, rows: Ints, multipliers: Floats) -> Ints:
    """Turn active rows of a search into surface numbers; -1 where a row has no say."""
    keep_out = planes - rows - 1
    plane = rows - 6
    surfaces = np.where(rows < 0, keep_out, np.where(rows >= 6, plane, -1))
    return np.where(multipliers > 1e-9, surfaces, -1)

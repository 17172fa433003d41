"""Does a box pass the opening? A rectangle pushed square through a rectangle, turned in
the plane of the opening as far as it helps.

References
----------
.. [1] J. E. Wetzel, "Rectangles in rectangles", Mathematics Magazine 73 (2000),
   pp. 204-211; after W. B. Carver (1957).
"""

from __future__ import annotations

import numpy as np

from basswright.space.arrays import Floats, Ints

WAYS = ("depth first", "an end first", "bottom or top first")


def spare(
    long_m: Floats, short_m: Floats, width_m: float, height_m: float
) -> tuple[Floats, Floats]:
    """Return the least spare room of a rectangle in the opening, and the angle for it.

    The turned rectangle needs ``p cos a + q sin a`` across and ``p sin a + q cos a`` up.
    Both are concave in the angle, so the best angle is square on, a quarter turn, or the
    one at which both spare the same.

    Parameters
    ----------
    long_m, short_m : ndarray
        Sides of the cross-section [m], in any order.
    width_m, height_m : float
        Clear width and height of the opening [m].

    Returns
    -------
    spare_m : ndarray
        Positive where it passes.
    angle_deg : ndarray
        By which it is turned.
    """
    difference = long_m - short_m
    ratio = (width_m - height_m) / np.where(np.abs(difference) < 1e-12, np.inf, difference)
    # spares are equal where cos(a + 45 deg) is ratio / sqrt 2
    within = np.abs(ratio) < 1
    one = np.where(within, ratio, 0.0) / 2
    other = np.sqrt(0.5 - one * one)
    room, best = _spare_at(long_m, short_m, width_m, height_m), np.zeros(len(long_m), np.int64)
    turned = _spare_at(short_m, long_m, width_m, height_m)
    best[turned > room] = 1
    room = np.maximum(room, turned)
    cosine, sine = other + one, other - one
    equal = np.minimum(
        width_m - long_m * cosine - short_m * sine, height_m - long_m * sine - short_m * cosine
    )
    best[within & (equal > room)] = 2
    room = np.where(within, np.maximum(room, equal), room)
    angle = np.where(best == 2, np.degrees(np.arctan2(sine, cosine)), 90.0 * best)
    return room, angle


def _spare_at(across: Floats, up: Floats, width_m: float, height_m: float) -> Floats:
    return np.minimum(width_m - across, height_m - up)


def passage(size_m: Floats, width_m: float, height_m: float) -> tuple[Floats, Floats, Ints]:
    """Return the best way of pushing boxes through an opening.

    Parameters
    ----------
    size_m : ndarray, shape (n, 3)
        Depth, width, height of the box's outline [m].

    Returns
    -------
    spare_m, angle_deg : ndarray, shape (n,)
    way : ndarray of int, shape (n,)
        Index into :data:`WAYS`: the side that goes first.
    """
    rooms, angles = [], []
    for across, up in ((1, 2), (0, 2), (0, 1)):
        room, angle = spare(size_m[:, across], size_m[:, up], width_m, height_m)
        rooms.append(room)
        angles.append(angle)
    room = np.stack(rooms)
    way = room.argmax(axis=0)
    return (
        room.max(axis=0),
        np.take_along_axis(np.stack(angles), way[None], axis=0)[0],
        way.astype(np.int64),
    )

"""How a box may stand: 24 quarter turns, which of them are allowed, and their names."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from basswright.space.arrays import Bools, Floats
from basswright.space.boxes import FIRING
from basswright.space.tilts import Tilt

_CONE_AXIS: dict[str, Floats] = {
    "front": np.array([-1.0, 0.0, 0.0]),
    "up": np.array([0.0, 0.0, 1.0]),
    "down": np.array([0.0, 0.0, -1.0]),
}
_POSTURE = {
    (0, 0, 1): "upright",
    (0, 0, -1): "upside down",
    (0, 1, 0): "on its right end",
    (0, -1, 0): "on its left end",
    (-1, 0, 0): "on its back",
    (1, 0, 0): "on its face",
}
_FACING = {
    (1, 0, 0): "forwards",
    (-1, 0, 0): "rearwards",
    (0, 1, 0): "to the left",
    (0, -1, 0): "to the right",
    (0, 0, 1): "up",
    (0, 0, -1): "down",
}


@dataclass(frozen=True, kw_only=True, eq=False)
class Orientation:
    """One way for a box to stand.

    Attributes
    ----------
    name : str
    turn : ndarray, shape (3, 3)
        Own frame to car frame.
    cone : ndarray, shape (3,)
        Direction that the cone fires to, in the car.
    rank : int
        0 as the data sheet shows it, 1 on its back, 2 on an end, 3 upside down, 4 tilted.
    tilt : Tilt or None
        What it is tilted by, beyond the quarter turns.
    """

    name: str
    turn: Floats
    cone: Floats
    rank: int
    tilt: Tilt | None = None

    @property
    def axis_of(self) -> tuple[int, int, int]:
        """Own axis that lies along each axis of the car."""
        x, y, z = np.abs(self.turn).argmax(axis=1)
        return int(x), int(y), int(z)


def _quarter_turns() -> list[Floats]:
    found = []
    for x in np.vstack([-np.eye(3), np.eye(3)])[[3, 0, 4, 1, 5, 2]]:
        for z in np.vstack([np.eye(3), -np.eye(3)])[[2, 1, 4, 0, 3, 5]]:
            if abs(x @ z) < 0.5:
                found.append(np.stack([x, np.cross(z, x), z], axis=1))
    return found


def orientations(firing: str, *, wedge: bool) -> tuple[Orientation, ...]:
    """Return the allowed ways to stand, the natural ones first.

    A cone never fires into the floor, except for a box made for it, which keeps
    standing on its feet. A wedge stands on its bottom, its top or an end.
    """
    cone_axis = _CONE_AXIS[firing]
    found: list[Orientation] = []
    for turn in _quarter_turns():
        cone = turn @ cone_axis
        up = tuple(round(v) for v in turn.T @ np.array([0.0, 0.0, 1.0]))
        if firing == "down":
            if up != (0, 0, 1):
                continue
        elif cone[2] < -0.5:
            continue
        if wedge and up[0] != 0:
            continue
        facing = tuple(round(v) for v in cone)
        name = f"{_POSTURE[up]}, cone {_FACING[facing]}"
        if abs(cone[2]) > 0.5 and abs(turn[0, 0]) + abs(turn[0, 2]) < 0.5:
            name += ", turned a quarter"
        if wedge and firing != "front":
            name += f", leaning side {_FACING[tuple(round(v) for v in turn[:, 0])]}"
        if any(other.name == name for other in found):
            continue
        rank = {"upright": 0, "on its back": 1, "upside down": 3}.get(_POSTURE[up], 2)
        found.append(Orientation(name=name, turn=turn, cone=cone, rank=rank))
    found.sort(key=lambda o: o.rank)
    return tuple(found)


def ways_of_body(firing: str, *, round_: str = "") -> tuple[Orientation, ...]:
    """Return the allowed ways to stand for a box without symmetry, or a round one.

    Parameters
    ----------
    firing : str
    round_ : str
        "standing" and "lying" for round boxes, which do not change by a turn about their
        axis: the one keeps its axis upright, the other looks to any side.
    """
    cone_axis = _CONE_AXIS[firing]
    found: list[Orientation] = []
    seen: set[tuple[int, ...]] = set()
    for turn in _quarter_turns():
        cone = turn @ cone_axis
        up = tuple(round(v) for v in turn.T @ np.array([0.0, 0.0, 1.0]))
        axis = tuple(round(v) for v in turn[:, 0 if round_ == "lying" else 2])
        if (firing == "down" and up != (0, 0, 1)) or (firing != "down" and cone[2] < -0.5):
            continue
        if (round_ == "standing" and up[2] == 0) or (round_ and axis in seen):
            continue
        seen.add(axis)
        name = f"{_POSTURE[up]}, cone {_FACING[tuple(round(v) for v in cone)]}"
        if not round_:
            name += _other_side(turn, cone)
        rank = {"upright": 0, "on its back": 1, "upside down": 3}.get(_POSTURE[up], 2)
        found.append(Orientation(name=name, turn=turn, cone=cone, rank=rank))
    found.sort(key=lambda way: way.rank)
    return tuple(found)


def _other_side(turn: Floats, cone: Floats) -> str:
    """Say where the top or the front looks, when posture and cone leave it open."""
    if abs(cone[2]) < 0.5:
        return ""
    if abs(turn[2, 2]) > 0.5:
        return f", front {_FACING[tuple(round(v) for v in -turn[:, 0])]}"
    return f", top {_FACING[tuple(round(v) for v in turn[:, 2])]}"


def tilted_way(way: Orientation, tilt: Tilt) -> Orientation:
    """Return a way to stand, tilted."""
    return Orientation(
        name=f"{way.name}, {tilt.words}",
        turn=tilt.turn @ way.turn,
        cone=tilt.turn @ way.cone,
        rank=4,
        tilt=tilt,
    )


def sizes_apart(ways: tuple[Orientation, ...]) -> tuple[Orientation, ...]:
    """Return the first of the ways that put a cuboid's sizes along the same axes."""
    seen: dict[tuple[int, int, int], Orientation] = {}
    for way in ways:
        seen.setdefault(way.axis_of, way)
    return tuple(seen.values())


def growth(
    orientation: Orientation, clearance_m: float, face_air_m: Floats
) -> tuple[Floats, Floats]:
    """Return the air wanted at the low and the high side of each own axis [m].

    No air is wanted below, where the box stands. Elsewhere it is the larger of
    `clearance_m` and what the face wants.

    Parameters
    ----------
    face_air_m : ndarray, shape (n, 6)
        See :attr:`basswright.space.boxes.BoxTable.face_air_m`.

    Returns
    -------
    low, high : ndarray, shape (n, 3)
    """
    air = np.maximum(face_air_m, clearance_m)
    air[:, foot_face(orientation)] = 0.0
    return np.ascontiguousarray(air[:, ::2]), np.ascontiguousarray(air[:, 1::2])


def foot_face(orientation: Orientation) -> int:
    """Return the number of the face that a box stands on, see `FACES`."""
    down = orientation.turn.T @ np.array([0.0, 0.0, -1.0])
    axis = int(np.abs(down).argmax())
    return 2 * axis + int(down[axis] > 0)


def allowed(ways: tuple[Orientation, ...], never_down: Bools) -> tuple[Orientation, ...]:
    """Return the ways in which a box does not stand on a face that it must not stand on.

    Parameters
    ----------
    never_down : ndarray of bool, shape (6,) or (0,)
        Where they leave no way at all, all ways are kept.
    """
    if not never_down.any():
        return ways
    return tuple(way for way in ways if not never_down[foot_face(way)]) or ways


def firing_name(index: int) -> str:
    """Return the name of a firing index of a :class:`~basswright.space.boxes.BoxTable`."""
    return FIRING[index]

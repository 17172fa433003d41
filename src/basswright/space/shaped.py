"""Do bevelled, L-shaped and round boxes go in? Exactly, box by box.

Each convex part with its air has to be clear of each keep-out. Margin: how far the body
could be made thicker along the tightest axis of the car; for one that does not go in,
the smallest cut of a single size, all its parts kept in proportion.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from basswright.space.arrays import Floats, Ints
from basswright.space.boxes import FIRING, BoxTable
from basswright.space.fit import TOUCH_M, Standing
from basswright.space.obstacles import Shape
from basswright.space.orientations import (
    Orientation,
    allowed,
    tilted_way,
    ways_of_body,
)
from basswright.space.parts import Part, scaled
from basswright.space.solids import LEAST_SIDE_M, Solid
from basswright.space.unions import envelope_takes, growth, spot

_SAME = 0.999
_NEAR_M = 5e-5  # a cut is found to within this [m]


@dataclass(frozen=True, kw_only=True, eq=False)
class Body:
    """A box of convex parts, with what its faces want of air.

    Attributes
    ----------
    parts : tuple of Part
        In its own frame.
    clearance_m : float
        Air on every side but below.
    face_air_m : ndarray, shape (6,)
        What each face wants besides, see :mod:`basswright.space.faces`.
    """

    parts: tuple[Part, ...]
    clearance_m: float
    face_air_m: Floats

    def standing(self, turn: Floats, down: Floats) -> tuple[list[Shape], Floats]:
        """Return the parts with their air, turned, and where their own frame's origin is.

        Parameters
        ----------
        turn : ndarray, shape (3, 3)
        down : ndarray, shape (3,)
            Own direction of the side that it stands on.

        Returns
        -------
        shapes : list of Shape
            The lowest corner has height 0.
        origin : ndarray, shape (3,)
        """
        ways = [sign * axis for axis in np.eye(3) for sign in (-1.0, 1.0)]
        reach = [self._reach(way) for way in ways]
        shapes = []
        for part in self.parts:
            air = np.full(len(part.b), self.clearance_m)
            for way, far, wanted in zip(ways, reach, self.face_air_m, strict=True):
                here = (part.A @ way > _SAME) & (part.b > far - 1e-6)
                air[here] = 0.0 if way @ down > _SAME else max(wanted, self.clearance_m)
            shapes.append(_shape(part, part.corners(air) @ turn.T, turn))
        lowest = min(float(shape[0][:, 2].min()) for shape in shapes)
        lift = np.array([0.0, 0.0, -lowest])
        for corners, _, _ in shapes:
            corners += lift
        return shapes, lift

    def _reach(self, way: Floats) -> float:
        return max(float((part.corners() @ way).max()) for part in self.parts)

    def cut(self, own_axis: int, cut_m: float) -> Body:
        """Return the body with one of its sizes made smaller, its air the same."""
        size = self._reach(np.eye(3)[own_axis])
        factor = np.ones(3)
        factor[own_axis] = (size - cut_m) / size
        return Body(
            parts=tuple(scaled(part, factor) for part in self.parts),
            clearance_m=self.clearance_m,
            face_air_m=self.face_air_m,
        )


def _shape(part: Part, corners: Floats, turn: Floats) -> Shape:
    along = corners[part.edges[:, 1]] - corners[part.edges[:, 0]]
    along = along / np.maximum(np.linalg.norm(along, axis=1, keepdims=True), 1e-12)
    faces = part.A @ turn.T
    edges = np.hstack([along, faces[part.edges[:, 2]], faces[part.edges[:, 3]]])
    return np.ascontiguousarray(corners), np.ascontiguousarray(faces), edges


@dataclass(frozen=True, kw_only=True, eq=False)
class _Answer:
    room_m: float
    axis: int
    surfaces: Ints
    tolerance_m: float
    way: Orientation


def body_of(boxes: BoxTable, row: int, clearance_m: float) -> Body:
    """Return a box of a table as a body with its air."""
    parts = boxes.parts[row]
    assert parts is not None
    return Body(
        parts=parts,
        clearance_m=clearance_m,
        face_air_m=boxes.face_air_m[row],
    )


def stand_shaped(solid: Solid, boxes: BoxTable, rows: Ints, clearance_m: float) -> Standing:
    """Return the best way to stand for boxes that are neither cuboids nor wedges."""
    answers = []
    for row in rows:
        body = body_of(boxes, int(row), clearance_m)
        ways = ways_of_body(FIRING[int(boxes.firing[row])], round_=boxes.round_[row])
        if len(boxes.never_down):
            ways = allowed(ways, boxes.never_down[row])
        answers.append(_best(solid, body, ways))
    ways = tuple({answer.way.name: answer.way for answer in answers}.values())
    number = {way.name: index for index, way in enumerate(ways)}
    return Standing(
        room_m=np.array([answer.room_m for answer in answers]),
        axis=np.array([answer.axis for answer in answers], dtype=np.int64),
        surfaces=np.stack([answer.surfaces for answer in answers]),
        tolerance_m=np.array([answer.tolerance_m for answer in answers]),
        way=np.array([number[answer.way.name] for answer in answers], dtype=np.int64),
        ways=ways,
    )


def _best(solid: Solid, body: Body, ways: Sequence[Orientation]) -> _Answer:
    """Return the first kind of way that surely goes in, else the best that there is."""
    enough = solid.tolerance_m
    found: list[_Answer] = []
    tilted = [tilted_way(way, space.tilt) for space in solid.tilted for way in ways]
    for rank in range(5):
        own = tilted if rank == 4 else [way for way in ways if way.rank == rank]
        here = [answer for way in own if (answer := _try(solid, body, way)) is not None]
        if here:
            best = max(here, key=lambda answer: answer.room_m)
            found.append(best)
            if best.room_m > enough:
                return best
    if found:
        return max(found, key=lambda answer: answer.room_m)
    return _smallest_cut(solid, body, ways)


def _try(solid: Solid, body: Body, way: Orientation) -> _Answer | None:
    """Return the room of a body in one way to stand; None where it does not go in."""
    shapes, _ = body.standing(way.turn, _down(way))
    every = np.vstack([shape[0] for shape in shapes])
    if not envelope_takes(solid, every[None])[0]:
        return None
    answer: _Answer | None = None
    for axis in range(3):
        room, multipliers, surfaces = growth(solid, shapes, axis)
        if room < -TOUCH_M:
            return None
        if answer is None or room < answer.room_m:
            tolerance = (multipliers * np.append(solid.tolerances_m, 0.0)[surfaces]).sum()
            answer = _Answer(
                room_m=room,
                axis=axis,
                surfaces=surfaces,
                tolerance_m=max(float(tolerance), solid.tolerance_m),
                way=way,
            )
    return answer


def _down(way: Orientation) -> Floats:
    """Return the own direction of the side that a box stands on."""
    square = way.turn if way.tilt is None else way.tilt.turn.T @ way.turn
    return np.asarray(np.round(square.T @ np.array([0.0, 0.0, -1.0])))


def _smallest_cut(solid: Solid, body: Body, ways: Sequence[Orientation]) -> _Answer:
    """Return the least that one size has to shrink by, over all ways to stand."""
    least, best = np.inf, None
    for way in ways:
        for axis in range(3):
            own = way.axis_of[axis]
            size = body._reach(np.eye(3)[own])
            most = min(size - LEAST_SIDE_M, least - _NEAR_M)
            if most <= 0 or _try(solid, body.cut(own, most), way) is None:
                continue
            low, high = 0.0, most
            while high - low > _NEAR_M:
                middle = (low + high) / 2
                if _try(solid, body.cut(own, middle), way) is None:
                    low = middle
                else:
                    high = middle
            least, best = high, (way, axis)
    if best is None:
        return _lost(solid, body, ways[0])
    way, axis = best
    shapes, _ = body.cut(way.axis_of[axis], least).standing(way.turn, _down(way))
    _, multipliers, surfaces = growth(solid, shapes, axis)
    tolerance = (multipliers * np.append(solid.tolerances_m, 0.0)[surfaces]).sum()
    return _Answer(
        room_m=-least,
        axis=axis,
        surfaces=surfaces,
        tolerance_m=max(float(tolerance), solid.tolerance_m),
        way=way,
    )


def _lost(solid: Solid, body: Body, way: Orientation) -> _Answer:
    """Return the answer where no cut of a single size helps."""
    longest = max(body._reach(way_) for way_ in np.eye(3))
    return _Answer(
        room_m=-longest,
        axis=3,
        surfaces=np.full(3, -1, np.int64),
        tolerance_m=solid.tolerance_m,
        way=way,
    )


def shaped_place(solid: Solid, body: Body, way: Orientation) -> Floats:
    """Return where the own frame's origin of a body stands, shape (3,) [m].

    A body that does not go in is shown in the middle, against what stands in front.
    """
    shapes, origin = body.standing(way.turn, _down(way))
    found = spot(solid, shapes, toward="front")
    if found is None:
        every = np.vstack([shape[0] for shape in shapes])
        here = every + np.array([0.0, 0.0, solid.floor_m])
        front = solid.A[:, 0] > 0.3
        slack = (solid.b - (here @ solid.A.T).max(axis=0))[front] / solid.A[front, 0]
        x = float(slack.min()) if front.any() else -float(every[:, 0].max())
        found = (x, -float(every[:, 1].min() + every[:, 1].max()) / 2)
    return np.asarray(origin + np.array([found[0], found[1], solid.floor_m]))

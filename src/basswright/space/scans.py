"""A scan turned into the same question as a tape-measured space.

Large flat surfaces that have all other points on one side bound the space; what stands
out from them becomes convex keep-outs, filled up to the nearest boundary. Which flat
surface is the floor, the seat back or a side is a proposal for a person to confirm.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from basswright.errors import InputError
from basswright.records.space import FreeSpace, Hull, Opening, Plane
from basswright.space.arrays import Floats
from basswright.space.flats import Spread, largest_flat, shared_out, spread_of, straightened
from basswright.space.polytope import corners
from basswright.space.scan_bodies import bodies
from basswright.space.scan_files import Crop, read_scan

#: How far surfaces taken from a scan may be off at least [m]; three times its noise if more.
TOLERANCE_M = 0.01

_LEAST_SHARE = 0.007
_LEVEL_DEG = 20.0  # a floor that lies so far out of level is none
_MOST_PLANES = 28

_AXES = {
    "x": (1.0, 0.0, 0.0),
    "-x": (-1.0, 0.0, 0.0),
    "y": (0.0, 1.0, 0.0),
    "-y": (0.0, -1.0, 0.0),
    "z": (0.0, 0.0, 1.0),
    "-z": (0.0, 0.0, -1.0),
}


@dataclass(frozen=True, kw_only=True)
class Scanned:
    """A load space from a scan, with what was done and what has to be confirmed.

    Attributes
    ----------
    space : FreeSpace
    notes : tuple of str
    floor_confidence : float
        How sure it is which surface is the floor, 0 to 1.
    questions : tuple of str
        What a person has to answer where that is in doubt.
    """

    space: FreeSpace
    notes: tuple[str, ...]
    floor_confidence: float
    questions: tuple[str, ...]


def scan(
    path: Path,
    opening: Opening,
    *,
    unit: str = "m",
    up: str = "z",
    front: str = "x",
    crop: Crop | None = None,
) -> Scanned:
    """Turn a scan into a load space.

    Parameters
    ----------
    path : Path
        PLY, OBJ, STL or GLB.
    opening : Opening
        Measured by tape; a scan from inside does not show it.
    unit : str
        Unit of the file: "mm", "cm", "in", "ft", "m" or "km".
    up, front : str
        Which axis of the file points up, and which towards the front of the car: "x",
        "-x", "y", "-y", "z" or "-z".
    crop : Crop, optional
        Two opposite corners of a box, in the numbers and axes of the file: only what
        lies in it counts.

    Returns
    -------
    Scanned

    Raises
    ------
    InputError
        Unreadable, wrong unit, axes that are not square, or no floor found.
    TooLargeError
        Too large a file; it is not opened.
    """
    turn = _turn(up, front)
    cloud = read_scan(path, unit=unit, crop=crop)
    points = cloud.points @ turn.T
    spread = spread_of(points)
    normals, offsets, shares = _planes(points, spread)
    names, level = _named(normals, offsets, shares, path)
    confidence, questions = _floor_doubts(normals, shares, names)
    points, normals = points @ level.T, normals @ level.T
    normals, offsets = straightened(points, (normals, offsets), spread)
    normals, offsets, names, closed = _closed(points, normals, offsets, names)
    shift = _origin(normals, offsets, names)
    points, offsets = points + shift, offsets + normals @ shift
    obstacles, small = bodies(points, normals, offsets, spread)
    if _hang(obstacles, offsets[names.index("top")]):
        confidence /= 2
        questions.append(
            "more stands out from the top than from the floor: is the scan the right way up?"
        )
    notes = [*cloud.notes, *closed]
    if small:
        notes.append(f"{small} small clusters of points taken for noise")
    notes.append("please confirm: " + ", ".join(names))
    space = FreeSpace(
        kind="scan",
        planes=tuple(
            Plane(name=name, normal=_triple(normal), point_m=_triple(normal * offset))
            for name, normal, offset in zip(names, normals, offsets, strict=True)
        ),
        bodies=obstacles,
        opening=opening,
        tolerance_m=min(max(TOLERANCE_M, 3 * spread.noise_m), 0.1),
    )
    return Scanned(
        space=space,
        notes=tuple(notes),
        floor_confidence=confidence,
        questions=tuple(questions),
    )


def _triple(values: Floats) -> tuple[float, float, float]:
    return float(values[0]), float(values[1]), float(values[2])


def _turn(up: str, front: str) -> Floats:
    for field, value in (("up", up), ("front", front)):
        if value not in _AXES:
            raise InputError("not an axis", field=field, value=value, allowed=", ".join(_AXES))
    z, x = np.array(_AXES[up]), np.array(_AXES[front])
    if abs(x @ z) > 0.5:
        raise InputError(
            "up and front lie on one line", field="up, front", value=f"{up} and {front}"
        )
    return np.stack([x, np.cross(z, x), z])


def _planes(points: Floats, spread: Spread) -> tuple[Floats, Floats, Floats]:
    """Find flat surfaces that bound the cloud: unit normals outwards, offsets, shares."""
    rng = np.random.default_rng(0)
    left = points
    normals, offsets, shares = [], [], []
    for _ in range(_MOST_PLANES):
        if len(left) < _LEAST_SHARE * len(points):
            break
        normal, offset, on = largest_flat(left, rng, spread.flat_m)
        if on.mean() * len(left) < _LEAST_SHARE * len(points):
            break
        side = points @ normal - offset
        share = float(on.sum()) / len(points)
        left = left[~on]
        for sign in (1.0, -1.0):
            if (sign * side > spread.out_m).mean() < 0.004:
                normals.append(sign * normal)
                offsets.append(sign * offset)
                shares.append(share)
                break
    if not normals:
        return np.zeros((0, 3)), np.zeros(0), np.zeros(0)
    return *shared_out(points, np.array(normals), np.array(offsets), spread), np.array(shares)


def _named(
    normals: Floats, offsets: Floats, shares: Floats, path: Path
) -> tuple[list[str], Floats]:
    """Name the boundaries by where they face, and return the turn that levels the floor."""
    down = -normals[:, 2] if len(normals) else np.zeros(0)
    if not len(down) or down.max() < 0.9:
        raise InputError(
            "no floor found: no large flat surface faces up",
            item=path.name,
            allowed="another axis as 'up', or a scan that shows the floor",
        )
    floor = int(np.where(down > 0.9, shares, -1.0).argmax())
    level = _levelling(-normals[floor])
    names: list[str] = []
    for index, normal in enumerate(normals @ level.T):
        if index == floor:
            names.append("floor")
            continue
        axis = int(np.abs(normal).argmax())
        name = (("rear", "seat back"), ("right side", "left side"), ("underside", "top"))[axis][
            int(normal[axis] > 0)
        ]
        count = sum(other.startswith(name) for other in names)
        names.append(f"{name} {count + 1}" if count else name)
    return names, level


def _floor_doubts(normals: Floats, shares: Floats, names: list[str]) -> tuple[float, list[str]]:
    """Return how sure the floor is, and what to ask where it is not."""
    floor = names.index("floor")
    down = -normals[:, 2]
    rivals = [k for k in np.flatnonzero(down > 0.7) if k != floor]
    tilt = float(np.degrees(np.arccos(np.clip(down[floor], -1.0, 1.0))))
    rival = max((float(shares[k]) for k in rivals), default=0.0)
    share = float(shares[floor])
    confidence = share / (share + rival) * max(0.0, 1.0 - tilt / _LEVEL_DEG)
    questions = []
    if rival > share / 3:
        questions.append(
            f"two surfaces face up, {share:.0%} and {rival:.0%} of the scan: is the larger one "
            "the load floor?"
        )
    if tilt > _LEVEL_DEG / 4:
        questions.append(f"the floor lies {tilt:.0f}° out of level in the scan: is 'up' right?")
    return confidence, questions


def _hang(obstacles: tuple[Hull, ...], top_m: float) -> bool:
    """Say whether more obstacles hang from the top than stand on the floor."""
    heights = [[point[2] for point in hull.points_m] for hull in obstacles]
    standing = sum(min(z) < 0.0 for z in heights)
    return sum(max(z) > top_m for z in heights if min(z) > 0.0) > standing


def _levelling(up: Floats) -> Floats:
    """Return the smallest turn that takes a direction to straight up (Rodrigues)."""
    target = np.array([0.0, 0.0, 1.0])
    v, c = np.cross(up, target), float(up @ target)
    skew = np.array([[0, -v[2], v[1]], [v[2], 0, -v[0]], [-v[1], v[0], 0]])
    return np.asarray(np.eye(3) + skew + skew @ skew / (1 + c))


def _closed(
    points: Floats, normals: Floats, offsets: Floats, names: list[str]
) -> tuple[Floats, Floats, list[str], list[str]]:
    """Close the space with upright planes on sides where no flat surface was found."""
    notes = []
    reach = np.percentile(points, [0.5, 99.5], axis=0)
    missing = (
        ("seat back", np.array([1.0, 0, 0]), reach[1, 0]),
        ("rear", np.array([-1.0, 0, 0]), -reach[0, 0]),
        ("left side", np.array([0, 1.0, 0]), reach[1, 1]),
        ("right side", np.array([0, -1.0, 0]), -reach[0, 1]),
        ("top", np.array([0, 0, 1.0]), reach[1, 2]),
    )
    for name, normal, offset in missing:
        if name in names:
            continue
        normals = np.vstack([normals, normal])
        offsets = np.append(offsets, offset)
        names = [*names, name]
        notes.append(f"no flat {name} found: the space ends at the last points there")
    return normals, offsets, names, notes


def _origin(normals: Floats, offsets: Floats, names: list[str]) -> Floats:
    """Return the shift that puts the origin at the foot of the seat back, in the middle."""
    at = {name: index for index, name in enumerate(names)}
    rows = [at["floor"], at["seat back"]]
    floor_seat = normals[rows][:, [0, 2]]
    x, z = np.linalg.solve(floor_seat, offsets[rows])
    corner = corners(normals, offsets)
    y = (corner[:, 1].min() + corner[:, 1].max()) / 2
    return -np.array([x, y, z])

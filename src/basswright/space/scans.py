"""A scan turned into the same question as a tape-measured space.

Large flat surfaces that have all other points on one side bound the space; what stands
out from them becomes convex keep-outs, filled up to the nearest boundary. Which flat
surface is the floor, the seat back or a side is a proposal for a person to confirm.

References
----------
.. [1] M. A. Fischler, R. C. Bolles, "Random sample consensus", Communications of the ACM
   24 (1981), pp. 381-395.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from basswright.errors import InputError
from basswright.records.space import FreeSpace, Hull, Opening, Plane
from basswright.space.arrays import Bools, Floats
from basswright.space.polytope import convex, corners
from basswright.space.scan_files import read_scan

#: How far surfaces taken from a scan may be off [m].
TOLERANCE_M = 0.01

_FLAT_M = 0.008
_STANDS_OUT_M = 0.02
_VOXEL_M = 0.04
_TRIES = 400
_LEAST_SHARE = 0.007
_MOST_PLANES = 28
_MOST_BODIES = 12

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
    """

    space: FreeSpace
    notes: tuple[str, ...]


def scan(
    path: Path, opening: Opening, *, unit: str = "m", up: str = "z", front: str = "x"
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
    cloud = read_scan(path, unit=unit)
    points = cloud.points @ turn.T
    normals, offsets, shares = _planes(points)
    names, level = _named(normals, offsets, shares, path)
    points, normals = points @ level.T, normals @ level.T
    normals, offsets, names, closed = _closed(points, normals, offsets, names)
    shift = _origin(normals, offsets, names)
    points, offsets = points + shift, offsets + normals @ shift
    bodies, small = _bodies(points, normals, offsets)
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
        bodies=bodies,
        opening=opening,
        tolerance_m=TOLERANCE_M,
    )
    return Scanned(space=space, notes=tuple(notes))


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


def _planes(points: Floats) -> tuple[Floats, Floats, Floats]:
    """Find flat surfaces that bound the cloud: unit normals outwards, offsets, shares."""
    rng = np.random.default_rng(0)
    left = points
    normals, offsets, shares = [], [], []
    for _ in range(_MOST_PLANES):
        if len(left) < _LEAST_SHARE * len(points):
            break
        normal, offset, on = _largest_plane(left, rng)
        if on.mean() * len(left) < _LEAST_SHARE * len(points):
            break
        side = points @ normal - offset
        share = float(on.sum()) / len(points)
        left = left[~on]
        for sign in (1.0, -1.0):
            if (sign * side > _STANDS_OUT_M).mean() < 0.004:
                normals.append(sign * normal)
                offsets.append(sign * offset)
                shares.append(share)
                break
    return np.array(normals).reshape(-1, 3), np.array(offsets), np.array(shares)


def _largest_plane(points: Floats, rng: np.random.Generator) -> tuple[Floats, float, Bools]:
    """RANSAC on a thinned cloud, then two least-squares fits to all points near it."""
    few = points if len(points) < 4000 else points[rng.choice(len(points), 4000, replace=False)]
    triples = few[rng.integers(0, len(few), (_TRIES, 3))]
    normal = np.cross(triples[:, 1] - triples[:, 0], triples[:, 2] - triples[:, 0])
    size = np.linalg.norm(normal, axis=1)
    normal = normal[size > 1e-9] / size[size > 1e-9, None]
    offset = (normal * triples[size > 1e-9, 0]).sum(axis=1)
    count = (np.abs(few @ normal.T - offset) < _FLAT_M).sum(axis=0)
    best = int(count.argmax())
    n, d = normal[best], float(offset[best])
    for _ in range(3):
        near = points[np.abs(points @ n - d) < _FLAT_M]
        middle = near.mean(axis=0)
        _, _, axes = np.linalg.svd(near - middle, full_matrices=False)
        n = axes[2]
        d = float(n @ middle)
    return n, d, np.abs(points @ n - d) < 2 * _FLAT_M


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


def _bodies(points: Floats, normals: Floats, offsets: Floats) -> tuple[tuple[Hull, ...], int]:
    """Make convex keep-outs of what stands out from the boundaries."""
    from scipy.ndimage import label

    depth = offsets - points @ normals.T
    inside = points[(depth > _STANDS_OUT_M).all(axis=1)]
    if not len(inside):
        return (), 0
    low = inside.min(axis=0)
    cells = ((inside - low) / _VOXEL_M).astype(int)
    grid = np.zeros(cells.max(axis=0) + 1, dtype=int)
    np.add.at(grid, tuple(cells.T), 1)
    labels, _ = label(grid > 0, structure=np.ones((3, 3, 3)))
    own = labels[tuple(cells.T)]
    clusters = [inside[own == k] for k in range(1, own.max() + 1)]
    clusters.sort(key=len, reverse=True)
    large = [c for c in clusters if len(c) >= max(40, 0.0015 * len(points))][:_MOST_BODIES]
    bodies = tuple(
        Hull(name=f"obstacle {number}", points_m=_filled(cluster, normals, offsets))
        for number, cluster in enumerate(large, start=1)
    )
    return bodies, len(clusters) - len(large)


def _filled(
    cluster: Floats, normals: Floats, offsets: Floats
) -> tuple[tuple[float, float, float], ...]:
    """Return the corners of a plain hull round a cluster, filled up to what it rests on."""
    slack = offsets - cluster @ normals.T
    whole = [cluster]
    for k, normal in enumerate(normals):
        close = slack[:, k] < 2.5 * _STANDS_OUT_M
        if close.mean() > 0.01:
            whole.append(cluster[close] + slack[close][:, [k]] * normal)
    points = np.vstack(whole)
    eye = np.eye(3)
    slants = [eye[0] + eye[2], eye[0] - eye[2], eye[1] + eye[2], eye[1] - eye[2]]
    ways = np.vstack([eye, -eye, slants, [-s for s in slants]])
    ways = ways / np.linalg.norm(ways, axis=1, keepdims=True)
    reach = np.percentile(points @ ways.T, 99.0, axis=0)
    hull = convex(ways, reach)
    return tuple(_triple(np.round(corner, 5)) for corner in hull.vertices)

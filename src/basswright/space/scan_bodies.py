"""What stands out from the boundaries of a scan, as convex keep-outs.

The flat faces of an obstacle are fitted to many points each, so that they lie closer to
the truth than any single point; round parts are wrapped by planes in fixed directions.
"""

from __future__ import annotations

import numpy as np

from basswright.records.space import Hull
from basswright.space.arrays import Floats
from basswright.space.flats import Spread, largest_flat, shared_out, straightened
from basswright.space.polytope import convex, corners

_VOXEL_M = 0.035
_MOST_BODIES = 12
_MOST_FACES = 8
_LEAST_POINTS = 40
_LEAST_SHARE = 0.0015  # of all points: fewer are noise
_FACE_SHARE = 0.04  # of an obstacle's points: fewer make no face
_BEYOND_SHARE = 0.02  # so many points of an obstacle may lie beyond one of its faces
_BLUNT_M = 0.004  # a plane that cuts off less than this is left out
_ANGULAR_SHARE = 0.85  # with so many points on its faces an obstacle has no round parts
_ANGULAR_TIMES = 1.5  # what a scan shows of an angular one ends so many times `out_m` short
_MOST_PLANES = 8
_BEHIND_M = 0.1
_STRAIGHT = 0.008


def bodies(
    points: Floats, normals: Floats, offsets: Floats, spread: Spread
) -> tuple[tuple[Hull, ...], int]:
    """Make convex keep-outs of what stands out from the boundaries.

    Parameters
    ----------
    points : ndarray, shape (n, 3)
    normals, offsets : ndarray, shape (m, 3) and (m,)
        Boundaries, normals pointing out of the space.
    spread : Spread

    Returns
    -------
    hulls : tuple of Hull
    small : int
        How many clusters were taken for noise.
    """
    inside = points[(offsets - points @ normals.T > spread.out_m).all(axis=1)]
    clusters = _clusters(inside)
    least = max(_LEAST_POINTS, _LEAST_SHARE * len(points))
    large = [c for c in clusters if len(c) >= least][:_MOST_BODIES]
    hulls = tuple(
        Hull(name=f"obstacle {number}", points_m=_wrapped(cluster, normals, offsets, spread))
        for number, cluster in enumerate(large, start=1)
    )
    return hulls, len(clusters) - len(large)


def _clusters(points: Floats) -> list[Floats]:
    """Return points that hang together, the largest heap first."""
    from scipy.ndimage import label

    if not len(points):
        return []
    cells = ((points - points.min(axis=0)) / _VOXEL_M).astype(int)
    grid = np.zeros(cells.max(axis=0) + 1, dtype=int)
    np.add.at(grid, tuple(cells.T), 1)
    labels, count = label(grid > 1, structure=np.ones((3, 3, 3)))
    own = labels[tuple(cells.T)]
    found = [points[own == k] for k in range(1, count + 1)]
    found.sort(key=len, reverse=True)
    return found


def _wrapped(
    cluster: Floats, normals: Floats, offsets: Floats, spread: Spread
) -> tuple[tuple[float, float, float], ...]:
    """Return the corners of a plain hull round a cluster, filled up to what it rests on.

    Planes that cut off next to nothing inside the space are left out; behind the
    boundaries the hull goes on for a little.
    """
    face_ways, face_reach = _faces(cluster, spread)
    own_ways, own_reach = _wrapping(cluster, normals, offsets, spread)
    ways, reach = np.vstack([face_ways, own_ways]), np.concatenate([face_reach, own_reach])
    off = np.abs(cluster @ face_ways.T - face_reach)
    angular = len(face_ways) and (off.min(axis=1) < spread.flat_m).mean() > _ANGULAR_SHARE
    blunt = np.full(len(ways), spread.out_m * _ANGULAR_TIMES if angular else _BLUNT_M)
    blunt[: len(face_ways)] = _BLUNT_M / 2
    kept = _plain(ways, reach, (normals, offsets), blunt)
    while len(kept) > _MOST_PLANES and blunt.min() < spread.out_m:
        blunt *= 1.5
        kept = _plain(ways, reach, (normals, offsets), blunt)
    space = corners(normals, offsets)
    low, high = space.min(axis=0) - _BEHIND_M, space.max(axis=0) + _BEHIND_M
    eye = np.eye(3)
    hull = convex(np.vstack([ways[kept], eye, -eye]), np.concatenate([reach[kept], high, -low]))
    return tuple(_triple(corner) for corner in hull.vertices)


def _plain(ways: Floats, reach: Floats, space: tuple[Floats, Floats], blunt: Floats) -> list[int]:
    """Return the planes of a hull without those that cut off less than `blunt` in the space."""
    normals, offsets = space
    kept = list(range(len(ways)))
    for own in range(len(ways) - 1, -1, -1):
        rest = [k for k in kept if k != own]
        inside = corners(np.vstack([ways[rest], normals]), np.concatenate([reach[rest], offsets]))
        if not len(inside) or (inside @ ways[own]).max() - reach[own] < blunt[own]:
            kept = rest
    return kept


def _triple(values: Floats) -> tuple[float, float, float]:
    return float(values[0]), float(values[1]), float(values[2])


def _faces(cluster: Floats, spread: Spread) -> tuple[Floats, Floats]:
    """Return the flat faces of an obstacle that have all of it on one side."""
    rng = np.random.default_rng(0)
    left, least = cluster, max(_LEAST_POINTS, _FACE_SHARE * len(cluster))
    normals, offsets = [], []
    for _ in range(_MOST_FACES):
        if len(left) < least:
            break
        normal, offset, on = largest_flat(left, rng, spread.flat_m)
        if on.sum() < least:
            break
        left = left[~on]
        normals.append(normal)
        offsets.append(offset)
    if not normals:
        return np.zeros((0, 3)), np.zeros(0)
    flats = shared_out(cluster, np.array(normals), np.array(offsets), spread)
    ways, reach = straightened(cluster, flats, spread, _STRAIGHT)
    side = cluster @ ways.T - reach
    above = (side > spread.flat_m).mean(axis=0) < _BEYOND_SHARE
    below = (-side > spread.flat_m).mean(axis=0) < _BEYOND_SHARE
    sign = np.where(above, 1.0, -1.0)
    faces = above | below
    return (ways * sign[:, None])[faces], (reach * sign)[faces]


def _wrapping(
    cluster: Floats, normals: Floats, offsets: Floats, spread: Spread
) -> tuple[Floats, Floats]:
    """Return planes in fixed directions round a cluster and the wall that it stands on."""
    slack = offsets - cluster @ normals.T
    whole = [cluster]
    for k, normal in enumerate(normals):
        close = slack[:, k] < 2.5 * spread.out_m
        if close.mean() > 0.01:
            whole.append(cluster[close] + slack[close][:, [k]] * normal)
    points = np.vstack(whole)
    eye = np.eye(3)
    slants = [eye[0] + eye[2], eye[0] - eye[2], eye[1] + eye[2], eye[1] - eye[2]]
    slants += [eye[0] + eye[1], eye[0] - eye[1]]
    ways = np.vstack([eye, -eye, slants, [-s for s in slants]])
    ways = ways / np.linalg.norm(ways, axis=1, keepdims=True)
    return ways, np.percentile(points @ ways.T, 99.0, axis=0)

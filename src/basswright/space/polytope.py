"""Convex solids as half-spaces ``A x <= b``: corners, edges, volume.

Sizes are small (tens of planes), so corners come from all triples of planes.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np

from basswright.space.arrays import Floats, Ints

_TOUCH = 1e-9


@dataclass(frozen=True, kw_only=True, eq=False)
class Convex:
    """A convex solid that is bounded.

    Attributes
    ----------
    A, b : ndarray, shape (m, 3) and (m,)
        Half-spaces ``A x <= b`` with unit normals, none of them redundant.
    vertices : ndarray, shape (k, 3)
        Corners [m].
    edges : ndarray of int, shape (e, 4)
        Two corners and the two planes that meet there.
    """

    A: Floats
    b: Floats
    vertices: Floats
    edges: Ints


def corners(A: Floats, b: Floats) -> Floats:
    """Return the corners of ``A x <= b``, shape (k, 3); empty where nothing is left."""
    triples = np.array(list(combinations(range(len(b)), 3)), dtype=np.int64).reshape(-1, 3)
    planes = A[triples]
    sound = np.abs(np.linalg.det(planes)) > 1e-9
    points = np.linalg.solve(planes[sound], b[triples[sound]][..., None])[..., 0]
    inside = (points @ A.T <= b + _TOUCH).all(axis=1)
    found: list[Floats] = []
    for point in points[inside]:
        if not any(np.abs(point - other).max() < 1e-7 for other in found):
            found.append(point)
    return np.array(found).reshape(-1, 3)


def faces_of(A: Floats, b: Floats, vertices: Floats) -> Ints:
    """Return the indices of the planes that carry a face (three corners or more)."""
    on = np.abs(vertices @ A.T - b) < 1e-6
    return np.flatnonzero(on.sum(axis=0) >= 3)


def convex(A: Floats, b: Floats) -> Convex:
    """Build a bounded convex solid from half-spaces, dropping those that carry no face.

    Raises
    ------
    ValueError
        Where the half-spaces leave no volume.
    """
    length = np.linalg.norm(A, axis=1)
    A, b = _distinct(A / length[:, None], b / length)
    vertices = corners(A, b)
    if len(vertices) < 4 or np.linalg.matrix_rank(vertices - vertices[0], tol=1e-7) < 3:
        raise ValueError("the planes leave no volume")
    keep = faces_of(A, b, vertices)
    A, b = A[keep], b[keep]
    return Convex(A=A, b=b, vertices=vertices, edges=_edges(A, b, vertices))


def _distinct(A: Floats, b: Floats) -> tuple[Floats, Floats]:
    planes = np.column_stack([A, b])
    keep = [
        i
        for i in range(len(planes))
        if not any(np.abs(planes[i] - planes[j]).max() < 1e-9 for j in range(i))
    ]
    return A[keep], b[keep]


def _edges(A: Floats, b: Floats, vertices: Floats) -> Ints:
    on = np.abs(vertices @ A.T - b) < 1e-6
    found = []
    for i, j in combinations(range(len(vertices)), 2):
        shared = np.flatnonzero(on[i] & on[j])
        if len(shared) < 2:
            continue
        others = on[:, shared].all(axis=1)
        if others.sum() == 2:
            found.append((i, j, shared[0], shared[-1]))
    return np.array(found, dtype=np.int64).reshape(-1, 4)


def cuboid(low: Floats, high: Floats) -> Convex:
    """Return the cuboid between two corners."""
    eye = np.eye(3)
    return convex(np.vstack([eye, -eye]), np.concatenate([high, -np.asarray(low)]))


def volume(A: Floats, b: Floats) -> float:
    """Return the volume of ``A x <= b`` [m3]; zero where nothing is left."""
    vertices = corners(A, b)
    if len(vertices) < 4:
        return 0.0
    centre = vertices.mean(axis=0)
    total = 0.0
    seen: list[Floats] = []
    for normal, offset in zip(A, b, strict=True):
        face = vertices[np.abs(vertices @ normal - offset) < 1e-7]
        plane = np.append(normal, offset)
        if len(face) < 3 or any(np.abs(plane - other).max() < 1e-9 for other in seen):
            continue
        seen.append(plane)
        total += _face_area(face, normal) * (offset - normal @ centre) / 3
    return float(total)


def _face_area(face: Floats, normal: Floats) -> float:
    ring = face[ring_order(face, normal)]
    across = np.cross(ring, np.roll(ring, -1, axis=0)).sum(axis=0)
    return abs(float(across @ normal)) / 2


def ring_order(face: Floats, normal: Floats) -> Ints:
    """Return the order in which the corners of a face run round it, seen from outside."""
    centre = face.mean(axis=0)
    first = np.cross(normal, [1.0, 0, 0] if abs(normal[0]) < 0.9 else [0, 1.0, 0])
    first /= np.linalg.norm(first)
    second = np.cross(normal, first)
    rays = face - centre
    return np.argsort(np.arctan2(rays @ second, rays @ first))


def volume_without(whole: Convex, parts: tuple[Convex, ...]) -> float:
    """Return the volume of a convex solid less the union of convex parts [m3].

    Inclusion and exclusion over the parts that overlap.
    """

    def union(start: int, A: Floats, b: Floats) -> float:
        total = 0.0
        for index in range(start, len(parts)):
            both_A = np.vstack([A, parts[index].A])
            both_b = np.concatenate([b, parts[index].b])
            own = volume(both_A, both_b)
            if own > 1e-12:
                total += own - union(index + 1, both_A, both_b)
        return total

    return volume(whole.A, whole.b) - union(0, whole.A, whole.b)

"""What may be wrong with a scanned mesh: holes, faces turned outwards, crossings, spikes."""

from __future__ import annotations

import numpy as np

from basswright.errors import InputError
from basswright.space.arrays import Bools, Floats, Ints

#: With so many triangles crossing others the surface means nothing.
MOST_CROSSING_SHARE = 0.6

_SPIKE_SHARE = 8.0
_SAID_CROSSING_SHARE = 0.01
_LOOKED_AT = 3000
_NEIGHBOURS = 24


def mesh_notes(vertices: Floats, faces: Ints, name: str) -> list[str]:
    """Return what was found in a mesh, in plain words.

    Parameters
    ----------
    vertices : ndarray, shape (v, 3)
    faces : ndarray of int, shape (f, 3)
        Without spikes.
    name : str
        Of the file.

    Raises
    ------
    InputError
        Where the surface crosses itself nearly everywhere.
    """
    pairs = np.sort(faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2), axis=1)
    _, counts = np.unique(pairs, axis=0, return_counts=True)
    notes = []
    if (counts == 1).any():
        notes.append(
            f"the mesh is open along {int((counts == 1).sum())} edges: only its surface counts"
        )
    if (counts > 2).any():
        notes.append(f"{int((counts > 2).sum())} edges join more than two triangles: no harm here")
    if _looks_outwards(vertices, faces):
        notes.append("the triangles look outwards: turned, as a space is seen from inside")
    share = crossing_share(vertices, faces)
    if share > MOST_CROSSING_SHARE:
        raise InputError(
            f"the surface crosses itself: {share:.0%} of its triangles cut through others",
            item=name,
            allowed="a single surface: scan again, or merge the parts in the scanner first",
        )
    if share > _SAID_CROSSING_SHARE:
        notes.append(
            f"about {share:.0%} of the triangles cut through others: the surface is folded or "
            "doubled there and its outermost and innermost parts both count"
        )
    return notes


def _looks_outwards(vertices: Floats, faces: Ints) -> bool:
    """Say whether most of the surface faces away from its middle."""
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    square = np.cross(b - a, c - a)
    middle = np.median(vertices[faces].reshape(-1, 3), axis=0)
    return bool((square * (a - middle)).sum() > 0.0)


def crossing_share(vertices: Floats, faces: Ints) -> float:
    """Return about what share of the triangles is cut by an edge of another one.

    A sample of triangles is tested against the nearest ones that share no corner with
    them.
    """
    from scipy.spatial import cKDTree

    corners = vertices[faces]
    middle = corners.mean(axis=1)
    rng = np.random.default_rng(0)
    count = min(_LOOKED_AT, len(faces))
    if count < 2:
        return 0.0
    own = rng.choice(len(faces), count, replace=False)
    _, near = cKDTree(middle).query(middle[own], k=min(_NEIGHBOURS, len(faces)))
    other = np.asarray(near).reshape(count, -1)
    one, two = np.repeat(own, other.shape[1]), other.reshape(-1)
    same = (corners[one][:, :, None] == corners[two][:, None, :]).all(axis=-1).any(axis=(1, 2))
    one, two = one[~same], two[~same]
    cut = np.zeros(len(one), dtype=bool)
    for k in range(3):
        cut |= _pierced(corners[one], corners[two][:, k], corners[two][:, (k + 1) % 3])
        cut |= _pierced(corners[two], corners[one][:, k], corners[one][:, (k + 1) % 3])
    return float(len(np.unique(one[cut])) / count)


def _pierced(triangle: Floats, start: Floats, end: Floats) -> Bools:
    """Say which segments go through which triangles, one by one.

    T. Moeller, B. Trumbore, "Fast, minimum storage ray-triangle intersection", Journal of
    Graphics Tools 2 (1997), pp. 21-28.
    """
    one, two = triangle[:, 1] - triangle[:, 0], triangle[:, 2] - triangle[:, 0]
    way, from_corner = end - start, start - triangle[:, 0]
    p, q = np.cross(way, two), np.cross(from_corner, one)
    scale = (one * p).sum(axis=1)
    sound = np.abs(scale) > 1e-15
    scale = np.where(sound, scale, 1.0)
    u = (from_corner * p).sum(axis=1) / scale
    v = (way * q).sum(axis=1) / scale
    t = (two * q).sum(axis=1) / scale
    return np.asarray(sound & (u > 0) & (v > 0) & (u + v < 1) & (t > 0) & (t < 1))


def without_spikes(vertices: Floats, faces: Ints) -> Ints:
    """Drop triangles at vertices that stick out far beyond the spread of their neighbours."""
    if len(vertices) < 2000:
        return faces
    sums, counts = np.zeros_like(vertices), np.zeros(len(vertices))
    for one, two in ((0, 1), (1, 2), (2, 0), (1, 0), (2, 1), (0, 2)):
        np.add.at(sums, faces[:, one], vertices[faces[:, two]])
        np.add.at(counts, faces[:, one], 1.0)
    used = counts > 0
    away = np.zeros(len(vertices))
    away[used] = np.linalg.norm(vertices[used] - sums[used] / counts[used, None], axis=1)
    limit = _SPIKE_SHARE * float(np.median(away[used])) + 1e-12
    edge = float(np.median(np.linalg.norm(vertices[faces[:, 0]] - vertices[faces[:, 1]], axis=1)))
    return faces[(away[faces] <= max(limit, 3 * edge)).all(axis=1)]

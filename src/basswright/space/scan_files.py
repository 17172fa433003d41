"""Reading a scan: a mesh or a cloud of points, its unit, its spikes."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from basswright.errors import InputError, TooLargeError
from basswright.space.arrays import Bools, Floats, Ints
from basswright.space.scan_meshes import mesh_notes, without_spikes

ENDINGS = (".ply", ".obj", ".stl", ".glb")
LARGEST_BYTES = 500_000_000

#: Unit -> metres.
UNITS = {"mm": 1e-3, "cm": 1e-2, "in": 0.0254, "ft": 0.3048, "m": 1.0, "km": 1e3}

#: A load space is at least and at most this long across its longest side [m].
PLAUSIBLE_M = (0.25, 8.0)

_SAMPLES = 60_000
_SPIKE_SHARE = 8.0


@dataclass(frozen=True, kw_only=True, eq=False)
class Cloud:
    """Points on the surfaces of a scanned space, and what was done to get them.

    Attributes
    ----------
    points : ndarray, shape (n, 3)
        In metres, axes as in the file.
    notes : tuple of str
        What was found and mended, in plain words.
    """

    points: Floats
    notes: tuple[str, ...]


#: Two opposite corners of a box, in the numbers and axes of the file.
Crop = tuple[tuple[float, float, float], tuple[float, float, float]]


def read_scan(path: Path, *, unit: str = "m", crop: Crop | None = None) -> Cloud:
    """Read a scan and clean it.

    Parameters
    ----------
    path : Path
        A PLY, OBJ, STL or GLB file.
    unit : str
        Key of :data:`UNITS` that the file's numbers are in.
    crop : Crop, optional
        Only what lies in this box counts.

    Returns
    -------
    Cloud

    Raises
    ------
    TooLargeError
        Beyond :data:`LARGEST_BYTES`; such a file is not opened.
    InputError
        Not a readable scan, empty, flat, crossing itself nearly everywhere, or in a unit
        that makes no load space; then `allowed` names the unit that would.
    """
    if unit not in UNITS:
        raise InputError("not a unit of length", field="unit", value=unit, allowed=", ".join(UNITS))
    vertices, faces = _loaded(path)
    notes = []
    finite: Bools = np.asarray(np.isfinite(vertices).all(axis=1))
    if not finite.all():
        notes.append(f"{int((~finite).sum())} points without a position left out")
    if crop is not None:
        within = finite & _within(vertices, crop)
        notes.append(f"{int((finite & ~within).sum())} points outside the crop left out")
        finite = within
    extent = _extent(vertices[finite], path)
    _require_plausible(extent, unit, path)
    scale = UNITS[unit]
    if len(faces):
        faces = faces[finite[faces].all(axis=1)]
        kept = without_spikes(vertices, faces)
        notes += mesh_notes(vertices, kept, path.name)
        if len(kept) < len(faces):
            notes.append(f"{len(faces) - len(kept)} triangles at spikes left out")
        points = _sampled(vertices, kept)
    else:
        points = vertices[finite]
        inner = _without_strays(points)
        if len(inner) < len(points):
            notes.append(f"{len(points) - len(inner)} stray points left out")
        points = inner
    return Cloud(points=points * scale, notes=tuple(notes))


def _loaded(path: Path) -> tuple[Floats, Ints]:
    if path.suffix.lower() not in ENDINGS:
        raise InputError("not a scan", item=path.name, allowed=", ".join(ENDINGS))
    size = path.stat().st_size
    if size > LARGEST_BYTES:
        raise TooLargeError(
            f"{path.name}: {size / 1e6:.0f} MB; scans up to {LARGEST_BYTES / 1e6:.0f} MB are "
            "read: thin it out to 200,000 triangles, which is more than enough"
        )
    import trimesh

    load: Any = trimesh.load
    try:
        found = load(path, process=False)
        if isinstance(found, trimesh.Scene):
            found = found.to_mesh()
        vertices = np.array(found.vertices, dtype=np.float64).reshape(-1, 3)
        faces = np.array(getattr(found, "faces", ()), dtype=np.int64).reshape(-1, 3)
    except Exception as problem:
        raise InputError(f"cannot be read: {problem}", item=path.name) from problem
    if len(vertices) < 100:
        raise InputError(
            "too few points for a scan", item=path.name, value=len(vertices), allowed="100 or more"
        )
    return vertices, faces


def _within(vertices: Floats, crop: Crop) -> Bools:
    corners = np.array(crop, dtype=np.float64)
    if corners.shape != (2, 3) or not np.isfinite(corners).all():
        raise InputError("not two corners of a box", field="crop", value=str(crop))
    low, high = corners.min(axis=0), corners.max(axis=0)
    if not ((vertices > low) & (vertices < high)).all(axis=1).any():
        raise InputError(
            "no point of the scan lies in the crop",
            field="crop",
            value=str(crop),
            allowed="the numbers and axes of the file",
        )
    return np.asarray(((vertices >= low) & (vertices <= high)).all(axis=1))


def _extent(vertices: Floats, path: Path) -> Floats:
    if len(vertices) < 100:
        raise InputError("hardly any point has a position", item=path.name)
    low, high = np.percentile(vertices, [0.5, 99.5], axis=0)
    if np.sort(high - low)[0] < 0.01 * np.sort(high - low)[2]:
        raise InputError("the scan is flat: one side of a space, not a space", item=path.name)
    return np.asarray(high - low)


def _require_plausible(extent: Floats, unit: str, path: Path) -> None:
    longest = float(extent.max())
    if PLAUSIBLE_M[0] <= longest * UNITS[unit] <= PLAUSIBLE_M[1]:
        return
    fitting = [
        f"{name} ({longest * factor:.2f} m)"
        for name, factor in UNITS.items()
        if PLAUSIBLE_M[0] <= longest * factor <= PLAUSIBLE_M[1]
    ]
    raise InputError(
        f"a load space {longest * UNITS[unit]:.4g} m long: the unit must be another one",
        item=path.name,
        field="unit",
        value=unit,
        allowed=", ".join(fitting) or "no unit makes a load space of it",
    )


def _without_strays(points: Floats) -> Floats:
    from scipy.spatial import cKDTree

    distance, _ = cKDTree(points).query(points, k=9)
    spread = np.asarray(distance)[:, 1:].mean(axis=1)
    kept: Floats = points[spread <= _SPIKE_SHARE * np.median(spread)]
    rng = np.random.default_rng(0)
    return kept if len(kept) <= _SAMPLES else kept[rng.choice(len(kept), _SAMPLES, replace=False)]


def _sampled(vertices: Floats, faces: Ints) -> Floats:
    """Return points spread evenly over the triangles."""
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    area = np.linalg.norm(np.cross(b - a, c - a), axis=1)
    rng = np.random.default_rng(0)
    chosen = rng.choice(len(faces), _SAMPLES, p=area / area.sum())
    u, v = rng.random((2, _SAMPLES, 1))
    root = np.sqrt(u)
    return np.asarray((1 - root) * a[chosen] + root * (1 - v) * b[chosen] + root * v * c[chosen])

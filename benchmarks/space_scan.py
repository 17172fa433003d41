"""How long a scan of 200,000 triangles takes, and how well its depths come out.

``python -m benchmarks.space_scan``
"""

from __future__ import annotations

import tempfile
import time
from pathlib import Path
from statistics import median

import manifold3d
import numpy as np
import trimesh

from basswright.records.space import Opening
from basswright.space import BoxTable, Solid, fit, solid
from basswright.space.kernels import room
from basswright.space.scans import scan

from .space_case import boot, boxes

_WITHIN_M = 0.005


def _noisy_mesh(space: Solid, edge_m: float) -> trimesh.Trimesh:
    """The inner surface with 2 mm of noise, 50 spikes and a hole of 100 mm."""
    body = manifold3d.Manifold.hull_points(space.envelope.vertices)
    for keep_out in space.keep_outs:
        body -= manifold3d.Manifold.hull_points(keep_out.body.vertices)
    found = body.refine_to_length(edge_m).to_mesh()
    points = found.vert_properties[:, :3].astype(float)
    rng = np.random.default_rng(0)
    points = points + rng.normal(0.0, 0.002, points.shape)
    wild = rng.choice(len(points), 50, replace=False)
    points[wild] += rng.normal(0.0, 0.3, (50, 3))
    faces = found.tri_verts
    hole = np.linalg.norm(points - points[1000], axis=1) < 0.05
    return trimesh.Trimesh(points, faces[~hole[faces].any(axis=1)], process=False)


def _depth(space: Solid, sizes: np.ndarray) -> np.ndarray:
    """Largest depth for each width and height [m]."""
    cells = space.cells
    sizes = np.ascontiguousarray(sizes)
    return np.asarray(room(sizes, cells.grow, cells.limit, cells.first)[0] + sizes[0])


def _share(error_mm: np.ndarray) -> float:
    return float((np.abs(error_mm) > _WITHIN_M * 1000).mean())


def _cpu_of(space: Solid, table: BoxTable) -> float:
    times = []
    for clearance in np.linspace(0.005, 0.012, 5):
        start = time.process_time()
        fit(space, table, clearance_m=float(clearance))
        times.append(time.process_time() - start)
    return median(times)


def main() -> None:
    """Print the table."""
    space = solid(boot())
    fit(space, boxes(50), clearance_m=0.005)  # compile
    mesh = _noisy_mesh(space, 0.0065)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "boot.ply"
        mesh.export(path)
        times = []
        for _ in range(5):
            start = time.process_time()
            found = scan(path, Opening(width_m=1.0, height_m=0.6))
            ready = solid(found.space)
            assert len(ready.cells.limit)  # worked out when first asked for
            times.append(time.process_time() - start)
    table = boxes(20_000)
    fit(ready, table, clearance_m=0.004)
    whole = _cpu_of(ready, table)
    taped = _cpu_of(space, table)
    sizes = np.random.default_rng(1).uniform([0.2, 0.3, 0.2], [0.5, 0.9, 0.45], (5000, 3)).T.copy()
    true, ours = _depth(space, sizes), _depth(ready, sizes)
    both = np.isfinite(true) & np.isfinite(ours) & (true - sizes[0] > -0.05)
    error = (ours - true)[both] * 1000
    off = np.array([[0.0], [_WITHIN_M], [_WITHIN_M]])
    least, most = _depth(space, sizes + off) - _WITHIN_M, _depth(space, sizes - off) + _WITHIN_M
    apart = (ours < least) | (ours > most)
    print(f"{len(mesh.faces)} triangles, {len(found.space.bodies)} obstacles found")
    print(f"read, cleaned, turned into a solid, cells : {median(times):8.2f} s CPU")
    print(f"20,000 boxes against it                   : {whole * 1000:8.0f} ms CPU")
    print(f"20,000 boxes against the tape's space     : {taped * 1000:8.0f} ms CPU")
    shares = np.percentile(error, [0, 5, 50, 95, 100])
    print("largest depth against the true space, mm  : " + ", ".join(f"{e:.1f}" for e in shares))
    print("  (least, 5 %, median, 95 %, most)")
    print(f"beyond {_WITHIN_M * 1000:.0f} mm                              : {_share(error):8.2%}")
    print(f"  and not by a step of the space near by  : {apart[both].mean():8.2%}")


if __name__ == "__main__":
    main()

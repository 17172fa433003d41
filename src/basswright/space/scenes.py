"""The load space, its keep-outs and the placed box as a 3-D scene (GLB)."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from basswright.records.placement import Placement
from basswright.space.arrays import Floats
from basswright.space.polytope import Convex, ring_order
from basswright.space.solids import Solid
from basswright.space.templates import hull_of

if TYPE_CHECKING:
    from trimesh import Scene, Trimesh

#: The car's axes (x forwards, y left, z up) to those of glTF 2.0, 3.4: y up, and the
#: front of a thing faces +z.
_TO_GLTF: Floats = np.array(
    [[0.0, 1.0, 0.0, 0.0], [0.0, 0.0, 1.0, 0.0], [1.0, 0.0, 0.0, 0.0], [0.0, 0.0, 0.0, 1.0]]
)
_SPACE = (150, 165, 180, 60)
_KEEP_OUT = (120, 120, 120, 255)
_LUGGAGE = (205, 180, 120, 140)
_BOX = (60, 90, 125, 255)
_CONE = (25, 25, 25, 255)


def scene(solid: Solid, placement: Placement | None = None) -> bytes:
    """Return a GLB file of the space, what stands in it, and the placed box.

    Parameters
    ----------
    solid : Solid
    placement : Placement, optional
        Without one the space is shown empty.

    Returns
    -------
    bytes
        Binary glTF 2.0 in metres, y up, the car facing +z. Nodes are called "space", by
        the name of each keep-out, "box 1", ..., and "cone".
    """
    from trimesh import Scene

    found = Scene()
    _add(found, _mesh(solid.envelope, _SPACE, inside=True), "space")
    for keep_out in solid.keep_outs:
        colour = _LUGGAGE if keep_out.reason == "luggage" else _KEEP_OUT
        _add(found, _mesh(keep_out.body, colour), keep_out.name)
    if placement is not None:
        for number, part in enumerate(placement.parts, start=1):
            _add(found, _mesh(hull_of(np.array(part)), _BOX), f"box {number}")
        _add(found, _cone_mark(placement), "cone")
    from trimesh.exchange.gltf import export_glb

    export: Any = export_glb
    return bytes(export(found))


def _add(found: Scene, mesh: Trimesh, name: str) -> None:
    found.add_geometry(mesh, node_name=name, geom_name=name, transform=_TO_GLTF)


def _mesh(body: Convex, colour: tuple[int, int, int, int], *, inside: bool = False) -> Trimesh:
    from trimesh import Trimesh
    from trimesh.visual.material import PBRMaterial
    from trimesh.visual.texture import TextureVisuals

    faces = []
    for normal, offset in zip(body.A, body.b, strict=True):
        ring = np.flatnonzero(np.abs(body.vertices @ normal - offset) < 1e-6)
        ring = ring[ring_order(body.vertices[ring], normal)]
        faces += [(ring[0], ring[i], ring[i + 1]) for i in range(1, len(ring) - 1)]
    triangles = np.array(faces)
    if inside:
        triangles = triangles[:, ::-1]
    paint: Any = PBRMaterial
    look: Any = TextureVisuals
    material = paint(
        baseColorFactor=list(colour),
        metallicFactor=0.0,
        roughnessFactor=0.9,
        alphaMode="BLEND" if colour[3] < 255 else "OPAQUE",
    )
    return Trimesh(
        vertices=body.vertices,
        faces=triangles,
        process=False,
        visual=look(material=material),
    )


def _cone_mark(placement: Placement) -> Trimesh:
    """Return a flat disc on the cone side, a quarter of the shorter side in radius."""
    corners = np.vstack([np.array(part) for part in placement.parts])
    cone = np.array(placement.cone)
    body = hull_of(corners)
    face = int(np.abs(body.A @ cone - body.b).argmin())
    normal = body.A[face]
    ring = corners[np.abs(corners @ normal - body.b[face]) < 1e-6]
    first = ring[1] - ring[0]
    first = first / np.linalg.norm(first)
    second = np.cross(normal, first)
    spread = np.ptp(ring @ np.stack([first, second]).T, axis=0).min()
    angle = np.linspace(0, 2 * np.pi, 24, endpoint=False)
    rim = (np.cos(angle)[:, None] * first + np.sin(angle)[:, None] * second) * 0.36 * spread
    points = np.vstack([cone + rim + 0.001 * normal, cone + rim + 0.004 * normal])
    return _mesh(hull_of(points), _CONE)

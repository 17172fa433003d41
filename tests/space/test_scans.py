"""Scans: a noisy mesh of a known space answers like the space itself."""

from __future__ import annotations

from pathlib import Path

import manifold3d
import numpy as np
import pytest
import trimesh

from basswright.errors import InputError, TooLargeError
from basswright.records.space import Opening
from basswright.space import Solid, solid
from basswright.space.kernels import room
from basswright.space.scan_files import read_scan
from basswright.space.scan_meshes import crossing_share
from basswright.space.scans import scan

from .examples import plain_boot

_OPENING = Opening(width_m=1.0, height_m=0.6)


def _mesh(space: Solid, *, edge: float, noise: float, spikes: int) -> trimesh.Trimesh:
    """The inner surface of a space, jittered, with spikes and a hole of 100 mm."""
    body = manifold3d.Manifold.hull_points(space.envelope.vertices)
    for keep_out in space.keep_outs:
        body -= manifold3d.Manifold.hull_points(keep_out.body.vertices)
    found = body.refine_to_length(edge).to_mesh()
    points = found.vert_properties[:, :3].astype(float)
    rng = np.random.default_rng(4)
    points = points + rng.normal(0.0, noise, points.shape)
    if spikes:
        wild = rng.choice(len(points), spikes, replace=False)
        points[wild] += rng.normal(0.0, 0.3, (spikes, 3))
    faces = found.tri_verts
    hole = np.linalg.norm(points - points[len(points) // 2], axis=1) < 0.05
    return trimesh.Trimesh(points, faces[~hole[faces].any(axis=1)], process=False)


@pytest.mark.parametrize("ending", ["ply", "stl", "obj", "glb"])
def test_a_noisy_scan_gives_the_depth_within_five_millimetres(ending: str, tmp_path: Path) -> None:
    """2 mm of noise, 30 spikes and a hole: largest depths agree with the true space."""
    space = solid(plain_boot())
    path = tmp_path / f"boot.{ending}"
    _mesh(space, edge=0.02, noise=0.002, spikes=30).export(path)
    found = scan(path, _OPENING)
    assert found.space.tolerance_m >= 0.008
    assert any("spikes" in note for note in found.notes) or ending == "stl"
    sizes = np.random.default_rng(1).uniform([0.2, 0.3, 0.2], [0.5, 0.9, 0.45], (300, 3)).T.copy()
    depths = []
    for one in (solid(found.space), space):
        cells = one.cells
        depths.append(room(sizes, cells.grow, cells.limit, cells.first)[0])
    both = np.isfinite(depths).all(axis=0)
    assert both.mean() > 0.9
    assert np.abs(depths[0] - depths[1])[both].max() < 0.005


def test_a_scan_on_its_side_is_stood_up(tmp_path: Path) -> None:
    """A y-up file read with up="y" gives the same volume as the z-up one."""
    space = solid(plain_boot())
    mesh = _mesh(space, edge=0.03, noise=0.0, spikes=0)
    mesh.vertices = mesh.vertices[:, [1, 2, 0]]  # left, up, forwards
    mesh.export(tmp_path / "boot.ply")
    found = scan(tmp_path / "boot.ply", _OPENING, up="y", front="z")
    assert solid(found.space).envelope.vertices[:, 2].max() == pytest.approx(0.55, abs=2e-3)
    assert solid(found.space).volume_m3 == pytest.approx(space.volume_m3, rel=0.05)


@pytest.mark.parametrize(("scale", "fits"), [(1e-3, "km"), (1e3, "mm"), (1 / 0.0254, "in")])
def test_a_wrong_unit_is_caught_and_the_right_one_offered(
    scale: float, fits: str, tmp_path: Path
) -> None:
    """A boot of 1.3 mm or 1,300 m cannot be; the unit that makes sense is named."""
    mesh = _mesh(solid(plain_boot()), edge=0.05, noise=0.0, spikes=0)
    mesh.apply_scale(scale)
    mesh.export(tmp_path / "boot.ply")
    with pytest.raises(InputError, match=rf"unit must be another one.*{fits} \(1\.30 m\)"):
        read_scan(tmp_path / "boot.ply")
    read_scan(tmp_path / "boot.ply", unit=fits)


def test_two_gigabytes_are_refused_unread(tmp_path: Path) -> None:
    """The size on disk decides before anything is opened."""
    path = tmp_path / "huge.ply"
    with path.open("wb") as file:
        file.truncate(2_000_000_000)
    with pytest.raises(TooLargeError, match="2000 MB"):
        read_scan(path)


def test_what_is_no_scan_is_refused_with_the_reason(tmp_path: Path) -> None:
    """Wrong ending, rubbish inside, a handful of points, a flat sheet, impossible axes."""
    (tmp_path / "boot.txt").write_text("hello")
    with pytest.raises(InputError, match="not a scan"):
        read_scan(tmp_path / "boot.txt")
    (tmp_path / "boot.ply").write_bytes(b"ply\nrubbish")
    with pytest.raises(InputError, match=r"boot\.ply: "):
        read_scan(tmp_path / "boot.ply")
    trimesh.creation.box().export(tmp_path / "few.stl")
    with pytest.raises(InputError, match="too few points"):
        read_scan(tmp_path / "few.stl")
    sheet = np.random.default_rng(0).random((500, 3)) * [1, 1, 0]
    trimesh.PointCloud(sheet).export(tmp_path / "sheet.ply")
    with pytest.raises(InputError, match="flat"):
        read_scan(tmp_path / "sheet.ply")
    with pytest.raises(InputError, match="one line"):
        scan(tmp_path / "few.stl", _OPENING, up="z", front="-z")


def test_a_cloud_without_a_floor_is_refused(tmp_path: Path) -> None:
    """A ball of points has no floor to stand on."""
    points = np.random.default_rng(0).normal(size=(4000, 3))
    points /= np.linalg.norm(points, axis=1, keepdims=True)
    trimesh.PointCloud(points).export(tmp_path / "ball.ply")
    with pytest.raises(InputError, match="no floor"):
        scan(tmp_path / "ball.ply", _OPENING)


def test_a_crop_leaves_out_what_lies_around(tmp_path: Path) -> None:
    """A wall of points two metres away is cut off; a crop beside the scan is refused."""
    space = solid(plain_boot())
    mesh = _mesh(space, edge=0.03, noise=0.001, spikes=0)
    rng = np.random.default_rng(0)
    wall = np.column_stack([np.full(4000, -2.5), rng.uniform(-2, 2, (4000, 2))])
    trimesh.PointCloud(np.vstack([mesh.vertices, wall])).export(tmp_path / "boot.ply")
    crop = ((-1.0, -1.0, -0.2), (0.2, 1.0, 0.8))
    found = scan(tmp_path / "boot.ply", _OPENING, crop=crop)
    assert "4000 points outside the crop left out" in found.notes
    assert solid(found.space).volume_m3 == pytest.approx(space.volume_m3, rel=0.05)
    with pytest.raises(InputError, match="no point of the scan lies in the crop"):
        scan(tmp_path / "boot.ply", _OPENING, crop=((5.0, 5.0, 5.0), (6.0, 6.0, 6.0)))


def test_a_mesh_turned_inside_out_is_said_to_be_so(tmp_path: Path) -> None:
    """Which way the triangles look is told, and changes nothing."""
    mesh = _mesh(solid(plain_boot()), edge=0.03, noise=0.001, spikes=0)
    mesh.export(tmp_path / "outwards.ply")
    mesh.faces = mesh.faces[:, ::-1]
    mesh.export(tmp_path / "inwards.ply")
    outwards = scan(tmp_path / "outwards.ply", _OPENING)
    inwards = scan(tmp_path / "inwards.ply", _OPENING)
    assert any("look outwards" in note for note in outwards.notes)
    assert not any("look outwards" in note for note in inwards.notes)
    volumes = [solid(found.space).volume_m3 for found in (outwards, inwards)]
    assert volumes[0] == pytest.approx(volumes[1], rel=0.01)


def test_a_surface_that_crosses_itself_is_refused_or_said_so(tmp_path: Path) -> None:
    """A sound mesh has no crossing; a second one shifted by a little has many."""
    mesh = _mesh(solid(plain_boot()), edge=0.03, noise=0.0, spikes=0)
    vertices, faces = np.array(mesh.vertices), np.array(mesh.faces)
    assert crossing_share(vertices, faces) < 0.01
    jumbled = vertices + np.random.default_rng(0).normal(0.0, 0.05, vertices.shape)
    trimesh.Trimesh(jumbled, faces, process=False).export(tmp_path / "jumbled.ply")
    with pytest.raises(InputError, match="crosses itself"):
        read_scan(tmp_path / "jumbled.ply")
    across = trimesh.creation.box((0.4, 0.02, 0.02)).subdivide_to_size(0.02)
    across.apply_translation([0.0, 0.0, 0.3])
    several = [across.copy() for _ in range(8)]
    for number, bar in enumerate(several):  # bars that stick through the seat back
        bar.apply_translation([-0.1, 0.08 * number - 0.3, 0.0])
    together = trimesh.util.concatenate([mesh, *several])
    together.export(tmp_path / "bars.ply")
    assert any("cut through others" in note for note in read_scan(tmp_path / "bars.ply").notes)


def test_a_sure_floor_asks_nothing_and_a_scan_on_its_head_does(tmp_path: Path) -> None:
    """Arches stand on the floor: hanging from the top they raise a question."""
    mesh = _mesh(solid(plain_boot()), edge=0.03, noise=0.001, spikes=0)
    mesh.export(tmp_path / "boot.ply")
    sure = scan(tmp_path / "boot.ply", _OPENING)
    assert sure.questions == ()
    assert sure.floor_confidence > 0.9
    doubtful = scan(tmp_path / "boot.ply", _OPENING, up="-z")
    assert doubtful.floor_confidence < 0.6
    assert any("right way up" in question for question in doubtful.questions)

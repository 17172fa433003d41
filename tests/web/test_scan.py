"""A scan takes the place of the tape readings, and what is no scan is refused."""

from __future__ import annotations

import httpx
import numpy as np
import pytest
import trimesh
from sqlalchemy import Engine

from basswright import jobs
from basswright.jobs.store import JobStore

JOB = "/jobs/demo-hatchback"


def boot(scale: float = 1.0) -> bytes:
    """Return a plain boot, 0.8 m deep, 1.2 m wide, 0.6 m high, as STL, finely meshed."""
    mesh = trimesh.creation.box((0.8, 1.2, 0.6)).subdivide_to_size(0.05)
    mesh.apply_translation((-0.4, 0, 0.3))
    mesh.apply_scale(scale)
    return bytes(mesh.export(file_type="stl"))


def test_a_scan_becomes_the_load_space_and_undo_brings_the_tape_back(
    client: httpx.Client, engine: Engine
) -> None:
    before = JobStore(engine).get("demo-hatchback").job
    answer = client.post(f"{JOB}/scan", files={"file": ("boot.stl", boot())}, data={"unit": "m"})
    assert answer.status_code == 200, answer.text[:500]
    job = JobStore(engine).get("demo-hatchback").job
    assert job.car.load_space.kind == "scan"
    assert job.car.load_space.opening == before.car.load_space.opening
    assert jobs.parse_job(jobs.write_job(job)).car.load_space == job.car.load_space
    assert client.get(f"{JOB}/space.glb").content[:4] == b"glTF"
    assert client.get(f"{JOB}/car").status_code == 200
    client.post(f"{JOB}/undo", data={"revision": "2"})
    assert JobStore(engine).get("demo-hatchback").job == before


@pytest.mark.parametrize(
    ("name", "content", "unit"),
    [
        ("boot.stl", boot(1000.0), "m"),
        ("boot.stl", b"solid nothing", "m"),
        ("boot.exe", boot(), "m"),
        ("boot.stl", boot(), "parsec"),
        ("../../boot", b"", "m"),
        ("boot.ply", np.zeros(10).tobytes(), "m"),
    ],
)
def test_what_is_no_scan_of_a_boot_is_refused_and_nothing_changes(
    client: httpx.Client, engine: Engine, name: str, content: bytes, unit: str
) -> None:
    answer = client.post(f"{JOB}/scan", files={"file": (name, content)}, data={"unit": unit})
    assert answer.status_code == 422
    assert "That is not possible" in answer.text
    assert JobStore(engine).get("demo-hatchback").revision == 1

"""Job files from a terminal: what was estimated is told with figures."""

from __future__ import annotations

import json
from pathlib import Path

import trimesh

from basswright import jobs
from tests.cli.conftest import Run


def test_check_tells_each_estimate_with_its_band(run: Run, job: Path) -> None:
    """A person reads the value, the band and how it was come by."""
    ran = run("job", "check", job)
    assert ran.code == 0
    assert "cabin.leak_corner 4.5 Hz (2 Hz to 10 Hz): usual for a closed car" in ran.out


def test_check_as_json_tells_the_same(run: Run, job: Path) -> None:
    """Other programs read key, value, band and note."""
    found = json.loads(run("job", "check", job, "--json").out)
    leak = next(each for each in found["estimates"] if each["key"] == "cabin.leak_corner")
    assert leak["value"] == "4.5 Hz"
    assert (leak["low"], leak["high"]) == ("2 Hz", "10 Hz")


def test_check_names_readings_that_contradict_each_other(run: Run, job: Path) -> None:
    """A floor that is wider than the space above the arches cannot be."""
    text = job.read_text(encoding="utf-8")
    job.write_text(text.replace('floor = "1010 mm"', 'floor = "1600 mm"', 1), encoding="utf-8")
    ran = run("job", "check", job)
    assert ran.code == 2
    assert "width_floor" in ran.err
    assert "width_above_arches" in ran.err


def _scan_of_a_boot(path: Path, *, scale: float) -> Path:
    """Write the inside of a boot, 0.9 x 1.1 x 0.6 m, as a dense mesh."""
    boot = trimesh.creation.box((0.9, 1.1, 0.6))
    for _ in range(5):
        boot = boot.subdivide()
    boot.apply_scale(scale)
    boot.export(path)
    return path


def test_a_scan_becomes_the_load_space_of_a_job(run: Run, job: Path, tmp_path: Path) -> None:
    """The written job reads back, with the scanned room and the tape's opening."""
    scan, out = _scan_of_a_boot(tmp_path / "boot.ply", scale=1000.0), tmp_path / "out.toml"
    ran = run("job", "take-scan", job, scan, "--unit", "mm", "--write", out)
    assert ran.code == 0
    assert "please confirm: " in ran.out
    space = jobs.read_job(out).car.load_space
    assert space.kind == "scan"
    assert space.opening == jobs.read_job(job).car.load_space.opening
    top = next(plane for plane in space.planes if plane.name == "top")
    assert abs(top.point_m[2] - 0.6) < 0.005
    assert run("job", "take-scan", job, scan, "--unit", "mm", "--write", out).code == 5


def test_a_scan_in_the_wrong_unit_names_the_right_one(run: Run, job: Path, tmp_path: Path) -> None:
    """A boot of a kilometre is refused, and millimetres are offered; nothing is written."""
    scan, out = _scan_of_a_boot(tmp_path / "boot.ply", scale=1000.0), tmp_path / "out.toml"
    ran = run("job", "take-scan", job, scan, "--write", out)
    assert ran.code == 2
    assert "mm (1.1" in ran.err
    assert not out.exists()

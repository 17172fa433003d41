"""Job files from a terminal: what was estimated is told with figures."""

from __future__ import annotations

import json
from pathlib import Path

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

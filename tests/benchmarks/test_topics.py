"""Every benchmark is reached by name."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from benchmarks.__main__ import TOPICS

FOLDER = Path(__file__).parents[2] / "benchmarks"


def test_every_module_with_a_main_is_a_topic() -> None:
    found = {path.stem for path in FOLDER.glob("*.py") if "\ndef main(" in path.read_text("utf-8")}
    assert found - {"__main__"} == set(TOPICS)


def test_an_unknown_topic_names_those_that_are() -> None:
    ran = subprocess.run(
        [sys.executable, "-m", "benchmarks", "cooking"],
        cwd=FOLDER.parent,
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.returncode == 1
    assert "space_scan" in ran.stderr

"""The page on the job file says what the program does."""

from __future__ import annotations

from pathlib import Path

from basswright.jobs.reference import reference

PAGE = Path(__file__).parents[2] / "docs" / "job-file.md"


def test_the_page_holds_the_reference_as_it_is_now() -> None:
    """When this fails, run scripts/write_reference.py."""
    assert PAGE.read_text(encoding="utf-8").endswith(f"\n{reference()}")


def test_every_key_says_what_happens_when_it_is_missing() -> None:
    rows = [line for line in reference().splitlines() if line.startswith("| `")]
    assert len(rows) > 60
    assert all(row.rstrip("| ").split(" | ")[-1] for row in rows)


def test_units_ranges_and_estimates_stand_in_the_reference() -> None:
    rows = {line.split("`")[1]: line for line in reference().splitlines() if "| `" in line}
    assert "length; more than 0 mm to 6000 mm" in rows["width_floor"]
    assert "| length | mm, cm, m, in, ft (such as 640 mm or 25 1/4 in) |" in reference()
    assert "**required**" in rows["width_floor"]
    assert "-10 deg to 60 deg" in rows["seat_lean"]
    assert "estimated: half of the rated output" in rows["alternator_idle"]
    assert '`"80 %"`' in rows["certainty"]

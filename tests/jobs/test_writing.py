"""Whatever a job holds, its file reads back as the same job."""

from __future__ import annotations

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from basswright.jobs import parse_job, sample_text, write_job
from basswright.records.base import Origin
from basswright.records.job import Job

SAMPLE = parse_job(sample_text())
TEXT = st.text(min_size=1, max_size=60).map(str.strip).filter(bool)


def with_values(**values: Any) -> Job:
    """Return the sample with some fields replaced, checked again."""
    tree = SAMPLE.model_dump()
    for path, value in values.items():
        *parents, name = path.split("__")
        node = tree
        for parent in parents:
            node = node[parent]
        node[name] = value
    return Job.model_validate(tree)


@settings(max_examples=60, deadline=None)
@given(
    title=TEXT,
    name=TEXT,
    length=st.floats(0.6, 7.9),
    volume=st.floats(0.6, 19.0),
    area=st.floats(0, 1.9),
    drain=st.floats(0, 2),
    lean=st.floats(-10, 60),
    weight=st.floats(0, 10),
    budget=st.floats(0.001, 1e6),
    share=st.floats(0.5, 0.99),
    low=st.floats(10, 80),
)
def test_any_figure_and_any_text_survive(
    title: str,
    name: str,
    length: float,
    volume: float,
    area: float,
    drain: float,
    lean: float,
    weight: float,
    budget: float,
    share: float,
    low: float,
) -> None:
    job = with_values(
        title=title,
        car__name=name,
        car__origins={},
        car__cabin__length_m=length,
        car__cabin__volume_m3=volume,
        car__cabin__boot_opening_m2=area,
        car__charging__standing_drain_a=drain,
        car__load_space__seat_lean_deg=lean,
        wish__weights__ease=weight,
        wish__budget=budget,
        wish__certainty_share=share,
        wish__low_limit_hz=low,
    )
    assert parse_job(write_job(job)) == job


def test_estimates_stand_as_comments_with_their_band() -> None:
    lines = [line for line in write_job(SAMPLE).splitlines() if "leak_corner" in line]
    assert lines == [
        '# leak_corner = "4.5 Hz"  # estimated: usual for a closed car (2 Hz to 10 Hz)'
    ]


def test_an_estimate_of_a_required_reading_is_written_as_one() -> None:
    origin = Origin(kind="estimated", low=0.5, high=0.6, note='from a "template"\n[car]')
    job = with_values(car__origins={**SAMPLE.car.origins, "load_space.height_m": origin})
    again = parse_job(write_job(job))
    assert again == job
    assert again.car.origins["load_space.height_m"] == origin


def test_a_note_of_an_estimate_cannot_break_out_of_its_comment() -> None:
    origin = Origin(kind="estimated", note="x\n[wish]\nbudget = 1")
    job = with_values(car__origins={**SAMPLE.car.origins, "cabin.loss_factor": origin})
    assert parse_job(write_job(job)).wish.budget == SAMPLE.wish.budget

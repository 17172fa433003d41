"""What was estimated is told with its value and its band."""

from __future__ import annotations

import pytest

from basswright.jobs import estimated, parse_job, sample_names, sample_text


@pytest.mark.parametrize("name", sample_names())
def test_every_estimate_of_a_sample_is_told_in_order(name: str) -> None:
    car = parse_job(sample_text(name)).car
    told = estimated(car)
    assert len(told) == sum(origin.kind == "estimated" for origin in car.origins.values()) > 0
    assert [each.key for each in told] == sorted(each.key for each in told)
    assert all(each.value for each in told)


def test_a_band_stands_beside_the_value_in_the_units_of_the_file() -> None:
    told = {each.key: each for each in estimated(parse_job(sample_text("hatchback")).car)}
    leak = told["cabin.leak_corner"]
    assert (leak.value, leak.low, leak.high) == ("4.5 Hz", "2 Hz", "10 Hz")
    assert str(leak) == "cabin.leak_corner 4.5 Hz (2 Hz to 10 Hz): usual for a closed car"


def test_a_reading_that_was_taken_is_no_estimate() -> None:
    text = sample_text("hatchback").replace("[car.cabin]", '[car.cabin]\nleak_corner = "3 Hz"', 1)
    assert "cabin.leak_corner" not in {each.key for each in estimated(parse_job(text).car)}

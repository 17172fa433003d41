"""A concession is tried at one press, by the reading or wish that it speaks of."""

from __future__ import annotations

from urllib.parse import parse_qsl

import pytest

from basswright.jobs import parse_job, sample_text
from basswright.jobs.editing import changed
from basswright.records.options import Concession
from basswright.web.tries import query_of

JOB = parse_job(sample_text())


def concession(*parts: tuple[str, str, float]) -> Concession:
    """Return a concession of one rule or two."""
    rules, what, amounts = zip(*parts, strict=True)
    return Concession(
        rules=rules,
        what=what,
        amounts=amounts,
        units=("",) * len(rules),
        admits=1,
        enclosure="box",
        amplifier="",
        gain_db=0.0,
        gain_hz=0.0,
        gain_luggage_m3=0.0,
        extra_price=0.0,
        better=True,
        text="",
    )


@pytest.mark.parametrize(
    ("rule", "what", "amount", "path"),
    [
        ("space", "18 mm more height", 18.0, "car.load_space.height"),
        ("space", "9 mm more depth at the top", 9.0, "car.load_space.depth_top"),
        ("space", "13 mm more width between the wheel arches", 13.0, "car.load_space.width_floor"),
        ("opening", "7 mm more opening width", 7.0, "car.load_space.opening.width"),
    ],
)
def test_more_room_is_tried_at_the_reading_that_is_named(
    rule: str, what: str, amount: float, path: str
) -> None:
    query = dict(parse_qsl(query_of(JOB, concession((rule, what, amount)))))
    assert list(query) == [path]
    new = changed(JOB, query)
    node_old, node_new = JOB.car.load_space, new.car.load_space
    if rule == "opening":
        gained = node_new.opening.width_m - node_old.opening.width_m
    else:
        field = path.rpartition(".")[2] + "_m"
        gained = getattr(node_new, field) - getattr(node_old, field)
    assert amount / 1000 <= gained <= amount / 1000 + 0.0011


def test_each_wish_gives_way_in_its_own_direction_and_by_enough() -> None:
    both = concession(("budget", "", 40.0), ("loud enough", "", 1.5))
    new = changed(JOB, dict(parse_qsl(query_of(JOB, both))))
    assert JOB.wish.budget + 40 <= new.wish.budget <= JOB.wish.budget + 42
    assert JOB.wish.level_db - 1.7 <= new.wish.level_db <= JOB.wish.level_db - 1.5
    low = changed(JOB, dict(parse_qsl(query_of(JOB, concession(("low enough", "", 2.0))))))
    assert low.wish.low_limit_hz >= JOB.wish.low_limit_hz + 2
    less = changed(JOB, dict(parse_qsl(query_of(JOB, concession(("luggage", "", 5.0))))))
    assert less.wish.luggage_keep_m3 <= JOB.wish.luggage_keep_m3 - 0.005 + 1e-9


def test_what_the_customer_cannot_give_is_not_tried() -> None:
    assert query_of(JOB, concession(("power match", "another amplifier", 0.0))) == ""
    mixed = concession(("budget", "", 40.0), ("supply", "more from the supply", 20.0))
    assert query_of(JOB, mixed) == ""

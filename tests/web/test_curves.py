"""The small curves of the list, against plain arithmetic for one draw after another."""

from __future__ import annotations

import math

import numpy as np
import pytest
from sqlalchemy import Engine

from basswright.web.curves import curves_of
from basswright.web.desk import Desk


def test_a_small_curve_is_the_least_of_box_voltage_and_current(filled: Engine) -> None:
    desk = Desk(filled)
    job = desk.jobs.get("demo-hatchback").job
    options, weighed = desk.options(job).options[:3], desk._weigh(job)
    curves, levels = curves_of(weighed, options), weighed.levels
    ids = [weighed.prepared.snapshot.enclosures[row].id for row in weighed.kept.tolist()]
    for option in options:
        box, match = ids.index(option.enclosure.id), option.match
        volts = math.sqrt(match.available_w * match.load_ohm)
        amperes = math.sqrt(match.available_w / match.load_ohm)
        for f in range(0, levels.frequency_hz.size, 5):
            loudest = []
            for draw in range(levels.per_volt_db.shape[1]):
                held = min(volts, amperes * float(levels.impedance_ohm[box, draw, f]))
                driven = float(levels.per_volt_db[box, draw, f]) + 20 * math.log10(held)
                loudest.append(min(float(levels.own_limit_db[box, draw, f]), driven))
            assert curves[option.id].middle_db[f] == pytest.approx(float(np.median(loudest)))
            assert curves[option.id].low_db[f] == pytest.approx(float(np.quantile(loudest, 0.05)))
            assert curves[option.id].high_db[f] == pytest.approx(float(np.quantile(loudest, 0.95)))


def test_no_options_have_no_curves(filled: Engine) -> None:
    desk = Desk(filled)
    assert curves_of(desk._weigh(desk.jobs.get("demo-hatchback").job), ()) == {}

"""Random small worlds of boxes and amplifiers, and the answers by plain loops."""

from __future__ import annotations

import math

import numpy as np

from basswright.choose import goals
from basswright.choose.feeds import Feeds
from basswright.choose.systems import Boxes
from basswright.records.levels import LevelTable
from basswright.records.wish import Wish

FREQUENCY_HZ = goals.GRID_HZ


def random_levels(rng: np.random.Generator, boxes: int, draws: int) -> LevelTable:
    """Second-order high-pass slopes with random corners, limits and impedances."""
    corner = rng.uniform(25, 60, (boxes, draws, 1))
    slope = -20 * np.log10(1 + (corner / FREQUENCY_HZ) ** 2)
    per_volt = rng.uniform(88, 100, (boxes, 1, 1)) + slope + rng.normal(0, 1, (boxes, draws, 1))
    own = rng.uniform(112, 128, (boxes, draws, 1)) + np.minimum(0, 6 + slope)
    return LevelTable(
        frequency_hz=FREQUENCY_HZ,
        per_volt_db=per_volt,
        own_limit_db=own,
        own_limit_index=np.zeros(per_volt.shape, dtype=np.intp),
        own_limits=("cone excursion",),
        impedance_ohm=rng.uniform(1, 8, per_volt.shape),
    )


def random_feeds(rng: np.random.Generator, classes: int, most: int) -> Feeds:
    """Amplifiers with round figures, so that ties happen."""
    counts = rng.integers(0, most + 1, classes)
    size = int(counts.sum())
    power = rng.integers(1, 12, size) * 100.0
    return Feeds(
        start=np.concatenate([[0], np.cumsum(counts)]).astype(np.intp),
        output=np.arange(size),
        load_ohm=np.full(size, 4.0),
        cost=rng.integers(1, 15, size) * 50.0,
        voltage_v=np.sqrt(power * rng.choice([1, 2, 4], size)),
        current_a=rng.integers(5, 30, size).astype(float),
        hours=rng.choice([0.75, 1.5], size),
        match_margin_db=rng.choice([-2.0, 0.5, 1.0], size, p=[0.2, 0.4, 0.4]),
        supply_margin_a=rng.choice([-20.0, -5.0, 30.0, 60.0], size),
        peak_a=power / 11,
        average_a=power / 33,
    )


def random_boxes(rng: np.random.Generator, boxes: int) -> Boxes:
    """Boxes of which about half pass each rule of their own."""
    luggage = rng.uniform(0.05, 0.35, boxes)
    return Boxes(
        price=rng.integers(2, 20, boxes) * 50.0,
        hours=np.full(boxes, 2.5),
        luggage_left_m3=luggage,
        luggage_space_m3=0.4,
        margins={
            "box kind": rng.choice([0.0, 0.0, 0.0, -1.0], boxes),
            "built-in amplifier": np.zeros(boxes),
            "space": rng.uniform(-40, 60, boxes),
            "opening": rng.uniform(-10, 80, boxes),
            "luggage": (luggage - 0.1) * 1000,
        },
    )


def random_wish(rng: np.random.Generator) -> Wish:
    """A wish that some of the systems meet."""
    return Wish(
        level_db=float(rng.uniform(108, 118)),
        low_limit_hz=float(rng.uniform(25, 45)),
        luggage_keep_m3=0.1,
        budget=float(rng.uniform(600, 1600)),
        certainty_share=0.8,
    )


def plain_figures(
    levels: LevelTable, row: int, voltage_v: float, current_a: float, wish: Wish
) -> tuple[float, float]:
    """Sure level and sure low limit of one pair by plain loops over draws and frequencies."""
    level, limit = [], []
    for draw in range(1, levels.per_volt_db.shape[1]):
        loudest = []
        for f in range(FREQUENCY_HZ.size):
            per_volt = float(levels.per_volt_db[row, draw, f])
            by_current = current_a * float(levels.impedance_ohm[row, draw, f])
            loudest.append(
                min(
                    float(levels.own_limit_db[row, draw, f]),
                    per_volt + 20 * math.log10(voltage_v),
                    per_volt + 20 * math.log10(by_current),
                )
            )
        bands = [
            10 ** (x / 10)
            for x, f in zip(loudest, FREQUENCY_HZ, strict=True)
            if 10**1.45 * 0.999 <= f <= 10**1.95 * 1.001
        ]
        level.append(10 * math.log10(sum(bands) / len(bands)))
        limit.append(_held_down_to(loudest, wish.level_db - 10))
    share = wish.certainty_share
    return float(np.quantile(level, 1 - share)), float(np.exp(np.quantile(np.log(limit), share)))


def _held_down_to(loudest: list[float], floor: float) -> float:
    top = max(i for i, f in enumerate(FREQUENCY_HZ) if f <= 80 * (1 + 1e-9))
    for i in range(top, -1, -1):
        if loudest[i] < floor:
            if i == top:
                return float(FREQUENCY_HZ[i])
            low, high = 10 ** (loudest[i] / 10), 10 ** (loudest[i + 1] / 10)
            share = (10 ** (floor / 10) - low) / (high - low)
            return float(FREQUENCY_HZ[i] * (FREQUENCY_HZ[i + 1] / FREQUENCY_HZ[i]) ** share)
    return float(FREQUENCY_HZ[0])

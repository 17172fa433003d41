"""How near the hot loop of the sound comes to what this machine's arithmetic can do."""

from __future__ import annotations

from collections.abc import Callable
from time import process_time

import numpy as np
from numpy.typing import NDArray

from basswright.sound.compiled import compiled
from basswright.sound.kernel import packed, squared_loudest
from basswright.sound.models import BoxModels

Array = NDArray[np.float64]
#: Multiplications and additions, and divisions and roots, of one point of the loop for
#: boxes without a front chamber: counted in its source.
FLOPS, DIVISIONS = 75, 6
_ROWS, _REPEATS, _ROUNDS = 256, 30, 15


@compiled
def multiply_add(x: Array, y: Array) -> None:
    """Do 128 multiplications and additions an element, four chains wide."""
    for i in range(x.size):
        a, b, c, d = x[i], x[i] + 1.0, x[i] + 2.0, x[i] + 3.0
        for _ in range(16):
            a = a * 0.999 + 0.001
            b = b * 0.998 + 0.002
            c = c * 0.997 + 0.003
            d = d * 0.996 + 0.004
        y[i] = a + b + c + d


@compiled
def divide(x: Array, y: Array) -> None:
    """Do four divisions an element that do not wait for each other."""
    for i in range(x.size):
        v = x[i]
        y[i] = 1.1 / v + v / (v + 1.0) + (v + 3.0) / (v + 2.0) + (v + 5.0) / (v + 4.0)


def kernel_share(models: BoxModels, frequency_hz: Array) -> str:
    """Return a line that says what one point costs and what it must cost at least."""
    table = packed(models)[:_ROWS]
    w = 2 * np.pi * frequency_hz
    coil, loudest = np.ones((_ROWS, w.size)), np.empty((_ROWS, w.size))
    which, limit2 = np.empty(loudest.shape, dtype=np.int8), np.full(_ROWS, 900.0)
    x, y = np.random.default_rng(1).uniform(1, 2, (2, _ROWS * w.size))
    ways: dict[str, Callable[[], None]] = {
        "point": lambda: squared_loudest(table, None, w, coil, limit2, limit2, loudest, which),
        "flop": lambda: multiply_add(x, y),
        "division": lambda: divide(x, y),
    }
    times: dict[str, list[float]] = {name: [] for name in ways}
    for _ in range(_ROUNDS):
        for name, way in ways.items():
            way()
            start = process_time()
            for _ in range(_REPEATS):
                way()
            times[name].append((process_time() - start) / _REPEATS / x.size * 1e9)
    point, flop, division = (float(np.median(values)) for values in times.values())
    by_flops, by_divisions = FLOPS * flop / 128, DIVISIONS * division / 4
    least = max(by_flops, by_divisions)
    return (
        f"one point {point:.2f} ns; {FLOPS} multiplications and additions need {by_flops:.2f}, "
        f"{DIVISIONS} divisions {by_divisions:.2f}: {100 * least / point:.0f} % of the limit"
    )

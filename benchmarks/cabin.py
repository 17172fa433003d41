"""How right and how quick the cabin is: run ``python -m benchmarks.cabin [cars a body]``."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from time import process_time

import numpy as np
from numpy.typing import NDArray
from tests.sound.cabin.brick_cars import brick_car
from tests.sound.cabin.simulated_cars import BANDS, BODIES, TONES, simulated_car, third_octave_db

from basswright.records.car import Car
from basswright.sound.cabin import estimated_cabin, measured_cabin
from basswright.sound.cabin.cavity import cavity_of
from basswright.sound.cabin.outline import box_outline
from basswright.sound.cabin.rectangular import rectangular_cabin
from basswright.sound.cabin.zone import PressureZone

Floats = NDArray[np.float64]
Truth = tuple[str, Car, Floats, NDArray[np.complex128]]

#: Frequencies that a measurement knows: the tones and thirty more.
KNOWN_HZ = np.sort(np.concatenate([TONES, np.geomspace(18, 90, 30)]))
_FIRST_SEED = 100
_DRAWS = 200


def _speed() -> None:
    rows: dict[str, list[float]] = {}
    rng = np.random.default_rng(0)
    ears = rng.uniform([1.0, -0.4, 0.7], [1.6, 0.4, 1.0], (7, 3))
    cones = rng.uniform([-0.7, -0.5, 0.05], [-0.2, 0.5, 0.5], (20_000, 3))
    frequency = np.geomspace(10, 200, 32)
    model = estimated_cabin(simulated_car("hatchback", 0).car)
    steps: dict[str, Callable[[Floats], object]] = {
        "prepare 3 m3 to 200 Hz": lambda _: cavity_of(box_outline(2.3, 1.3, 1.0)),
        "a new ear": lambda ear: model.at_ear(ear),
        "a new box position": lambda _: model.shapes(cones[:1]),
        "one box x 32 Hz x 12 draws": lambda _: model.transfer(frequency, cones[:1], draws=12),
        "one box x 32 Hz x 100 draws": lambda _: model.transfer(frequency, cones[:1], draws=100),
        "20,000 places x 32 Hz x 8 draws": lambda _: model.transfer(frequency, cones, draws=8),
    }
    for ear in ears:
        for name, step in steps.items():
            start = process_time()
            step(ear)
            rows.setdefault(name, []).append(process_time() - start)
    for name, times in rows.items():
        print(f"{name:36s} {1e3 * np.median(times):8.1f} ms CPU, median of 7")


def _first_fleet(count: int) -> Iterator[Truth]:
    for body in BODIES:
        for seed in range(_FIRST_SEED, _FIRST_SEED + count):
            one = simulated_car(body, seed)
            truth = np.stack([one.transfer(KNOWN_HZ, place, step=0.16) for place in (0, 1)])
            yield body, one.car, one.cones, truth


def _second_fleet(count: int) -> Iterator[Truth]:
    for body in BODIES:
        for seed in range(_FIRST_SEED, _FIRST_SEED + count):
            one = brick_car(body, seed)
            yield body, one.car, one.cones, one.transfer(KNOWN_HZ)


def _accuracy(title: str, fleet: Iterator[Truth]) -> None:
    errors: dict[tuple[str, str], list[float]] = {}
    held: list[Floats] = []
    width: list[Floats] = []
    tones = np.searchsorted(KNOWN_HZ, TONES)
    rng = np.random.default_rng(1)
    for body, car, cones, truth in fleet:
        model = estimated_cabin(car)
        heard = third_octave_db(truth[:, tones])
        noise = np.exp(rng.normal(0, 0.3, len(KNOWN_HZ)) * np.log(10) / 20)
        after = measured_cabin(
            model, KNOWN_HZ, cone_m=cones[0], transfer=truth[0] * noise, spread_db=0.3
        )
        zone = PressureZone(readings=car.cabin, space=car.load_space, rigid=True)
        draws = third_octave_db(model.transfer(TONES, cones, draws=_DRAWS, seed=3))
        known = third_octave_db(after.transfer(TONES, cones)[:, 0])
        levels = {
            "outline, mean over cars": (draws[0, 0], heard[0]),
            "outline, one nominal car": (_level(model.at_readings(TONES, cones[:1])), heard[0]),
            "rectangle": (_level(rectangular_cabin(car, "").at_readings(TONES, cones)), heard[0]),
            "one volume": (_level(zone.at_readings(TONES, cones[:1])), heard[0]),
            "half space": (third_octave_db(1.204 * TONES + 0j), heard[0]),
            "measured, same place": (known[0], heard[0]),
            "measured, other place": (known[1], heard[1]),
        }
        for name, (level, true) in levels.items():
            off = float(np.sqrt(np.mean((level - true) ** 2)))
            errors.setdefault((name, body), []).append(off)
        low, high = np.quantile(draws[:, 1:], [0.05, 0.95], axis=1)
        held.extend((heard >= low) & (heard <= high))
        width.extend(high - low)
    print(f"\n{title}: rms error of third octaves 20-80 Hz at the ear, median [dB]")
    print(f"{'':26s}" + "".join(f"{body:>11s}" for body in BODIES) + f"{'all':>8s}")
    for name in dict.fromkeys(key[0] for key in errors):
        parts = [errors[name, body] for body in BODIES]
        line = "".join(f"{np.median(part):11.2f}" for part in parts)
        print(f"{name:26s}{line}{np.median(np.concatenate(parts)):8.2f}")
    print("90 % band      " + "".join(f"{band:8.1f}" for band in BANDS) + " Hz")
    print("holds the truth" + "".join(f"{100 * x:8.0f}" for x in np.mean(held, axis=0)) + " %")
    print("median width   " + "".join(f"{x:8.1f}" for x in np.median(width, axis=0)) + " dB")


def _level(transfer: NDArray[np.complex128]) -> Floats:
    return np.asarray(third_octave_db(transfer[0]))


def main() -> None:
    """Print speed, then accuracy on two fleets of invented cars simulated apart from it."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 3
    _speed()
    _accuracy("first fleet, priors set on other cars of it", _first_fleet(count))
    _accuracy("second fleet, nothing set by it", _second_fleet(count))


if __name__ == "__main__":
    main()

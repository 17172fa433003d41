"""How right and how quick the cabin is: run ``python -m benchmarks.cabin [cars a body]``."""

from __future__ import annotations

import sys
from time import process_time

import numpy as np
from tests.sound.cabin.simulated_cars import BODIES, TONES, simulated_car, third_octave_db

from basswright.sound.cabin import estimated_cabin, measured_cabin
from basswright.sound.cabin.cavity import cavity_of
from basswright.sound.cabin.outline import box_outline
from basswright.sound.cabin.rectangular import rectangular_cabin
from basswright.sound.cabin.zone import PressureZone


def _speed() -> None:
    rows: dict[str, list[float]] = {}
    rng = np.random.default_rng(0)
    ears = rng.uniform([1.0, -0.4, 0.7], [1.6, 0.4, 1.0], (7, 3))
    cones = rng.uniform([-0.7, -0.5, 0.05], [-0.2, 0.5, 0.5], (20_000, 3))
    frequency = np.geomspace(10, 200, 32)
    model = estimated_cabin(simulated_car("hatchback", 0).car)
    for ear in ears:
        start = process_time()
        cavity = cavity_of(box_outline(2.3, 1.3, 1.0))
        rows.setdefault("prepare 3 m3 to 200 Hz", []).append(process_time() - start)
        start = process_time()
        cavity.reduced(ear[None])
        rows.setdefault("a new ear", []).append(process_time() - start)
        start = process_time()
        model.shapes(cones[:1])
        rows.setdefault("a new box position", []).append(process_time() - start)
        start = process_time()
        model.transfer(frequency, cones, draws=8)
        rows.setdefault("20,000 places x 32 Hz x 8 draws", []).append(process_time() - start)
    for name, times in rows.items():
        print(f"{name:36s} {1e3 * np.median(times):8.1f} ms CPU, median of 7")


def _accuracy(count: int) -> None:
    errors: dict[tuple[str, str], list[float]] = {}
    for body in BODIES:
        for seed in range(100, 100 + count):
            one = simulated_car(body, seed)
            truth = [third_octave_db(one.transfer(TONES, place, step=0.16)) for place in (0, 1)]
            model = estimated_cabin(one.car)
            order = np.argsort(TONES)
            known = one.transfer(TONES[order], 0, step=0.16)
            after = measured_cabin(model, TONES[order], cone_m=one.cones[0], transfer=known)
            zone = PressureZone(readings=one.car.cabin, space=one.car.load_space, rigid=True)
            free = third_octave_db(1.204 * TONES + 0j)
            rectangle = rectangular_cabin(one.car, "")
            models = {"outline": model, "rectangle": rectangle, "one volume": zone}
            for name, kind in models.items():
                level = third_octave_db(kind.transfer(TONES, one.cones[:1])[0, 0])
                errors.setdefault((name, body), []).append(_rms(level - truth[0]))
            level = third_octave_db(after.transfer(TONES, one.cones[1:])[0, 0])
            errors.setdefault(("measured, other place", body), []).append(_rms(level - truth[1]))
            errors.setdefault(("half space", body), []).append(_rms(free - truth[0]))
    print(f"\nrms error of third octaves 20-80 Hz at the ear, {count} cars a body: median [dB]")
    print(f"{'':24s}" + "".join(f"{body:>11s}" for body in BODIES) + f"{'all':>8s}")
    for name in dict.fromkeys(key[0] for key in errors):
        parts = [errors[name, body] for body in BODIES]
        line = "".join(f"{np.median(part):11.2f}" for part in parts)
        print(f"{name:24s}{line}{np.median(np.concatenate(parts)):8.2f}")


def _rms(error: np.ndarray) -> float:
    return float(np.sqrt(np.mean(error**2)))


def main() -> None:
    """Print speed, then accuracy on invented cars simulated apart from the product."""
    _speed()
    _accuracy(int(sys.argv[1]) if len(sys.argv) > 1 else 3)


if __name__ == "__main__":
    main()

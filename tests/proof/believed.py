"""What the plan of a simulated car says: a plant and a prediction with the errors of life."""

from dataclasses import replace

import numpy as np

from basswright.proof.plant import Change, Facts
from basswright.records.system import Prediction
from tests.proof import cars

GRID = 16.0 * 2 ** (np.arange(36) / 12)
DRAWS = 48


class BelievedPlant:
    """A coarse model: few modes of one damping, parameters as read off sheet and tape."""

    def __init__(self, truth, seed):
        r = np.random.default_rng(seed + 5)
        self.truth = mistaken(truth, r)
        self.frequency_hz = GRID
        box = self.truth.box
        turns = [(0.4, 0, 0), (-0.25, 0, 0), (0, 0.35, 0), (0, -0.35, 0), (0, 0, 0.3)]
        more = [(0.7, 0, 0), (1.0, 0, 0), (0.4, 0.35, 0), (0.4, -0.35, 0), (0.4, 0, 0.3)]
        self.facts = Facts(
            drivers=truth.drivers,
            coils=truth.coils,
            in_series=1,
            low_pass_hz=80.0,
            gain_voltage_v=truth.gain_v,
            amplifier_voltage_v=truth.amplifier_v,
            supply_ohm=0.012,
            has_boot=truth.boot_m3 > 0,
            moves_m=tuple(tuple(map(float, m)) for m in turns + more),
            resistance_ohm=box["Re"],
        )

        self.draws = [self.truth] + [mistaken(self.truth, r) for _ in range(DRAWS)]
        self.cabins = {}

    def flow(self, change):
        return self._box(self.truth, change)[0]

    def impedance(self, change):
        return self._box(self.truth, change)[1]

    def pressure(self, change):
        key = (change.moved_m, change.boot_opening_share)
        if key not in self.cabins:
            self.cabins[key] = [self._across(car, change) for car in self.draws]
        flows = [self._box(car, change)[0] for car in self.draws]
        return np.array(flows) * np.array(self.cabins[key])

    @staticmethod
    def _across(car, change):
        place = np.clip(car.source + change.moved_m, 0.1, car.size - 0.1)
        opening = car.opening_m2 * change.boot_opening_share
        moved = replace(car, source=place, opening_m2=opening)
        return cars.cabin(moved, 2 * np.pi * GRID)

    @staticmethod
    def _box(car, change):
        return cars.box_flow(
            car.box,
            2 * np.pi * GRID,
            leak_q=change.leak_Q,
            opposed=change.opposed_share,
            coil_share=change.coil_share,
        )


def mistaken(truth, r):
    """The car as the plan has it."""
    box = dict(truth.box)
    for key, spread in (("Bl", 0.05), ("Mms", 0.05), ("Cms", 0.12), ("Rms", 0.2), ("Cab", 0.05)):
        box[key] *= np.exp(r.normal(0, spread))
    box["Re"] *= np.exp(r.normal(0, 0.03))
    box["Le"] *= np.exp(r.normal(0, 0.3))
    box["QL"] = 7.0
    return replace(
        truth,
        box=box,
        size=truth.size * np.exp(r.normal(0, 0.04, 3)),
        ear=truth.ear + r.normal(0, 0.05, 3),
        source=truth.source + r.normal(0, 0.05, 3),
        damping=np.full(4000, 0.18),
        leak_hz=5.0,
        boot_m3=truth.boot_m3 * np.exp(r.normal(0, 0.08)),
        opening_m2=truth.opening_m2 * np.exp(r.normal(0, 0.3)),
    )


def prediction(plant):
    """Middle and 90 % band, from the plant's own draws."""
    levels = 20 * np.log10(np.abs(plant.pressure(Change())) / 2e-5)
    chain = np.interp(GRID, cars.FREQUENCY, 20 * np.log10(np.abs(cars.low_pass(80.0))))
    middle = levels[0] + 20 * np.log10(plant.truth.gain_v) + chain
    spread = np.sqrt(np.mean((levels[1:] - levels[0]) ** 2, axis=0) + 1.0**2)
    none = np.zeros_like(GRID)
    return Prediction(
        frequency_hz=GRID,
        level_db=middle,
        level_low_db=middle - 1.645 * spread,
        level_high_db=middle + 1.645 * spread,
        loudest_db=middle,
        loudest_low_db=middle,
        loudest_high_db=middle,
        limit_index=np.zeros(GRID.size, dtype=int),
        limits=("cone",),
        excursion_m=none,
        port_speed_m_per_s=none,
        impedance_ohm=plant.impedance(Change()),
        group_delay_s=none,
        cabin_gain_db=none,
        cabin_model="simulated",
        low_limit_3db_hz=(20.0, 20.0, 20.0),
        low_limit_10db_hz=(20.0, 20.0, 20.0),
    )

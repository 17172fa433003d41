"""A chosen system as it would be recorded in a car that other models simulate.

The room is that of `cars`, a rectangle with walls that give, brought to the size of the
job's car; the box is the lumped one of `cars`, by the figures of its sheet.
"""

from dataclasses import replace

import numpy as np
import soundfile

from basswright.records.measurement import Sweep
from tests.proof import cars
from tests.proof.records_of import DASH_M
from tests.proof.rooms import played, through

#: Sound pressure level of a sine that fills the recordings made here.
FULL_SCALE_DB = 130.0


def with_the_whole_volume(job):
    """The job, its cabin as full of air as the simulated rectangle is."""
    cabin = job.car.cabin
    air = (cabin.length_m + DASH_M) * cabin.width_m * cabin.height_m
    cabin = cabin.model_copy(update={"volume_m3": air})
    car = job.car.model_copy(update={"cabin": cabin})
    origins = {key: value for key, value in car.origins.items() if key != "cabin.volume_m3"}
    return job.model_copy(update={"car": car.model_copy(update={"origins": origins})})


def truth_of(system, seed=4):
    """The simulated car of a system in an open body, its box closed or vented with one driver."""
    job, option = system.job, system.option
    cabin, driver = job.car.cabin, option.enclosure.driver
    size = np.array([cabin.length_m + DASH_M, cabin.width_m, cabin.height_m])
    frame = np.array([job.car.load_space.depth_floor_m, size[1] / 2, 0.0])
    ear = job.car.listener
    compliance = driver.Vas_m3 / (cars.RHO * cars.C**2 * driver.Sd_m2**2)
    mass = 1 / (compliance * (2 * np.pi * driver.fs_hz) ** 2)
    enclosure, tuning = option.enclosure, option.enclosure.tuning_hz or 0.0
    air = enclosure.net_volume_m3 / (cars.RHO * cars.C**2)
    box = {
        "Re": driver.Re_ohm,
        "Bl": np.sqrt(2 * np.pi * driver.fs_hz * mass * driver.Re_ohm / driver.Qes),
        "Mms": mass,
        "Cms": compliance,
        "Rms": 2 * np.pi * driver.fs_hz * mass / driver.Qms,
        "Sd": driver.Sd_m2,
        "Cab": air,
        "Map": 1 / (air * (2 * np.pi * tuning) ** 2) if tuning else 0.0,
        "QL": 8.0,
        "Le": driver.Le_henry,
        "ref_hz": tuning or driver.fs_hz * np.sqrt(1 + driver.Vas_m3 / enclosure.net_volume_m3),
    }
    body = cars.random_car(seed)
    shift = size / body.size
    return replace(
        body,
        size=size,
        ear=np.array([ear.ear_x_m, ear.ear_y_m, ear.ear_z_m]) + frame,
        source=np.array(option.placement.cone) + frame,
        front=body.front * shift,
        panels=tuple((panel[0] * shift, *panel[1:]) for panel in body.panels),
        saloon=False,
        box=box,
        gain_v=option.match.gain_voltage_v,
    )


def record(path, system, *, gain_db=0.0, leak_q=None, sweep=None, rate=48000, seed=4):
    """Write what a calibrated microphone at the ear hears of the sweep, as WAV."""
    sweep, truth = sweep or Sweep(), truth_of(system, seed)
    grid = np.geomspace(5, 400, 300)
    omega = 2 * np.pi * grid
    flow, _ = cars.box_flow(truth.box, omega, leak_q=leak_q)
    across, _ = cars.cabin(truth, omega)
    s = 1j * grid / system.job.wish.crossover_hz
    filtered = 1 / ((s**2 + 0.765367 * s + 1) * (s**2 + 1.847759 * s + 1))
    pressure = flow * across * filtered * truth.gain_v * 10 ** (gain_db / 20) / 2e-5
    sound = pressure * 10 ** (-FULL_SCALE_DB / 20)

    def room(frequency_hz):
        at = np.log(np.clip(frequency_hz, grid[0], grid[-1]))
        level = np.interp(at, np.log(grid), np.log(np.abs(sound)))
        phase = np.interp(at, np.log(grid), np.unwrap(np.angle(sound)))
        inside = np.clip((400 - frequency_hz) / 60, 0, 1) * np.clip(frequency_hz / 6, 0, 1)
        return inside * np.exp(level + 1j * phase - 0.05j * 2 * np.pi * frequency_hz)

    heard = through(played(sweep, rate=rate), rate, room)
    heard = heard + 2e-5 * np.random.default_rng(seed).standard_normal(heard.size)
    soundfile.write(path, heard, rate, subtype="PCM_24")
    return path

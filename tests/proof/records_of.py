"""What the fitter knows of a simulated car: its sheet, the plan and its promise."""

from functools import cache

import numpy as np

from basswright.proof.installed import InstalledSystem, moves_of
from basswright.proof.plant import Change, Facts
from basswright.records.car import Cabin, Car, Charging, HeadUnit, Listener
from basswright.records.enclosure import Cuboid, Driver, Enclosure
from basswright.records.space import BootSpace, Opening
from basswright.sound import predict
from tests.proof import cars


def car_of(truth, seed):
    """The car by tape, each reading off by its own small error."""
    r = np.random.default_rng(seed + 31)
    size = truth.size * np.exp(r.normal(0, 0.015, 3))
    body = "saloon" if truth.saloon else "hatchback"
    depth = 0.95 if truth.saloon else float(truth.seat_x)
    ear = truth.ear - [truth.seat_x, truth.size[1] / 2, 0.0] + r.normal(0, 0.03, 3)
    air = float(np.prod(truth.size) * np.exp(r.normal(0, 0.04)))
    opening = float(truth.opening_m2 * np.exp(r.normal(0, 0.25)))
    boot = float(truth.boot_m3 * np.exp(r.normal(0, 0.05)))
    return Car(
        name="Invented simulated car",
        body=body,
        load_space=BootSpace(
            kind=body,
            width_floor_m=float(0.8 * size[1]),
            width_above_arches_m=float(0.95 * size[1]),
            height_m=0.55,
            depth_floor_m=depth,
            depth_top_m=depth,
            seat_lean_deg=15.0,
            arch_length_m=0.4,
            arch_height_m=0.2,
            arch_from_seat_m=0.1,
            spare_well_diameter_m=0.0,
            spare_well_depth_m=0.0,
            opening=Opening(width_m=0.9, height_m=0.5),
        ),
        cabin=Cabin(
            length_m=float(size[0]) - DASH_M,
            width_m=float(size[1]),
            height_m=float(size[2]),
            volume_m3=air,
            boot_volume_m3=boot if truth.saloon else 0.0,
            boot_opening_m2=opening if truth.saloon else 0.0,
            leak_corner_hz=5.0,
            loss_factor=0.18,
        ),
        listener=Listener(ear_x_m=float(ear[0]), ear_y_m=float(ear[1]), ear_z_m=float(ear[2])),
        charging=Charging(
            alternator_rated_a=140.0,
            alternator_idle_a=75.0,
            running_voltage_v=13.8,
            battery_kind="flooded",
            battery_capacity_ah=70.0,
            battery_cca_a=640.0,
            base_load_a=40.0,
            standing_drain_a=0.03,
            cable_route_m=5.0,
            ground_route_m=0.6,
        ),
        head_unit=HeadUnit(signal="line", output_v=4.0),
    )


def cone_of(truth):
    """Where the cone is, in the frame of the load space."""
    x = -0.4 if truth.saloon else truth.source[0] - truth.seat_x
    return (float(x), float(truth.source[1] - truth.size[1] / 2), float(truth.source[2]))


#: How much of a cabin's length lies under the windscreen, ahead of the dashboard.
DASH_M = 0.35


@cache
def plant_of(index, draws=48):
    """The plan of one simulated car as the program's own models have it."""
    truth = cars.random_car(index)
    cone = cone_of(truth)
    car, enclosure = car_of(truth, index), enclosure_of(truth, index)
    facts = Facts(
        drivers=truth.drivers,
        coils=truth.coils,
        in_series=1,
        low_pass_hz=80.0,
        gain_voltage_v=truth.gain_v,
        amplifier_voltage_v=truth.amplifier_v,
        supply_ohm=0.012,
        has_boot=truth.saloon,
        moves_m=moves_of(car, cone, (cone[0] - 0.2, cone[1], cone[2])),
        resistance_ohm=enclosure.driver.Re_ohm / truth.drivers,
    )
    return InstalledSystem(car=car, enclosure=enclosure, cone_m=cone, facts=facts, draws=draws)


@cache
def promise_of(index):
    """What was promised for it."""
    plant, truth = plant_of(index), cars.random_car(index)
    return predict(
        plant.models,
        plant._transfer(Change()),
        plant.frequency_hz,
        voltage_v=truth.gain_v,
        current_a=100.0,
        lowpass_hz=80.0,
        infrasonic_hz=None,
        cabin_model="finite elements",
    )


def enclosure_of(truth, seed):
    """The box by its sheet: driver parameters off by the maker's tolerance."""
    r = np.random.default_rng(seed + 37)
    box = truth.box

    def near(value, spread):
        return float(value * np.exp(r.normal(0, spread)))

    fs = 1 / (2 * np.pi * np.sqrt(box["Mms"] * box["Cms"]))
    qes = 2 * np.pi * fs * box["Mms"] * box["Re"] / box["Bl"] ** 2
    qms = 2 * np.pi * fs * box["Mms"] / box["Rms"]
    vas = cars.RHO * cars.C**2 * box["Sd"] ** 2 * box["Cms"]
    count = truth.drivers
    eta = 4 * np.pi**2 * fs**3 * vas / (cars.C**3 * qes)
    load = 4.0 / count
    return Enclosure(
        id=f"simulated-{seed}",
        maker="Invented",
        model="Simulated",
        kind="vented" if box["Map"] else "closed",
        shape=Cuboid(width_m=0.9, height_m=0.5, depth_m=0.5),
        driver=Driver(
            size_m=0.25 if box["Sd"] / count < 0.04 else 0.3,
            count=count,
            fs_hz=near(fs, 0.05),
            Qes=near(qes, 0.06),
            Qms=near(qms, 0.1),
            Vas_m3=near(vas / count, 0.08),
            Re_ohm=near(box["Re"] * count, 0.02),
            Le_henry=near(box["Le"] * count, 0.1),
            Sd_m2=float(box["Sd"] / count),
            Xmax_m=0.012,
        ),
        load_ohm=load,
        power_low_w=200.0,
        power_high_w=1200.0,
        sensitivity_db=near(112.16 + 10 * np.log10(eta), 0.005),
        net_volume_m3=near(box["Cab"] * cars.RHO * cars.C**2, 0.03),
        tuning_hz=near(box["ref_hz"], 0.03) if box["Map"] else None,
        price=500.0,
    )

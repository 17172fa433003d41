"""A job to be kept: a small hatchback, with every reading."""

from __future__ import annotations

from basswright.records.car import Cabin, Car, Charging, HeadUnit, Listener
from basswright.records.job import Job
from basswright.records.space import BootSpace, Opening
from basswright.records.wish import Wish


def sample_job(id_: str = "green-hatch", title: str = "Green hatch", budget: float = 900.0) -> Job:
    return Job(
        id=id_,
        title=title,
        customer="Ömer Ångström",
        car=Car(
            name="small green hatchback",
            body="hatchback",
            load_space=BootSpace(
                kind="hatchback",
                width_floor_m=1.0,
                width_above_arches_m=1.2,
                height_m=0.5,
                depth_floor_m=0.7,
                depth_top_m=0.5,
                seat_lean_deg=20.0,
                arch_length_m=0.4,
                arch_height_m=0.3,
                arch_from_seat_m=0.1,
                spare_well_diameter_m=0.0,
                spare_well_depth_m=0.0,
                opening=Opening(width_m=1.0, height_m=0.6),
            ),
            cabin=Cabin(
                length_m=2.4,
                width_m=1.3,
                height_m=1.1,
                volume_m3=2.6,
                boot_volume_m3=0.0,
                boot_opening_m2=0.0,
                leak_corner_hz=5.0,
                loss_factor=0.2,
            ),
            listener=Listener(ear_x_m=1.2, ear_y_m=0.35, ear_z_m=0.7),
            charging=Charging(
                alternator_rated_a=100.0,
                alternator_idle_a=55.0,
                running_voltage_v=14.2,
                battery_kind="agm",
                battery_capacity_ah=60.0,
                battery_cca_a=600.0,
                base_load_a=40.0,
                standing_drain_a=0.03,
                cable_route_m=5.5,
                ground_route_m=0.6,
            ),
            head_unit=HeadUnit(signal="line", output_v=3.0),
        ),
        wish=Wish(level_db=115.0, low_limit_hz=30.0, budget=budget),
    )

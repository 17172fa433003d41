"""What the car is: its space, its cabin, where the ears are, what feeds the amplifier."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from basswright.records.base import Origins, Record
from basswright.records.cabin import CabinMeasurement
from basswright.records.space import LoadSpace

Body = Literal["hatchback", "estate", "saloon", "suv", "van", "pickup"]
BatteryKind = Literal["flooded", "efb", "agm", "gel", "lithium"]


class Cabin(Record):
    """The air that the bass is heard in."""

    length_m: float = Field(gt=0.5, le=8, description="dashboard to the rear wall or tailgate")
    width_m: float = Field(gt=0.5, le=3, description="inside width at elbow height")
    height_m: float = Field(gt=0.5, le=3, description="floor to roof lining")
    volume_m3: float = Field(gt=0.5, le=20, description="air volume of cabin and open load space")
    boot_volume_m3: float = Field(
        ge=0, le=3, description="air of a boot that is closed off from the cabin; 0 if open"
    )
    boot_opening_m2: float = Field(
        ge=0, le=2, description="effective opening between a closed-off boot and the cabin"
    )
    leak_corner_hz: float = Field(
        gt=0, le=40, description="frequency below which the closed car leaks pressure"
    )
    loss_factor: float = Field(gt=0, le=1, description="damping of the first cabin modes")


class Listener(Record):
    """Where the driver's ears are, in the frame of the load space."""

    ear_x_m: float = Field(gt=-4, le=6, description="ahead of the foot of the rear seat back")
    ear_y_m: float = Field(ge=-1.5, le=1.5, description="left of the centre line")
    ear_z_m: float = Field(gt=-1, le=3, description="above the load floor")


class Charging(Record):
    """Alternator, battery and the way from them to the amplifier."""

    alternator_rated_a: float = Field(gt=5, le=600, description="rated output, hot, at speed")
    alternator_idle_a: float = Field(gt=0, le=500, description="output at engine idle")
    running_voltage_v: float = Field(ge=12, le=15.5, description="at the battery, engine running")
    battery_kind: BatteryKind = Field(description="on the battery's label")
    battery_capacity_ah: float = Field(ge=20, le=400, description="20-hour capacity")
    battery_cca_a: float = Field(ge=100, le=2000, description="cold-cranking amps, EN")
    base_load_a: float = Field(ge=0, le=200, description="what the car itself draws by night")
    standing_drain_a: float = Field(ge=0, le=2, description="drain of the parked, locked car")
    cable_route_m: float = Field(gt=0.1, le=20, description="battery to amplifier, as laid")
    ground_route_m: float = Field(
        gt=0.05, le=20, description="amplifier to its body ground point, as laid"
    )


class HeadUnit(Record):
    """What the radio gives to an amplifier."""

    signal: Literal["line", "speaker"] = Field(
        description="line output sockets, or only wires to speakers"
    )
    output_v: float = Field(gt=0, le=15, description="RMS voltage at full scale, clean")


class Car(Record):
    """One car, with every reading that the answers rest on."""

    name: str = Field(min_length=1, max_length=80, description="as the papers name the car")
    body: Body = Field(description="shape of the body")
    load_space: LoadSpace
    cabin: Cabin
    listener: Listener
    charging: Charging
    head_unit: HeadUnit
    cabin_measurement: CabinMeasurement | None = Field(
        None, description="what an earlier job measured in this car"
    )
    origins: Origins = Field(default_factory=dict)

"""What a whole system is: box, place, amplifier, feed, price, and what it gives."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import Field

from basswright.records.amplifier import Amplifier, OutputMode
from basswright.records.base import Record
from basswright.records.electrics import (
    AlternatorUpgrade,
    BatteryUpgrade,
    Cable,
    Fixing,
    Fuse,
    FuseHolder,
)
from basswright.records.enclosure import Enclosure
from basswright.records.placement import Placement
from basswright.records.verdict import Verdict

Zone = Literal["too little", "inside", "above, gain set", "unsafe"]


class PowerMatch(Record):
    """How an amplifier output suits the total load and the power range of a box."""

    mode: OutputMode
    load_ohm: float = Field(description="total load that the output sees")
    wiring: str = Field(description="how the terminals are joined, in plain words")
    pairs: int = Field(1, description="pairs of terminals of the box that are joined")
    pair_ohm: float | None = Field(None, description="load at each, where there are several")
    available_w: float = Field(description="into that load at the car's supply voltage")
    used_w: float = Field(description="with the gain set")
    gain_voltage_v: float = Field(description="RMS at the terminals, sine at full scale")
    current_limit_a: float | None = Field(
        None, description="RMS current that the output can give into any load"
    )
    zone: Zone
    below_top_db: float = Field(description="how far `used_w` stays below the top of the range")
    verdict: Verdict
    gain_db: float | None = Field(None, description="from the radio's output to the terminals")
    set_up: tuple[str, ...] = Field((), description="how the gain is set, step by step")
    notes: tuple[str, ...] = Field((), description="what was estimated or derated, and why")
    cautions: tuple[str, ...] = ()


class SituationBalance(Record):
    """What the charging system has left over, or lacks, in one way of driving."""

    situation: str = Field(description='such as "idle, night, hot"')
    alternator_a: float = Field(description="what the alternator gives then")
    base_load_a: float = Field(description="what the car itself draws then")
    balance_a: float = Field(description="left over for charging; negative: the battery pays")


class SupplyPlan(Record):
    """Everything between the battery and the amplifier, with what it costs the car."""

    cable: Cable
    cable_length_m: float
    ground_length_m: float
    fuse: Fuse
    fuse_holder: FuseHolder
    fuse_position: str
    battery: BatteryUpgrade | None
    alternator: AlternatorUpgrade | None
    peak_current_a: float = Field(description="sine at the power used")
    average_current_a: float = Field(description="with programme")
    drop_v: float = Field(description="cable, return and joints, at the peak current")
    amplifier_voltage_v: float = Field(description="at the amplifier, at the peak current")
    idle_balance_a: float = Field(description="alternator left over at idle, by night")
    engine_off_s: float = Field(description="music with the engine off, car still starts")
    verdicts: tuple[Verdict, ...]
    cautions: tuple[str, ...]
    balances: tuple[SituationBalance, ...] = ()
    standing_s: float | None = Field(None, description="parked, until the car may not start")
    heat_w: float | None = Field(None, description="heat of the amplifier with programme")
    short_circuit_a: float | None = Field(None, description="into a short behind the fuse")
    price: float | None = Field(None, description="parts of the feed and of any upgrade")
    labour_s: float = Field(0.0, description="work on the upgrade alone")
    notes: tuple[str, ...] = Field((), description="what was estimated, and by which rule")


class PriceLine(Record):
    """One line of a price."""

    what: str
    part_id: str = ""
    count: float = Field(gt=0)
    unit: str = ""
    each: float = Field(ge=0)
    kind: Literal["part", "labour"]

    @property
    def total(self) -> float:
        """Price of the whole line."""
        return self.count * self.each


class Goals(Record):
    """What a system gives, by the figures that the wish is told in.

    The plain figures are the middle of the band; the `sure_` ones are kept in the
    share of cases that the wish asks for.
    """

    level_db: float
    sure_level_db: float
    low_limit_hz: float
    sure_low_limit_hz: float
    luggage_left_m3: float
    price: float
    headroom_db: float
    ease: float = Field(description="hours of work; fewer is easier")


class Option(Record):
    """One whole priced system."""

    id: str
    rank: int
    score: float
    equal_to: tuple[str, ...] = Field(
        (), description="options that the uncertainty cannot tell from this one"
    )
    named: tuple[str, ...] = Field((), description='such as "loudest" or "cheapest"')
    enclosure: Enclosure
    amplifier: Amplifier | None
    match: PowerMatch
    supply: SupplyPlan
    placement: Placement
    fixing: Fixing | None
    lines: tuple[PriceLine, ...]
    goals: Goals
    verdicts: tuple[Verdict, ...]
    reasons: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Prediction:
    """What one system does at each frequency.

    Attributes
    ----------
    frequency_hz : ndarray, shape (f,)
    level_db, level_low_db, level_high_db : ndarray, shape (f,)
        Level at the ear with the gain set, full-scale sine, no limit applied: middle
        and 90 % band [dB re 20 uPa].
    loudest_db, loudest_low_db, loudest_high_db : ndarray, shape (f,)
        Highest clean level at the ear: middle and 90 % band.
    limit_index : ndarray of int, shape (f,)
        Which of `limits` decides at that frequency, for the middle case.
    limits : tuple of str
    excursion_m : ndarray, shape (f,)
        Peak cone excursion at the highest clean level.
    port_speed_m_per_s : ndarray, shape (f,)
        Peak air speed in the port at that level; zero without a port.
    impedance_ohm : ndarray of complex, shape (f,)
    group_delay_s : ndarray, shape (f,)
    cabin_gain_db : ndarray, shape (f,)
        Level at the ear over the same box in half space at 1 m.
    cabin_model : str
        Which cabin model was used, and why.
    low_limit_3db_hz, low_limit_10db_hz : tuple of (low, middle, high)
        Frequencies below which the response at the ear stays that far down.
    flags : tuple of str
        Where the model is used outside its validity, in plain words.
    """

    frequency_hz: NDArray[np.float64]
    level_db: NDArray[np.float64]
    level_low_db: NDArray[np.float64]
    level_high_db: NDArray[np.float64]
    loudest_db: NDArray[np.float64]
    loudest_low_db: NDArray[np.float64]
    loudest_high_db: NDArray[np.float64]
    limit_index: NDArray[np.intp]
    limits: tuple[str, ...]
    excursion_m: NDArray[np.float64]
    port_speed_m_per_s: NDArray[np.float64]
    impedance_ohm: NDArray[np.complex128]
    group_delay_s: NDArray[np.float64]
    cabin_gain_db: NDArray[np.float64]
    cabin_model: str
    low_limit_3db_hz: tuple[float, float, float]
    low_limit_10db_hz: tuple[float, float, float]
    flags: tuple[str, ...] = ()

"""What the papers are made of: every figure that a paper can show, in SI units.

A :class:`PapersContext` is complete: the sheets read nothing else. Each field is read by
at least one paper, and each is listed in the documentation; tests hold both.
"""

from __future__ import annotations

from datetime import date
from typing import Literal

from pydantic import Field

from basswright.records.base import Record
from basswright.records.enclosure import BoxKind, Shape
from basswright.records.placement import Gap
from basswright.records.system import PriceLine, SituationBalance, Zone
from basswright.records.tuning import EqualiserBand, FilterFamily, Polarity


class Head(Record):
    """What stands at the top and foot of every page."""

    workshop: str = Field(description="name of the workshop; may be empty")
    address: str = Field(description="of the workshop; may be empty")
    contact: str = Field(description="telephone, mail; may be empty")
    tax_number: str = Field(description="of the workshop; may be empty")
    logo: str = Field(description="the workshop's logo: SVG text or PNG as a data address")
    number: str = Field(description="job number")
    revision: int = Field(ge=1, description="revision of the papers")
    title: str = Field(description="what the job is about")
    customer: str = Field(description="who the papers are for; may be empty")
    car: str = Field(description="name of the car")
    issued: date = Field(description="day of issue")
    valid_until: date = Field(description="last day of the quote")
    currency: str = Field(description="ISO 4217 code")
    language: str = Field(description="name of the language file")
    lengths: Literal["metric", "inch"] = Field(description="units of lengths, masses and forces")
    paper: Literal["a4", "us-letter"] = Field(description="size of the sheets")


Corner = Literal["loudest", "lowest", "most luggage left", "cheapest", "easiest to fit"]


class Alternative(Record):
    """Another whole system, to be named on the quote beside the chosen one."""

    name: str = Field(description="as it stands on the quote")
    corners: tuple[Corner, ...] = Field((), description="in what it is the best of all")
    price: float = Field(ge=0, description="with labour and tax")
    level_db: float = Field(description="level at the ear that is promised")
    low_limit_hz: float = Field(description="low limit that is promised")
    luggage_left_m3: float | None = Field(None, description="luggage that still goes in")


class QuoteFacts(Record):
    """The price, line by line."""

    lines: tuple[PriceLine, ...] = Field(
        description="without tax; a part with a price of 0 is on request"
    )
    parts_total: float = Field(description="parts without tax")
    labour_total: float = Field(description="labour without tax")
    labour_h: float = Field(description="stated working time [h]")
    hourly_rate: float = Field(description="per hour, without tax")
    net_total: float = Field(description="parts and labour without tax")
    tax_share: float = Field(description="share of the net total")
    tax: float = Field(description="money")
    total: float = Field(description="with tax")
    budget: float = Field(description="what the customer set, with tax")
    on_request: int = Field(description="number of lines that have no price yet")
    alternatives: tuple[Alternative, ...]


class SystemFacts(Record):
    """The chosen box and amplifier."""

    box: str = Field(description="maker and model")
    box_kind: BoxKind = Field(description="closed, vented, ...")
    shape: Shape = Field(description="outer shape and size")
    mass_kg: float | None = Field(description="None where the supplier does not say")
    cone_count: int = Field(description="number of driven cones")
    cone_size_m: float = Field(description="nominal diameter")
    tuning_hz: float | None = Field(description="None where there is none or it is not stated")
    amplifier: str = Field(description="empty if the box brings its own")
    load_ohm: float = Field(description="total load")
    power_w: float = Field(description="power used, RMS, with the gain set")
    zone: Zone = Field(description="where that power lies against the box's range")
    reasons: tuple[str, ...] = Field(description="why this system")


class Promise(Record):
    """What the customer may rely on, beside what was wished for."""

    level_db: float = Field(description="expected level at the ear, middle of the band")
    sure_level_db: float = Field(description="level that is promised")
    wished_level_db: float = Field(description="level that was wished for")
    low_limit_hz: float = Field(description="expected low limit, middle of the band")
    sure_low_limit_hz: float = Field(description="low limit that is promised")
    wished_low_limit_hz: float = Field(description="low limit that was wished for")
    lowest_hz: float = Field(description="lowest frequency that is looked at")
    highest_hz: float = Field(description="low limit from which on nothing is held")
    certainty_share: float = Field(description="share of cases in which it must be kept")
    luggage_left_m3: float = Field(description="luggage that still goes in")
    luggage_wished_m3: float = Field(description="luggage that was to be kept")
    engine_off_s: float = Field(description="music with the engine off, car still starts")
    bands: tuple[BandLevel, ...]
    cabin_model: str = Field(description="which cabin model the promise rests on, and why")


class BandLevel(Record):
    """Highest clean level at the ear at one third-octave band centre."""

    frequency_hz: float = Field(description="band centre, ISO 266")
    level_db: float = Field(description="middle of the band")
    low_db: float = Field(description="5 % end of the band")
    high_db: float = Field(description="95 % end of the band")
    limit: str = Field(description="what limits it there")


class Run(Record):
    """One wire to be laid."""

    purpose: Literal["feed", "ground", "remote", "signal", "loudspeaker"] = Field(
        description="what the wire is for"
    )
    from_terminal: str = Field("", description="terminal number after DIN 72552; may be empty")
    to_terminal: str = ""
    size: str = Field("", description="conductor size as named; empty where any will do")
    length_m: float | None = Field(None, description="None where it is as laid in the car")
    fuse_a: float | None = Field(None, description="None: no fuse of its own")


class Forces(Record):
    """What the fixing has to hold, for a box of the given mass."""

    forward_n: float = Field(description="hard braking")
    sideways_n: float = Field(description="bends and swerves")
    rearward_n: float = Field(description="pulling away")
    crash_n: float = Field(description="at the stated deceleration, friction left out")
    crash_g: float = Field(description="assumed deceleration, in multiples of g")


class Doubt(Record):
    """A verdict that is too close to call."""

    rule: str = Field(description="which rule")
    limit: str = Field(description="what decides")
    margin: float = Field(description="signed, in `unit`")
    unit: str = Field(description="unit of the margin")


class FittingFacts(Record):
    """Where things go and how they are joined."""

    orientation: str = Field(description="how the box stands")
    way_in: str = Field(description="which way round it passes the opening")
    support: str = Field("", description="what a tilted box has to be held up by")
    amplifier_place: str | None = Field(
        "", description="where the amplifier goes; empty where not judged, None for no place"
    )
    binding: str = Field(description="the tightest dimension")
    gaps: tuple[Gap, ...]
    luggage_lost_m3: float = Field(description="volume that the box takes")
    wiring: str = Field(description="how the loudspeaker terminals are joined")
    runs: tuple[Run, ...]
    cable: str = Field(description="maker, model and size of the feed")
    fuse: str = Field(description="makers and models of fuse and holder")
    fuse_a: float = Field(description="rating")
    fuse_position: str = Field(description="where it sits")
    upgrades: tuple[str, ...]
    fixing: str = Field(description="empty if none was chosen")
    fixing_force_n: float | None = Field(description="working load of the set")
    forces: Forces | None = Field(description="None where the mass is not known")
    labour_h: float = Field(description="planned time [h]")
    cautions: tuple[str, ...]
    doubts: tuple[Doubt, ...]


class TuningFacts(Record):
    """How the system is set.

    Made from the settings of the tuning room, from a mapping with these keys, or plainly
    from the option and the wish.
    """

    gain_voltage_v: float = Field(gt=0, description="RMS at the terminals, sine at full scale")
    tone_hz: float = Field(50.0, gt=0, description="test tone for the gain")
    tone_level_dbfs: float = Field(-5.0, le=0, description="level of that tone")
    low_pass_hz: float = Field(gt=0, description="corner of the low-pass")
    low_pass_family: FilterFamily | None = Field(None, description="None: any")
    low_pass_db_per_octave: float = Field(24.0, gt=0, description="slope")
    infrasonic_hz: float | None = Field(None, description="None: no infrasonic filter")
    infrasonic_family: FilterFamily | None = Field(None, description="None: any")
    infrasonic_db_per_octave: float = Field(24.0, gt=0, description="slope")
    front_high_pass_hz: float | None = Field(None, description="None: as the front speakers need")
    polarity: Polarity | None = Field(None, description="of the box; None: try both")
    bass_delay_s: float | None = Field(None, ge=0, description="None: to be found in the car")
    front_delay_s: float | None = Field(None, ge=0, description="None: to be found in the car")
    bands: tuple[EqualiserBand, ...] = Field((), description="equaliser")
    notes: tuple[str, ...] = Field((), description="about the settings")
    cautions: tuple[str, ...] = ()
    estimates: tuple[str, ...] = Field((), description="what was estimated or derated, and why")


class SupplyFacts(Record):
    """What the car's wiring is asked to give."""

    peak_current_a: float = Field(description="sine at the power used")
    average_current_a: float = Field(description="with programme")
    drop_v: float = Field(description="cable, return and joints, at the peak current")
    amplifier_voltage_v: float = Field(description="at the amplifier, at the peak current")
    running_voltage_v: float = Field(description="at the battery, engine running")
    idle_balance_a: float = Field(description="alternator left over at idle, by night")
    standing_drain_a: float = Field(description="drain of the parked, locked car")
    standing_s: float | None = Field(description="parked, until it may not start; None: unknown")
    heat_w: float | None = Field(description="heat of the amplifier with programme")
    short_circuit_a: float | None = Field(description="into a short behind the fuse")
    balances: tuple[SituationBalance, ...]


class BandMargin(Record):
    """How far the measured level stays above the lower edge of the promise in one band."""

    frequency_hz: float = Field(description="band centre, ISO 266")
    margin_db: float = Field(description="measured minus the 5 % end of the band")


class Measured(Record):
    """What was measured in the finished car. Whatever is None is left to be written in."""

    level_db: float | None = Field(None, description="level at the ear, as promised")
    low_limit_hz: float | None = Field(None, description="low limit, as promised")
    gain_voltage_v: float | None = Field(None, description="RMS at the terminals at full scale")
    drop_v: float | None = Field(None, description="battery to amplifier")
    amplifier_voltage_v: float | None = Field(None, description="at full level")
    standing_drain_a: float | None = Field(None, description="parked and locked")
    bands: tuple[BandMargin, ...] = Field((), description="margin in each band that was measured")
    kept: bool | None = Field(None, description="whether the promise was kept")
    remarks: tuple[str, ...] = ()


class FigureFacts(Record):
    """A drawing or chart, as SVG text."""

    name: str = Field(
        description='"plan", "side", "rear", "wiring", "response", "impedance", "excursion"'
    )
    svg: str = Field(description="the drawing")
    size_mm: tuple[float, float] | None = Field(
        None, description="width and height of a drawing that is to scale on paper"
    )


class PapersContext(Record):
    """Everything that the papers of one job can show."""

    head: Head
    quote: QuoteFacts
    system: SystemFacts
    promise: Promise
    fitting: FittingFacts
    tuning: TuningFacts
    supply: SupplyFacts
    measured: Measured
    figures: tuple[FigureFacts, ...]


Promise.model_rebuild()

"""Three invented jobs whose papers are made in the tests. No maker here exists."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np

from basswright.papers import Alternative, Extras, Measured
from basswright.papers.facts import BandMargin
from basswright.papers.settings import Tuning
from basswright.records.amplifier import Amplifier, PowerRating
from basswright.records.car import Cabin, Car, Charging, HeadUnit, Listener
from basswright.records.electrics import (
    AlternatorUpgrade,
    BatteryUpgrade,
    Cable,
    Fixing,
    Fuse,
    FuseHolder,
)
from basswright.records.enclosure import (
    BuiltInAmplifier,
    Cuboid,
    Driver,
    Enclosure,
    Wedge,
)
from basswright.records.job import Job, Workshop
from basswright.records.placement import Gap, Placement
from basswright.records.space import BootSpace, Opening
from basswright.records.system import (
    Goals,
    Option,
    PowerMatch,
    Prediction,
    PriceLine,
    SituationBalance,
    SupplyPlan,
)
from basswright.records.tuning import Delay, EqualiserBand, GainSetting, PassFilter, TuningSettings
from basswright.records.verdict import Relief, Verdict
from basswright.records.wish import Wish

TODAY = date(2026, 3, 9)

LOGO = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 60 40"><path d="M4 20h8l4-14 8 28 8-28 '
    '8 28 4-14h12" fill="none" stroke="#1c2529" stroke-width="4"/></svg>'
)


@dataclass(frozen=True, kw_only=True)
class Sample:
    """What `papers.context` is called with."""

    job: Job
    option: Option
    prediction: Prediction
    drawings: dict[str, str]
    tuning: Tuning
    extras: Extras


def verdict(rule: str, *, margin: float, unit: str, limit: str, sure: bool = True) -> Verdict:
    return Verdict(
        rule=rule,
        passes=margin >= 0,
        margin=margin,
        unit=unit,
        limit=limit,
        relief=None if margin >= 0 else Relief(what=limit, amount=-margin, unit=unit),
        certainty="sure" if sure else "too close to call",
    )


def drawing(width: float, height: float, words: str, *, to_scale: bool = False) -> str:
    """A stand-in with the look of a dimensioned drawing; to scale in quarters of a mm."""
    size = f'width="{width / 4:g}mm" height="{height / 4:g}mm" ' if to_scale else ""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" {size}viewBox="0 0 {width} {height}" '
        'font-family="sans-serif" font-size="12">'
        f'<rect x="20" y="20" width="{width - 40}" height="{height - 60}" fill="none" '
        'stroke="#1c2529" stroke-width="1.5"/>'
        f'<rect x="{width * 0.3}" y="40" width="{width * 0.4}" height="{height - 100}" '
        'fill="#e3e9ec" stroke="#1c2529"/>'
        f'<line x1="20" y1="{height - 22}" x2="{width - 20}" y2="{height - 22}" stroke="#1c2529" '
        'stroke-width="0.8"/>'
        f'<text x="{width / 2}" y="{height - 8}" text-anchor="middle">{words}</text></svg>'
    )


DRAWINGS = {
    "plan": drawing(520, 480, "1010 mm", to_scale=True),
    "side": drawing(330, 260, "820 mm", to_scale=True),
    "rear": drawing(330, 260, "640 mm", to_scale=True),
    "feed": drawing(640, 260, "Feed 25 mm², 80 A"),
    "coils": drawing(520, 180, "2 × 4 Ω in parallel: 2 Ω"),
}


def load_space() -> BootSpace:
    return BootSpace(
        kind="hatchback",
        width_floor_m=1.01,
        width_above_arches_m=1.28,
        height_m=0.55,
        depth_floor_m=0.82,
        depth_top_m=0.52,
        seat_lean_deg=24.0,
        arch_length_m=0.55,
        arch_height_m=0.3,
        arch_from_seat_m=0.1,
        spare_well_diameter_m=0.6,
        spare_well_depth_m=0.18,
        opening=Opening(width_m=0.95, height_m=0.62, sill_m=0.08),
    )


def car(name: str) -> Car:
    return Car(
        name=name,
        body="hatchback",
        load_space=load_space(),
        cabin=Cabin(
            length_m=2.7,
            width_m=1.42,
            height_m=1.15,
            volume_m3=3.3,
            boot_volume_m3=0.0,
            boot_opening_m2=0.0,
            leak_corner_hz=8.0,
            loss_factor=0.2,
        ),
        listener=Listener(ear_x_m=1.35, ear_y_m=0.36, ear_z_m=0.75),
        charging=Charging(
            alternator_rated_a=120.0,
            alternator_idle_a=65.0,
            running_voltage_v=14.2,
            battery_kind="efb",
            battery_capacity_ah=70.0,
            battery_cca_a=680.0,
            base_load_a=32.0,
            standing_drain_a=0.022,
            cable_route_m=5.4,
            ground_route_m=0.45,
        ),
        head_unit=HeadUnit(signal="line", output_v=4.0),
    )


def prediction(*, top_db: float, corner_hz: float, ported: bool) -> Prediction:
    """A plain second- or fourth-order response with a band that opens downwards."""
    f = np.geomspace(8.0, 250.0, 160)
    order = 4 if ported else 2
    level = top_db - 10 * np.log10(1 + (corner_hz / f) ** (2 * order)) + 2.0 * np.sin(np.log(f) * 5)
    spread = 2.0 + 3.0 * np.exp(-f / 40)
    limit = np.where(f < corner_hz * 1.1, 0, np.where(f < 2.2 * corner_hz, 2, 1))
    motion = 1.0 / (1.0 + (f / corner_hz) ** 2) + 1e-3
    impedance = 3.4 + 18.0 / (1 + ((f / corner_hz - corner_hz / f) * 3) ** 2) + 0.02j * f
    return Prediction(
        frequency_hz=f,
        level_db=level - 1.0,
        level_low_db=level - 1.0 - spread,
        level_high_db=level - 1.0 + spread,
        loudest_db=level,
        loudest_low_db=level - spread,
        loudest_high_db=level + spread,
        limit_index=limit,
        limits=("cone excursion", "amplifier voltage", "port air speed" if ported else "coil heat"),
        excursion_m=0.012 * motion,
        port_speed_m_per_s=18.0 * motion if ported else np.zeros_like(f),
        impedance_ohm=impedance.astype(np.complex128),
        group_delay_s=0.02 * motion,
        cabin_gain_db=np.full_like(f, 9.0),
        cabin_model="pressure chamber with leak below 60 Hz, modes above",
        low_limit_3db_hz=(corner_hz - 3, corner_hz, corner_hz + 3),
        low_limit_10db_hz=(corner_hz - 9, corner_hz - 6, corner_hz - 3),
    )


def placement(*, close: bool = False) -> Placement:
    corners = (
        (-0.75, -0.32, 0.0),
        (-0.37, -0.32, 0.0),
        (-0.75, 0.32, 0.0),
        (-0.37, 0.32, 0.0),
        (-0.75, -0.32, 0.37),
        (-0.53, -0.32, 0.37),
        (-0.75, 0.32, 0.37),
        (-0.53, 0.32, 0.37),
    )
    return Placement(
        orientation="upright, leaning face against the seat back, cones to the rear",
        parts=(corners,),
        cone=(-0.75, 0.0, 0.18),
        centre=(-0.6, 0.0, 0.18),
        gaps=(
            Gap(side="front", gap_m=0.012, surface="seat back"),
            Gap(side="rear", gap_m=0.214, surface="tailgate"),
            Gap(side="left", gap_m=0.185, surface="left wheel arch"),
            Gap(side="right", gap_m=0.185, surface="right wheel arch"),
            Gap(side="above", gap_m=0.176, surface="load cover"),
        ),
        binding="depth at the top, 12 mm to the seat back",
        luggage_lost_m3=0.068,
        luggage_left_m3=0.294,
        way_in="flat, cone side up, long edge first",
        verdicts=(
            verdict(
                "space",
                margin=4.0 if close else 12.0,
                unit="mm",
                limit="depth at the top",
                sure=not close,
            ),
        ),
    )


def supply(*, strong: bool = False) -> SupplyPlan:
    battery = BatteryUpgrade(
        id="bat-90",
        maker="Kestrel Fold",
        model="Cell Ninety",
        price=239.0,
        kind="agm",
        role="replace",
        capacity_ah=92.0,
        cca_a=850.0,
        labour_s=2700.0,
    )
    alternator = AlternatorUpgrade(
        id="alt-180",
        maker="Harrow Vane",
        model="Rotor 180",
        price=389.0,
        rated_a=180.0,
        idle_a=95.0,
        labour_s=9000.0,
    )
    return SupplyPlan(
        cable=Cable(
            id="cab-25",
            maker="Tansy Loom",
            model="Soft Core",
            price=9.5,
            series="AWG" if strong else "mm2",
            size="1/0" if strong else "25",
            material="tinned-copper",
            insulation_c=105.0,
        ),
        cable_length_m=5.4,
        ground_length_m=0.45,
        fuse=Fuse(
            id="fu-80",
            maker="Tansy Loom",
            model="Strip Eighty",
            price=4.2,
            family="strip-sf30",
            rating_a=80.0,
            breaking_a=2000.0,
        ),
        fuse_holder=FuseHolder(
            id="fh-sf30",
            maker="Tansy Loom",
            model="Strip Base",
            price=12.9,
            family="strip-sf30",
            largest_a=150.0,
        ),
        fuse_position="within 450 mm of the battery plus",
        battery=battery if strong else None,
        alternator=alternator if strong else None,
        peak_current_a=58.4,
        average_current_a=14.6,
        drop_v=0.36,
        amplifier_voltage_v=13.6,
        idle_balance_a=11.0,
        engine_off_s=5400.0,
        verdicts=(verdict("supply", margin=11.0, unit="A", limit="alternator at idle"),),
        cautions=(
            "The battery stands in the engine bay: derate the cable for 50 °C.",
            "The feed passes under the left sill, beside a restraint loom: keep 50 mm away.",
        ),
        balances=(
            SituationBalance(
                situation="idle, night, hot", alternator_a=58.0, base_load_a=32.0, balance_a=11.0
            ),
            SituationBalance(
                situation="cruise, day", alternator_a=112.0, base_load_a=18.0, balance_a=79.0
            ),
        )
        if strong
        else (),
        standing_s=21.4 * 86400 if strong else None,
        heat_w=62.0 if strong else None,
        short_circuit_a=940.0 if strong else None,
        notes=("Battery resistance estimated from its cold-cranking amps.",) if strong else (),
    )


def match(*, built_in: bool = False) -> PowerMatch:
    return PowerMatch(
        mode="single",
        load_ohm=2.0,
        wiring="built in, nothing to join" if built_in else "both pairs of terminals in parallel",
        available_w=620.0,
        used_w=500.0,
        gain_voltage_v=31.6,
        zone="inside",
        below_top_db=0.0,
        verdict=verdict("power", margin=0.9, unit="dB", limit="top of the power range"),
    )


def goals(*, price: float) -> Goals:
    return Goals(
        level_db=118.4,
        sure_level_db=116.2,
        low_limit_hz=29.0,
        sure_low_limit_hz=31.4,
        luggage_left_m3=0.294,
        price=price,
        headroom_db=1.2,
        ease=4.5,
    )


def settings() -> TuningSettings:
    """What the tuning room would say."""
    return TuningSettings(
        low_pass=PassFilter(family="linkwitz-riley", frequency_hz=80.0, slope_db_per_octave=24),
        infrasonic=PassFilter(family="butterworth", frequency_hz=27.0, slope_db_per_octave=24),
        delay=Delay(
            on="front",
            delay_s=0.0042,
            polarity="reversed",
            how="measurement",
            note="From the two impulse responses.",
        ),
        bands=(
            EqualiserBand(frequency_hz=46.0, gain_db=-4.5, Q=2.8),
            EqualiserBand(frequency_hz=63.5, gain_db=-3.0, Q=4.0),
            EqualiserBand(frequency_hz=31.0, gain_db=1.5, Q=1.4),
        ),
        gain=GainSetting(
            gain_voltage_v=31.62, tone_hz=45.0, tone_level_dbfs=-6.0, tone_voltage_v=15.85
        ),
        biquads=(),
        sample_rate_hz=48000.0,
        ripple_before_db=4.1,
        ripple_after_db=1.2,
        level_lost_db=0.4,
        held_back=("Below 28 Hz the target stays 3 dB out of reach: cone travel.",),
        cautions=("A tone at full level heats the coil: keep it short.",),
    )


def vented() -> Sample:
    """A plain metric job with an amplifier of its own, tuning and alternatives."""
    box = Enclosure(
        id="box-1",
        maker="Marrow & Finch",
        model="Low Rider 12 V",
        kind="vented",
        shape=Wedge(width_m=0.64, height_m=0.37, depth_bottom_m=0.38, depth_top_m=0.22),
        driver=Driver(size_m=0.3, count=1),
        load_ohm=2.0,
        power_low_w=150.0,
        power_high_w=500.0,
        tuning_hz=34.0,
        mass_kg=24.5,
        price=349.0,
    )
    lines = (
        PriceLine(
            what="Marrow & Finch Low Rider 12 V", part_id="box-1", count=1, each=349.0, kind="part"
        ),
        PriceLine(what="Quillon Mono 600", part_id="amp-600", count=1, each=279.0, kind="part"),
        PriceLine(
            what="Tansy Loom Soft Core 25 mm²",
            part_id="cab-25",
            count=6.0,
            unit="m",
            each=9.5,
            kind="part",
        ),
        PriceLine(
            what="Tansy Loom Strip Eighty, 80 A", part_id="fu-80", count=1, each=4.2, kind="part"
        ),
        PriceLine(what="Tansy Loom Strip Base", part_id="fh-sf30", count=1, each=12.9, kind="part"),
        PriceLine(
            what="Bramble Cleat Angle Four", part_id="fix-4", count=1, each=24.0, kind="part"
        ),
        PriceLine(what="Fit box and amplifier", count=2.5, unit="h", each=60.0, kind="labour"),
        PriceLine(what="Lay and fuse the supply", count=1.5, unit="h", each=60.0, kind="labour"),
        PriceLine(what="Set, measure, hand over", count=0.75, unit="h", each=60.0, kind="labour"),
    )
    option = Option(
        id="opt-1",
        rank=1,
        score=0.91,
        enclosure=box,
        amplifier=Amplifier(
            id="amp-600",
            maker="Quillon",
            model="Mono 600",
            channels=1,
            ratings=(PowerRating(mode="single", load_ohm=2.0, power_w=600.0),),
            lowest_load_ohm=1.0,
            price=279.0,
        ),
        match=match(),
        supply=supply(),
        placement=placement(),
        fixing=Fixing(
            id="fix-4",
            maker="Bramble Cleat",
            model="Angle Four",
            price=24.0,
            kind="bracket-set",
            rated_force_n=6000.0,
        ),
        lines=lines,
        goals=goals(price=1213.32),
        verdicts=(verdict("loudness", margin=1.2, unit="dB", limit="amplifier"),),
        reasons=(
            "Loudest of the boxes that leave 280 L of luggage.",
            "Goes under the slope of the seat back, where a plain box of the same size does not.",
            "Feed, fuse and alternator carry it as they are: no upgrade is needed.",
        ),
    )
    job = Job(
        id="hatch-0412",
        title="Bass for a small hatchback",
        customer="A. Sample",
        car=car("Small hatchback, five doors"),
        wish=Wish(level_db=115.0, low_limit_hz=32.0, luggage_keep_m3=0.28, budget=1400.0),
        workshop=Workshop(
            name="Corner Garage Sound",
            address="4 Invented Lane, Sampleton",
            contact="+00 000 0000",
            tax_number="XX 000 111",
            valid_days=30,
        ),
    )
    return Sample(
        job=job,
        option=option,
        prediction=prediction(top_db=119.0, corner_hz=34.0, ported=True),
        drawings=DRAWINGS,
        tuning=settings(),
        extras=Extras(
            logo=LOGO,
            alternatives=(
                Alternative(
                    name="Low Rider 10 C with Mono 400",
                    corners=("cheapest", "easiest to fit"),
                    luggage_left_m3=0.318,
                    price=988.2,
                    level_db=113.4,
                    low_limit_hz=36.0,
                ),
                Alternative(
                    name="Twin Gale 2×8 P with Mono 600",
                    corners=("loudest", "lowest", "most luggage left"),
                    luggage_left_m3=0.301,
                    price=1391.0,
                    level_db=116.9,
                    low_limit_hz=30.2,
                ),
            ),
        ),
    )


def built_in() -> Sample:
    """A bare inch-and-Letter job: built-in amplifier, no mass, no fixing, no drawings."""
    box = Enclosure(
        id="flat-8",
        maker="Ottery",
        model="Under Eight",
        kind="closed",
        shape=Cuboid(width_m=0.345, height_m=0.085, depth_m=0.25),
        firing="down",
        driver=Driver(size_m=0.2, count=1),
        amplifier=BuiltInAmplifier(power_w=160.0, fuse_a=20.0),
        price=0.0,
    )
    lines = (
        PriceLine(
            what="Ottery Under Eight, amplifier built in",
            part_id="flat-8",
            count=1,
            each=0.0,
            kind="part",
        ),
        PriceLine(what="Cable set 8 AWG", part_id="set-8", count=1, each=39.0, kind="part"),
        PriceLine(what="Fit and set", count=1.5, unit="h", each=95.0, kind="labour"),
    )
    option = Option(
        id="opt-2",
        rank=1,
        score=0.5,
        enclosure=box,
        amplifier=None,
        match=match(built_in=True),
        supply=supply().model_copy(update={"engine_off_s": 0.0, "cautions": ()}),
        placement=placement(close=True),
        fixing=None,
        lines=lines,
        goals=Goals(
            level_db=103.0,
            sure_level_db=101.2,
            low_limit_hz=41.0,
            sure_low_limit_hz=44.0,
            luggage_left_m3=0.362,
            price=196.7,
            headroom_db=0.0,
            ease=1.5,
        ),
        verdicts=(),
        reasons=(),
    )
    job = Job(
        id="kombi-7",
        title="A little more bass",
        car=car("Compact estate"),
        wish=Wish(level_db=104.0, low_limit_hz=40.0, budget=150.0, built_in_amplifier="only"),
        workshop=Workshop(
            name="",
            currency="USD",
            hourly_rate=95.0,
            tax_share=0.0825,
            paper="us-letter",
            lengths="inch",
            language="en-US",
        ),
    )
    return Sample(
        job=job,
        option=option,
        prediction=prediction(top_db=104.0, corner_hz=48.0, ported=False),
        drawings={},
        tuning=None,
        extras=Extras(),
    )


def crowded() -> Sample:
    """Long names, forty price lines, every upgrade, measured results that fell short."""
    base = vented()
    long_name = "Marrow & Finch Extraordinarily Long Named Passive Radiator Enclosure 2×12 Twin"
    lines = tuple(
        PriceLine(
            what=f"{long_name[:60]} part {index} with <angle> & $dollar #hash [x] *y* _z_",
            part_id=f"accessory-part-number-{index:03d}-long",
            count=index + 1,
            each=1234.56 + index,
            kind="part",
        )
        for index in range(40)
    )
    labour = (PriceLine(what="Everything", count=31.25, unit="h", each=60.0, kind="labour"),)
    box = base.option.enclosure.model_copy(
        update={
            "model": "Extraordinarily Long Named Passive Radiator Box 2×12 Twin",
            "kind": "passive-radiator",
            "mass_kg": 61.0,
            "tuning_hz": None,
        }
    )
    option = base.option.model_copy(
        update={
            "enclosure": box,
            "supply": supply(strong=True),
            "placement": placement(close=True),
            "lines": lines + labour,
            "reasons": tuple(f"Reason {n}: " + "it fits, and loud it is. " * 6 for n in range(6)),
        }
    )
    job = base.job.model_copy(
        update={
            "id": "a-very-long-job-number-that-a-careful-workshop-might-use-0001",
            "title": "Bass for a very long estate with a long description " * 2,
            "customer": "The Honourable Society of Exceedingly Long Customer Names, Branch 42",
            "car": car("Large estate with the long wheelbase, tow bar, roof rails and sun blinds"),
            "workshop": Workshop(
                name="The Most Thorough and Careful Car Sound Workshop of the Northern District",
                paper="us-letter",
            ),
        }
    )
    return Sample(
        job=job,
        option=option,
        prediction=prediction(top_db=128.0, corner_hz=30.0, ported=True),
        drawings=DRAWINGS,
        tuning=None,
        extras=Extras(
            logo=LOGO,
            measured=Measured(
                level_db=114.9,
                low_limit_hz=30.5,
                gain_voltage_v=31.4,
                drop_v=0.41,
                amplifier_voltage_v=13.4,
                standing_drain_a=0.024,
                bands=(
                    BandMargin(frequency_hz=40.0, margin_db=-1.3),
                    BandMargin(frequency_hz=50.0, margin_db=0.4),
                ),
                kept=False,
                remarks=(
                    "1.3 dB short of the promise at the driver's ear.",
                    "Gain found low; set again.",
                ),
            ),
        ),
    )


SAMPLES = {"vented": vented, "built-in": built_in, "crowded": crowded}

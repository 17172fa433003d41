"""From a job, a chosen system and its prediction to everything that the papers show."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from typing import Final, Literal

import numpy as np
from pydantic import Field

from basswright.choose.goals import GRID_HZ, NOT_HELD_HZ
from basswright.errors import InputError
from basswright.papers.bands import PREFERRED_HZ
from basswright.papers.circuit import circuit_figure
from basswright.papers.drawings import drawn
from basswright.papers.facts import (
    Alternative,
    BandLevel,
    Doubt,
    FittingFacts,
    Head,
    Measured,
    PapersContext,
    Promise,
    QuoteFacts,
    SupplyFacts,
    SystemFacts,
)
from basswright.papers.language import language
from basswright.papers.logo import checked_logo_text
from basswright.papers.prints import chart_figures
from basswright.papers.restraint import forces
from basswright.papers.settings import Tuning, tuning_facts
from basswright.papers.wires import cable_name, runs
from basswright.papers.writing import Writing
from basswright.records.base import Record
from basswright.records.job import Job
from basswright.records.system import Option, Prediction, PriceLine, SupplyPlan
from basswright.supply.cautions import SUPPLY_CAUTIONS

#: Preferred third-octave centres in the bass [Hz], ISO 266.
BAND_CENTRES_HZ: Final = tuple(f for f in PREFERRED_HZ if 16 < f <= 100)


class Extras(Record):
    """What else the papers can show, none of it needed."""

    logo: str = ""
    alternatives: tuple[Alternative, ...] = ()
    measured: Measured = Measured()


class Issue(Record):
    """One issue of the papers: when, which, as what."""

    day: date
    revision: int = Field(1, ge=1, le=999)
    formats: tuple[Literal["pdf", "html"], ...] = ("pdf",)
    extras: Extras = Extras()


def context(
    job: Job,
    option: Option,
    prediction: Prediction,
    drawings: Mapping[str, str],
    *,
    today: date,
    revision: int = 1,
    valid_days: int | None = None,
    tuning: Tuning = None,
    extras: Extras | None = None,
) -> PapersContext:
    """Collect everything that the papers of one job show.

    Parameters
    ----------
    job : Job
        The car, the wish and the workshop.
    option : Option
        The system that was chosen.
    prediction : Prediction
        What it does at the ear.
    drawings : mapping of str to str
        SVG text of the placed box by name: "plan", "side", "rear". What is missing is not
        shown; the circuit diagram is drawn here.
    today : date
        Day of issue.
    revision : int
        Revision of the papers, from 1.
    valid_days : int or None
        For how many days the quote holds; None: as the workshop's settings say.
    tuning : TuningSettings, TuningFacts, mapping or None
        Settings; a mapping has the keys of :class:`TuningFacts`. Without them plain ones
        are taken from the option and the wish.
    extras : Extras or None
        Logo, alternatives to name on the quote, measured results.

    Returns
    -------
    PapersContext

    Raises
    ------
    InputError
        A language that there is no file for, a drawing of an unknown name or that is no
        SVG, a revision below 1, a validity that ends before today, tuning settings that
        cannot be used, or a prediction that is not finite or holds no band of the bass.
    """
    days = job.workshop.valid_days if valid_days is None else valid_days
    if days < 0:
        raise InputError("a quote cannot end before it begins", field="valid_days", value=days)
    if revision < 1:
        raise InputError("revisions count from 1", field="revision", value=revision)
    _check(prediction)
    words = language(job.workshop.language)
    more = extras or Extras()
    settings = tuning_facts(job, option, tuning)
    shop, fitted = job.workshop, _fitting(job, option)
    write = Writing(language=shop.language, lengths=shop.lengths, currency=shop.currency)
    head = Head(
        workshop=job.workshop.name,
        address=job.workshop.address,
        contact=job.workshop.contact,
        tax_number=job.workshop.tax_number,
        logo=checked_logo_text(more.logo) if more.logo else "",
        number=job.id,
        revision=revision,
        title=job.title,
        customer=job.customer,
        car=job.car.name,
        issued=today,
        valid_until=today + timedelta(days=days),
        currency=job.workshop.currency,
        language=job.workshop.language,
        lengths=job.workshop.lengths,
        paper=job.workshop.paper,
    )
    return PapersContext(
        head=head,
        quote=_quote(job, option, more.alternatives),
        system=_system(option),
        promise=_promise(job, option, prediction),
        fitting=fitted,
        tuning=settings,
        supply=_supply(job, option.supply),
        measured=more.measured,
        figures=(
            *drawn(drawings),
            circuit_figure(job, option, fitted.runs, words=words, write=write),
            *chart_figures(prediction, job, settings),
        ),
    )


def _check(prediction: Prediction) -> None:
    for name, values in vars(prediction).items():
        if isinstance(values, np.ndarray) and not np.isfinite(values).all():
            raise InputError("not finite", item="prediction", field=name)
    frequency = prediction.frequency_hz
    if not any(frequency[0] <= centre <= frequency[-1] for centre in BAND_CENTRES_HZ):
        raise InputError(
            "holds no third-octave band of the bass",
            item="prediction",
            field="frequency_hz",
            allowed=f"some of {BAND_CENTRES_HZ[0]:g} to {BAND_CENTRES_HZ[-1]:g} Hz",
        )


def _quote(job: Job, option: Option, alternatives: tuple[Alternative, ...]) -> QuoteFacts:
    parts = sum(line.total for line in option.lines if line.kind == "part")
    labour = [line for line in option.lines if line.kind == "labour"]
    labour_total = sum(line.total for line in labour)
    net = round(parts + labour_total, 2)
    tax = round(net * job.workshop.tax_share, 2)
    return QuoteFacts(
        lines=option.lines,
        parts_total=round(parts, 2),
        labour_total=round(labour_total, 2),
        labour_h=sum(_hours(line) for line in labour),
        hourly_rate=job.workshop.hourly_rate,
        net_total=net,
        tax_share=job.workshop.tax_share,
        tax=tax,
        total=round(net + tax, 2),
        budget=job.wish.budget,
        on_request=sum(line.each == 0 and line.kind == "part" for line in option.lines),
        alternatives=alternatives,
    )


def _hours(line: PriceLine) -> float:
    factor = {"h": 1.0, "min": 1 / 60}.get(line.unit, 0.0)
    return line.count * factor


def _system(option: Option) -> SystemFacts:
    box, amplifier = option.enclosure, option.amplifier
    return SystemFacts(
        box=f"{box.maker} {box.model}",
        box_kind=box.kind,
        shape=box.shape,
        mass_kg=box.mass_kg,
        cone_count=box.driver.count,
        cone_size_m=box.driver.size_m,
        tuning_hz=box.tuning_hz,
        amplifier=f"{amplifier.maker} {amplifier.model}" if amplifier else "",
        load_ohm=option.match.load_ohm,
        power_w=option.match.used_w,
        zone=option.match.zone,
        reasons=option.reasons,
    )


def _promise(job: Job, option: Option, prediction: Prediction) -> Promise:
    goals, wish = option.goals, job.wish
    return Promise(
        level_db=goals.level_db,
        sure_level_db=goals.sure_level_db,
        wished_level_db=wish.level_db,
        low_limit_hz=goals.low_limit_hz,
        sure_low_limit_hz=goals.sure_low_limit_hz,
        wished_low_limit_hz=wish.low_limit_hz,
        lowest_hz=float(GRID_HZ[0]),
        highest_hz=NOT_HELD_HZ,
        certainty_share=wish.certainty_share,
        luggage_left_m3=goals.luggage_left_m3,
        luggage_wished_m3=wish.luggage_keep_m3,
        engine_off_s=option.supply.engine_off_s,
        bands=_bands(prediction),
        cabin_model=prediction.cabin_model,
    )


def _bands(prediction: Prediction) -> tuple[BandLevel, ...]:
    frequency = prediction.frequency_hz
    inside = [f for f in BAND_CENTRES_HZ if frequency[0] <= f <= frequency[-1]]
    spread = np.log(frequency)
    curves = (prediction.loudest_db, prediction.loudest_low_db, prediction.loudest_high_db)
    middle, low, high = (np.interp(np.log(inside), spread, curve) for curve in curves)
    nearest = [int(np.argmin(np.abs(spread - np.log(f)))) for f in inside]
    return tuple(
        BandLevel(
            frequency_hz=f,
            level_db=float(middle[i]),
            low_db=float(low[i]),
            high_db=float(high[i]),
            limit=prediction.limits[int(prediction.limit_index[nearest[i]])],
        )
        for i, f in enumerate(inside)
    )


def _fitting(job: Job, option: Option) -> FittingFacts:
    plan, place, box = option.supply, option.placement, option.enclosure
    labour = sum(_hours(line) for line in option.lines if line.kind == "labour")
    upgrades = (part for part in (plan.battery, plan.alternator) if part is not None)
    every = (*option.verdicts, *plan.verdicts, *place.verdicts, option.match.verdict)
    doubts = dict.fromkeys(
        Doubt(rule=verdict.rule, limit=verdict.limit, margin=verdict.margin, unit=verdict.unit)
        for verdict in every
        if verdict.certainty != "sure"
    )
    return FittingFacts(
        orientation=place.orientation,
        way_in=place.way_in,
        support=place.support,
        amplifier_place=_amplifier_place(option),
        binding=place.binding,
        gaps=place.gaps,
        luggage_lost_m3=place.luggage_lost_m3,
        wiring=option.match.wiring,
        runs=runs(job, option),
        cable=cable_name(plan),
        fuse=f"{plan.fuse.maker} {plan.fuse.model}, {plan.fuse_holder.maker} "
        f"{plan.fuse_holder.model}",
        fuse_a=plan.fuse.rating_a,
        fuse_position=plan.fuse_position,
        upgrades=tuple(f"{part.maker} {part.model}" for part in upgrades),
        fixing=f"{option.fixing.maker} {option.fixing.model}" if option.fixing else "",
        fixing_force_n=option.fixing.rated_force_n if option.fixing else None,
        forces=forces(box.mass_kg) if box.mass_kg is not None else None,
        labour_h=labour,
        cautions=(
            *(caution for caution in plan.cautions if caution not in SUPPLY_CAUTIONS),
            *option.match.cautions,
        ),
        doubts=tuple(doubts),
    )


def _supply(job: Job, plan: SupplyPlan) -> SupplyFacts:
    return SupplyFacts(
        peak_current_a=plan.peak_current_a,
        average_current_a=plan.average_current_a,
        drop_v=plan.drop_v,
        amplifier_voltage_v=plan.amplifier_voltage_v,
        running_voltage_v=job.car.charging.running_voltage_v,
        idle_balance_a=plan.idle_balance_a,
        standing_drain_a=job.car.charging.standing_drain_a,
        standing_s=plan.standing_s,
        heat_w=plan.heat_w,
        short_circuit_a=plan.short_circuit_a,
        balances=plan.balances,
    )


def _amplifier_place(option: Option) -> str | None:
    judged = [each for each in option.verdicts if each.rule == "amplifier place"]
    if not judged:
        return ""
    return judged[0].limit if judged[0].passes else None

"""The same box with half or twice the power: what is heard, and what the car has to give."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from basswright import drive, supply
from basswright.choose import bill, goals
from basswright.errors import InputError
from basswright.records.system import Option, SupplyPlan
from basswright.records.tradeoffs import LoadStep, PowerStep
from basswright.sound import loudness
from basswright.stages.weigh import Weighed

#: Powers that are shown, as shares of what the chosen system uses.
SHARES = (0.25, 0.5, 1.0, 2.0, 4.0)
#: Total loads that the trade wires boxes for (common practice, no source) [ohm].
LOADS_OHM = (1.0, 2.0, 4.0, 8.0)
#: The search for what the charging system bears ends here, to about 1 %.
LARGEST_SHARE = 20.0
HALVINGS = 10
#: Third octaves at which loudness is told.
HEARD_HZ = (31.5, 40.0, 50.0, 63.0, 80.0)

Floats = NDArray[np.float64]


def power_steps(weighed: Weighed, option: Option, row: int) -> tuple[PowerStep, ...]:
    """Return what the box of a system gives with more and with less power.

    Parameters
    ----------
    weighed : Weighed
    option : Option
        The chosen system.
    row : int
        Its row in ``weighed.systems``.

    Returns
    -------
    tuple of PowerStep
        One for each of :data:`SHARES`. The amplifier is thought larger or smaller
        with everything else about it the same, so current goes with power.
    """
    chosen = _loudest_db(weighed, row, 1.0)
    paid = _feed_price(weighed, option.supply)
    return tuple(_step(weighed, option, row, share, (chosen, paid)) for share in SHARES)


def _step(
    weighed: Weighed, option: Option, row: int, share: float, against: tuple[Floats, float]
) -> PowerStep:
    chosen, paid = against
    wish, hz = weighed.job.wish, weighed.levels.frequency_hz
    loudest = _loudest_db(weighed, row, share)
    level, before = goals.level_db(loudest, hz), goals.level_db(chosen, hz)
    limit = goals.low_limit_hz(loudest, hz, wish.level_db)
    heard = [int(np.abs(hz - each).argmin()) for each in HEARD_HZ]
    middle, own = np.median(loudest, axis=0), np.median(chosen, axis=0)
    times = loudness.times_as_loud(middle[heard], own[heard], HEARD_HZ)
    peak_a, average_a = _currents(weighed, row)
    plan = _plan(weighed, peak_a * share, average_a * share)
    power_w = option.match.used_w * share
    top_w = option.match.used_w * 10 ** (option.match.below_top_db / 10)
    return PowerStep(
        share=share,
        power_w=power_w,
        change_db=float(np.median(level - before)),
        times_as_loud=float(np.median(times)),
        sure_level_db=float(np.quantile(level, 1 - wish.certainty_share)),
        sure_low_limit_hz=float(np.quantile(limit, wish.certainty_share)),
        box_limits_share=_box_limits(weighed, row, share),
        beyond_range=power_w > top_w * (1 + 1e-6),
        peak_current_a=peak_a * share,
        feed="" if plan is None else _feed(plan),
        upgrade="" if plan is None else upgrade(plan),
        extra_price=None if plan is None else _feed_price(weighed, plan) - paid,
    )


def _limits_db(weighed: Weighed, row: int, share: float) -> tuple[Floats, Floats]:
    """Levels that box and amplifier allow, in every draw but the middle case."""
    levels, pairs, feeds = weighed.levels, weighed.systems.pairs, weighed.feeds
    box, feed = int(pairs.box[row]), int(pairs.feed[row])
    draws = slice(1, None) if levels.per_volt_db.shape[1] > 1 else slice(None)
    per_volt = levels.per_volt_db[box, draws]
    volt = feeds.voltage_v[feed] * np.sqrt(share)
    ampere = feeds.current_a[feed] * np.sqrt(share) * levels.impedance_ohm[box, draws]
    return levels.own_limit_db[box, draws], per_volt + 20 * np.log10(np.minimum(volt, ampere))


def _loudest_db(weighed: Weighed, row: int, share: float) -> Floats:
    own, fed = _limits_db(weighed, row, share)
    return np.minimum(own, fed)


def _box_limits(weighed: Weighed, row: int, share: float) -> float:
    """Share of the bass range in which box, and not power, is the limit."""
    own, fed = _limits_db(weighed, row, share)
    weights = goals.band_weights(weighed.levels.frequency_hz)
    return float(np.clip(((own < fed).mean(axis=0) * weights).sum(), 0.0, 1.0))


def _currents(weighed: Weighed, row: int) -> tuple[float, float]:
    feed = int(weighed.systems.pairs.feed[row])
    return float(weighed.feeds.peak_a[feed]), float(weighed.feeds.average_a[feed])


def stays_up_to_w(weighed: Weighed, option: Option, row: int) -> float | None:
    """Return the power up to which the car's own charging system is enough [W].

    For an amplifier as efficient as the chosen one. None where :data:`LARGEST_SHARE`
    of its power asks for nothing; 0 where even a hundredth of it does.
    """
    peak_a, average_a = _currents(weighed, row)

    def stays(share: float) -> bool:
        plan = _plan(weighed, peak_a * share, average_a * share)
        return plan is not None and not upgrade(plan)

    low, high = 0.01, LARGEST_SHARE
    if stays(high):
        return None
    if not stays(low):
        return 0.0
    for _ in range(HALVINGS):
        middle = float(np.sqrt(low * high))
        low, high = (middle, high) if stays(middle) else (low, middle)
    return option.match.used_w * low


def _plan(weighed: Weighed, peak_a: float, average_a: float) -> SupplyPlan | None:
    """Return the cheapest safe supply of a system, None where the catalogue has none."""
    try:
        return supply.plan(
            weighed.job.car.charging,
            weighed.prepared.snapshot,
            peak_a=peak_a,
            average_a=average_a,
            steps=weighed.ladder,
        )
    except InputError:
        return None


def _feed_price(weighed: Weighed, plan: SupplyPlan) -> float:
    """Price of cable, fuses and upgrades with their labour, tax included."""
    workshop = weighed.job.workshop
    parts = sum(line.total for line in bill.feed_lines(plan))
    work = plan.labour_s / 3600 * workshop.hourly_rate
    return (parts + work) * (1 + workshop.tax_share)


def _feed(plan: SupplyPlan) -> str:
    return f"{plan.cable.size} {plan.cable.series} cable, {plan.fuse.rating_a:g} A fuse"


def upgrade(plan: SupplyPlan) -> str:
    """Name what the charging system needs on top, empty for nothing."""
    named = []
    if plan.battery is not None:
        place = "second battery" if plan.battery.role == "second" else "stronger battery"
        named.append(f"{place} {plan.battery.capacity_ah:g} Ah")
    if plan.alternator is not None:
        named.append(f"alternator {plan.alternator.rated_a:g} A")
    return " and ".join(named)


def load_steps(weighed: Weighed, option: Option) -> tuple[LoadStep, ...]:
    """Return what the amplifier of a system gives into the usual loads and its own.

    Empty for a box that brings its amplifier.
    """
    if option.amplifier is None:
        return ()
    table = drive.outputs((option.amplifier,))
    own = option.match.load_ohm
    loads = np.array(sorted({*LOADS_OHM, own}))
    output = table.modes.index(option.match.mode)
    supply_v = weighed.job.car.charging.running_voltage_v
    power = drive.power_at_load(table, loads, supply_v)[:, output]
    at_own = power[loads == own][0]
    return tuple(
        LoadStep(
            load_ohm=float(load),
            power_w=float(watt),
            change_db=float(10 * np.log10(watt / at_own)) if watt > 0 and at_own > 0 else None,
            own=bool(load == own),
        )
        for load, watt in zip(loads, power, strict=True)
    )

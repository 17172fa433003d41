"""The supply of one system in full: parts, drops, balances, verdicts, cautions."""

from __future__ import annotations

from basswright.errors import InputError
from basswright.records.car import Charging
from basswright.records.snapshot import Snapshot
from basswright.records.system import SituationBalance, SupplyPlan
from basswright.records.verdict import Relief, Verdict
from basswright.supply.battery import (
    FULL_VOLTAGE_V,
    HEALTH_SHARE,
    discharge_s,
    standing_s,
    warm_resistance_ohm,
)
from basswright.supply.cautions import cautions, parked_cautions
from basswright.supply.charging import IDLE_NIGHT, alternator_a, balances
from basswright.supply.feed import Feed
from basswright.supply.fuses import POSITION_TEXT
from basswright.supply.ladder import UNSURE_SHARE, SupplyLadder, ladder
from basswright.supply.rules import SupplyRules
from basswright.supply.upgrades import AVERAGE_LIMITS, Upgrade


def plan(
    charging: Charging,
    snapshot: Snapshot,
    *,
    peak_a: float,
    average_a: float,
    rules: SupplyRules | None = None,
    steps: SupplyLadder | None = None,
) -> SupplyPlan:
    """Choose the cheapest safe supply of one system and tell all about it.

    Parameters
    ----------
    charging : Charging
    snapshot : Snapshot
        What can be bought.
    peak_a, average_a : float
        Sine at the power used, and programme (:func:`basswright.supply.currents`) [A].
    rules : SupplyRules, optional
    steps : SupplyLadder, optional
        The car's ladder, if it was worked out before with the same rules.

    Returns
    -------
    SupplyPlan
        Drops [V], balances [A], times [s]; the drop is that of the whole loop, of which the
        rule judges only cable and return.

    Raises
    ------
    InputError
        No supply on offer is safe; the text says what is missing and by how much.
    """
    steps = steps or ladder(charging, snapshot, rules=rules)
    chosen = steps.chosen(peak_a, average_a)
    if chosen is None:
        raise _refusal(steps, peak_a, average_a)
    upgrade, feed = chosen
    drop = peak_a * feed.loop_ohm
    off_a = average_a + steps.rules.engine_off_load_a
    off_s = discharge_s(
        off_a, upgrade.capacity_ah, upgrade.exponent, upgrade.usable_share * HEALTH_SHARE
    )
    every = balances(charging, average_a, rated_a=upgrade.rated_a, idle_a=upgrade.idle_a)
    idle = next(b for b in every if b.situation == IDLE_NIGHT.name)
    kind = upgrade.battery.kind if upgrade.battery is not None else charging.battery_kind
    parked_s = standing_s(charging.standing_drain_a, upgrade.capacity_ah, kind)
    return SupplyPlan(
        cable=feed.cable,
        cable_length_m=charging.cable_route_m,
        ground_length_m=charging.ground_route_m,
        fuse=feed.fuse,
        fuse_holder=feed.holder,
        fuse_position=POSITION_TEXT,
        battery=upgrade.battery,
        alternator=upgrade.alternator,
        peak_current_a=peak_a,
        average_current_a=average_a,
        drop_v=drop,
        amplifier_voltage_v=charging.running_voltage_v - drop,
        idle_balance_a=idle.balance_a,
        engine_off_s=float(off_s),
        verdicts=_verdicts(steps, upgrade, feed, peak_a, average_a),
        cautions=(*cautions(charging, upgrade, feed.cable), *parked_cautions(charging, parked_s)),
        balances=every,
        standing_s=parked_s,
        short_circuit_a=feed.short_circuit_a,
        price=feed.price + upgrade.price,
        labour_s=upgrade.labour_s,
        notes=_notes(charging, steps.rules, upgrade, feed, every),
    )


def _verdicts(
    steps: SupplyLadder, upgrade: Upgrade, feed: Feed, peak_a: float, average_a: float
) -> tuple[Verdict, ...]:
    table = steps.verdicts([peak_a], [average_a])
    breaking = Verdict(
        rule="fuse breaking capacity",
        passes=True,
        margin=feed.fuse.breaking_a - feed.short_circuit_a,
        unit="A",
        limit="short circuit of the battery behind the fuse",
    )
    protects = Verdict(
        rule="fuse protects the cable",
        passes=True,
        margin=feed.ampacity_a - feed.fuse.rating_a,
        unit="A",
        limit="derated ampacity of the cable (33 CFR 183.425)",
    )
    drop = Verdict(
        rule="voltage drop",
        passes=True,
        margin=steps.rules.drop_limit_v - peak_a * feed.cable_ohm,
        unit="V",
        limit="cable and return at the peak current",
    )
    settled = [
        Verdict(
            rule=name,
            passes=True,
            margin=limit - average_a,
            unit="A",
            limit=name,
            certainty="sure"
            if abs(limit - average_a) > average_a * UNSURE_SHARE
            else "too close to call",
        )
        for name, limit in zip(AVERAGE_LIMITS, upgrade.limits_a, strict=True)
    ]
    return (table.feed.row(0), drop, protects, breaking, *settled)


def _notes(
    charging: Charging,
    rules: SupplyRules,
    upgrade: Upgrade,
    feed: Feed,
    every: tuple[SituationBalance, ...],
) -> tuple[str, ...]:
    idle_a = float(alternator_a(IDLE_NIGHT, upgrade.rated_a, upgrade.idle_a))
    deficit = max(0.0, -min(balance.balance_a for balance in every))
    settled = [
        f"{name}: up to {limit:.0f} A on average"
        for name, limit in zip(AVERAGE_LIMITS, upgrade.limits_a, strict=True)
    ]
    size = f"{feed.cable.size} {feed.cable.series}"
    sag = FULL_VOLTAGE_V - deficit * float(warm_resistance_ohm(upgrade.cca_a))
    return (
        f"planned for programme at {rules.programme_duty_share * 100:.0f} % of full sine power",
        f"{size}: {feed.loop_ohm * 1000:.2f} mohm there and back "
        f"at {rules.conductor_c:.0f} C, may carry {feed.ampacity_a:.0f} A",
        f"alternator at idle, hot: {idle_a:.0f} A; what is missing comes from the battery, whose "
        f"voltage is then about {sag:.1f} V instead of {charging.running_voltage_v:.1f} V",
        *settled,
        "hot, idle and town figures of the alternator are planning values (estimates)",
    )


def _refusal(steps: SupplyLadder, peak_a: float, average_a: float) -> InputError:
    table = steps.verdicts([peak_a], [average_a])
    failed = [v for v in (table.feed.row(0), table.charging.row(0)) if not v.passes]
    parts = [f"{v.limit}, {-v.margin:.0f} A short" for v in failed]
    reason = "; ".join(parts) or "each part alone would do, but no set of them is safe together"
    return InputError(
        f"no supply on offer is safe: {reason}",
        item="supply",
        field="peak_a" if failed and failed[0].rule == "feed" else "average_a",
        value=f"{peak_a:.0f} A peak, {average_a:.0f} A average",
        allowed="less power, or stronger cable, fuses, alternator or battery in the catalogue",
    )


def relief(steps: SupplyLadder, peak_a: float, average_a: float) -> Relief | None:
    """Return the smallest cut in current that would make the supply safe, None if it is.

    The feed comes first: without it no upgrade helps.

    Parameters
    ----------
    steps : SupplyLadder
    peak_a, average_a : float
        Sine at the power used, and programme [A].

    Returns
    -------
    Relief or None
        Amount in [A].
    """
    table = steps.verdicts([peak_a], [average_a])
    for verdict in (table.feed.row(0), table.charging.row(0)):
        if not verdict.passes:
            return Relief(what=f"less current ({verdict.limit})", amount=-verdict.margin, unit="A")
    return None

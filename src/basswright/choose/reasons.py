"""The two or three facts that decide for a system, in words made from its figures."""

from __future__ import annotations

from basswright.choose.goals import NOT_HELD_HZ
from basswright.choose.rules import RULES
from basswright.quantities import litres
from basswright.records.system import Goals, PowerMatch, SupplyPlan
from basswright.records.verdict import Verdict
from basswright.records.wish import Wish


def amount_text(amount: float, unit: str, currency: str) -> str:
    """Write an amount in a rule's unit for a person."""
    if unit == "money":
        return f"{amount:,.0f} {currency}"
    digits = 0 if unit in ("mm", "L", "A") else 1
    return f"{amount:.{digits}f} {unit}".strip()


def loudness(goals: Goals, wish: Wish) -> str:
    """Tell how loud it surely is against the wish."""
    over = goals.sure_level_db - wish.level_db
    side = "above" if over >= 0 else "below"
    return f"surely {goals.sure_level_db:.1f} dB at the ear, {abs(over):.1f} dB {side} the wish"


def depth(goals: Goals, wish: Wish, lowest_hz: float) -> str:
    """Tell how low it surely plays against the wish."""
    if goals.sure_low_limit_hz >= NOT_HELD_HZ:
        return f"not surely held even at 63 Hz (wish {wish.low_limit_hz:.0f} Hz)"
    if goals.sure_low_limit_hz <= lowest_hz * (1 + 1e-9):
        return f"held down to {lowest_hz:.0f} Hz or lower (wish {wish.low_limit_hz:.0f} Hz)"
    return f"surely held down to {goals.sure_low_limit_hz:.0f} Hz (wish {wish.low_limit_hz:.0f} Hz)"


def power(match: PowerMatch, *, built_in: bool = False) -> str:
    """Tell what the amplifier gives at the total load, and what that leaves out."""
    if built_in:
        return f"{match.used_w:.0f} W from the amplifier built in"
    used = f"{match.used_w:.0f} W at {match.load_ohm:.3g} ohm in total"
    if match.below_top_db < 0.05:
        return f"{used}, all that the box takes"
    return f"{used}, {match.below_top_db:.1f} dB below the top of the box's range"


def tightest(verdict: Verdict) -> str:
    """Tell the dimension that decides in the load space."""
    if verdict.certainty != "sure":
        return f"too close to call: {verdict.margin:.0f} mm in {verdict.limit}, measure again"
    if verdict.passes:
        return f"{verdict.margin:.0f} mm to spare in {verdict.limit}"
    return f"{-verdict.margin:.0f} mm too large in {verdict.limit}"


def luggage(goals: Goals, wish: Wish) -> str:
    """Tell what luggage is left."""
    kept = f"{litres(goals.luggage_left_m3)} of luggage space left"
    return f"{kept} ({litres(wish.luggage_keep_m3)} asked for)" if wish.luggage_keep_m3 else kept


def supply(plan: SupplyPlan) -> str:
    """Tell what the car's charging system has to do."""
    feed = f"{plan.peak_current_a:.0f} A at full power through {plan.cable.size}"
    feed += " mm2" if plan.cable.series == "mm2" else f" {plan.cable.series}"
    upgrades = [part.model for part in (plan.battery, plan.alternator) if part is not None]
    return feed + (f", needs {' and '.join(upgrades)}" if upgrades else ", no upgrade needed")


def brings(
    gain_db: float, gain_hz: float, luggage_m3: float, extra_price: float, currency: str
) -> str:
    """Tell what one system brings over another; what hardly differs is left out."""
    told = []
    if abs(gain_db) >= 0.1:
        told.append(f"{gain_db:+.1f} dB")
    if abs(gain_hz) >= 1:
        told.append(f"low limit {abs(gain_hz):.0f} Hz {'lower' if gain_hz > 0 else 'higher'}")
    if abs(luggage_m3) >= 1e-3:
        word = "more" if luggage_m3 > 0 else "less"
        told.append(f"{litres(abs(luggage_m3))} {word} luggage space")
    if abs(extra_price) >= 1:
        word = "more" if extra_price > 0 else "less"
        told.append(f"{abs(extra_price):,.0f} {currency} {word}")
    return ", ".join(told) or "as good"


def _allowing(rule: str, what: str) -> str:
    if rule == "box kind":
        return f"allowing {what} boxes"
    return f"allowing a {what} amplifier"


def concession(
    rules: tuple[int, ...], limits: tuple[str, ...], amounts: tuple[float, ...], currency: str
) -> tuple[str, ...]:
    """Tell what has to change, one text a rule."""
    texts = []
    for place, limit, amount in zip(rules, limits, amounts, strict=True):
        rule = RULES[place]
        figure = amount_text(amount, rule.unit, currency)
        if rule.name in ("box kind", "built-in amplifier"):
            texts.append(_allowing(rule.name, limit))
        elif limit:
            texts.append(f"{figure} more {'in ' if limit.startswith('every ') else ''}{limit}")
        else:
            texts.append(rule.relief.format(amount=figure))
    return tuple(texts)

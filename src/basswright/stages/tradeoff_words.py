"""The trade-offs of one car in sentences that a customer understands."""

from __future__ import annotations

from collections.abc import Iterator

from basswright.records.tradeoffs import Dimension, Group, PowerStep


def room(dimensions: tuple[Dimension, ...]) -> Iterator[str]:
    """Tell which dimension keeps most boxes out."""
    if not dimensions:
        return
    first = dimensions[0]
    yield (
        f"The {first.name} keeps out {first.leaves_out} boxes; "
        f"{first.more_mm[-1]:.0f} mm more of it would let in {first.lets_in[-1]} of them."
    )


def cone(cones: tuple[Group, ...]) -> Iterator[str]:
    """Tell whether the largest cone that goes in is the loudest."""
    heard = [(each, each.sure_level_db) for each in cones if each.sure_level_db is not None]
    if len(heard) < 2:
        return
    by_level = sorted(heard, key=lambda pair: -pair[1])
    (loudest, best_db), (second, second_db) = by_level[:2]
    largest, largest_db = heard[-1]
    if loudest is largest:
        yield (
            f"Within the budget the largest cone that goes in, {largest.name}, plays loudest, "
            f"{best_db - second_db:.1f} dB above the best {second.name} box."
        )
    else:
        yield (
            f"The largest cone is not the loudest here: within the budget the best "
            f"{loudest.name} box plays {best_db - largest_db:.1f} dB above the best "
            f"{largest.name} box."
        )


def half_power(steps: tuple[PowerStep, ...]) -> Iterator[str]:
    """Tell what half the power costs, as a figure and as heard."""
    half = next(step for step in steps if step.share == 0.5)
    yield (
        f"Half the power ({half.power_w:.0f} W) costs {-half.change_db:.1f} dB: "
        f"{half.times_as_loud:.2f} times as loud, as heard."
    )


def twice_the_power(steps: tuple[PowerStep, ...], currency: str) -> Iterator[str]:
    """Tell what twice the power brings, and what the car would have to give."""
    double = next(step for step in steps if step.share == 2.0)
    brings = (
        f"Twice the power ({double.power_w:.0f} W) brings {double.change_db:.1f} dB: "
        f"{double.times_as_loud:.2f} times as loud"
    )
    brings += ", but more than the box is meant for." if double.beyond_range else "."
    if double.extra_price is None:
        yield f"{brings} No cable, fuse and charging parts on offer would carry it safely."
        return
    needs = " and ".join(part for part in (double.feed, double.upgrade) if part)
    yield f"{brings} The car would need {needs}: {double.extra_price:,.0f} {currency} more."


def charging(stays_up_to_w: float | None) -> Iterator[str]:
    """Tell up to which power the car's own battery and alternator are enough."""
    if stays_up_to_w is not None:
        yield (
            f"Up to about {stays_up_to_w:.0f} W with music this car's battery and alternator "
            f"stay as they are; beyond that they have to grow too."
        )

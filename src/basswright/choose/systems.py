"""Every pair of box and amplifier as a whole priced system, judged by every rule."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from basswright.choose.feeds import Feeds
from basswright.choose.rules import INDEX, RULES, masks
from basswright.choose.search import Pairs
from basswright.records.wish import Wish

Floats = NDArray[np.float64]

#: One whole point of the score: so many dB short of the wish, octaves short, dB above.
SHORT_LEVEL_DB = 12.0
SHORT_OCTAVES = 1.0
RESERVE_DB = 6.0
LONG_DAY_HOURS = 10.0


@dataclass(frozen=True, kw_only=True)
class Boxes:
    """What is known of each box before an amplifier is chosen.

    Attributes
    ----------
    price, hours : ndarray, shape (n,)
        Box and fixing without tax [money]; work of fitting it [h].
    luggage_left_m3 : ndarray, shape (n,)
    luggage_space_m3 : float
    margins : dict of str to ndarray, shape (n,)
        Signed margins of the rules that concern the box alone, by name of the rule.
    """

    price: Floats
    hours: Floats
    luggage_left_m3: Floats
    luggage_space_m3: float
    margins: dict[str, Floats]


@dataclass(frozen=True, kw_only=True)
class Systems:
    """Whole systems, one row a pair of box and feed.

    Attributes
    ----------
    pairs : Pairs
    price : ndarray, shape (p,)
        Everything, tax included [money].
    hours, luggage_left_m3, luggage_share, reserve_db : ndarray, shape (p,)
    margins : ndarray, shape (p, rules)
        Signed margin of every rule, in its unit.
    mask : ndarray of uint32, shape (p,)
        One bit for each rule that fails.
    score : ndarray, shape (p,)
        0 to 100.
    """

    pairs: Pairs
    price: Floats
    hours: Floats
    luggage_left_m3: Floats
    luggage_share: Floats
    reserve_db: Floats
    margins: Floats
    mask: NDArray[np.uint32]
    score: Floats


def judge(
    boxes: Boxes, feeds: Feeds, pairs: Pairs, *, wish: Wish, hourly_rate: float, tax_share: float
) -> Systems:
    """Price every pair, judge it by every rule and score it.

    Parameters
    ----------
    boxes, feeds, pairs
        As returned by the other parts of this package.
    wish : Wish
    hourly_rate : float
        Labour without tax [money/h].
    tax_share : float
        Sales tax on parts and labour [-].

    Returns
    -------
    Systems
    """
    box, feed = pairs.box, pairs.feed
    hours = boxes.hours[box] + feeds.hours[feed]
    parts = boxes.price[box] + feeds.cost[feed]
    price = (parts + boxes.hours[box] * hourly_rate) * (1 + tax_share)
    margins = np.empty((box.size, len(RULES)))
    for name, margin in boxes.margins.items():
        margins[:, INDEX[name]] = margin[box]
    margins[:, INDEX["power match"]] = feeds.match_margin_db[feed]
    margins[:, INDEX["supply"]] = feeds.supply_margin_a[feed]
    margins[:, INDEX["budget"]] = wish.budget - price
    margins[:, INDEX["loud enough"]] = pairs.sure_level_db - wish.level_db
    margins[:, INDEX["low enough"]] = wish.low_limit_hz - pairs.sure_low_limit_hz
    luggage = boxes.luggage_left_m3[box]
    return Systems(
        pairs=pairs,
        price=price,
        hours=hours,
        luggage_left_m3=luggage,
        reserve_db=np.maximum(0.0, pairs.sure_level_db - wish.level_db),
        margins=margins,
        mask=masks(margins < -1e-9),
        luggage_share=luggage / boxes.luggage_space_m3,
        score=score(
            pairs.sure_level_db,
            pairs.sure_low_limit_hz,
            price=price,
            hours=hours,
            luggage_share=luggage / boxes.luggage_space_m3,
            wish=wish,
        ),
    )


def score(
    level_db: Floats,
    low_limit_hz: Floats,
    *,
    price: Floats,
    hours: Floats,
    luggage_share: Floats,
    wish: Wish,
) -> Floats:
    """Return the single score, 0 to 100, of systems with these goals.

    Parameters
    ----------
    level_db, low_limit_hz : ndarray
        How loud and how low, surely or in one draw.
    price, hours, luggage_share : ndarray
        Broadcast against the levels; luggage left over the empty load space.
    wish : Wish
        The figures to reach, and the weights.
    """
    weights = wish.weights
    over = level_db - wish.level_db
    octaves = np.log2(low_limit_hz / wish.low_limit_hz)
    goals = (
        (weights.loudness, 1 + over / SHORT_LEVEL_DB),
        (weights.headroom, over / RESERVE_DB),
        (weights.depth, 1 - octaves / SHORT_OCTAVES),
        (weights.luggage, luggage_share),
        (weights.price, 1 - price / (2 * wish.budget)),
        (weights.ease, 1 - hours / LONG_DAY_HOURS),
    )
    total = max(sum(weight for weight, _ in goals), 1e-9)
    points = np.zeros(np.broadcast_shapes(level_db.shape, np.shape(price)))
    for weight, share in goals:
        points += weight * np.clip(share, 0, 1)
    return points * (100 / total)

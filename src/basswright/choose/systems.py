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
    hours, luggage_left_m3, reserve_db : ndarray, shape (p,)
    margins : ndarray, shape (p, rules)
        Signed margin of every rule, in its unit.
    mask : ndarray of uint32, shape (p,)
        One bit for each rule that fails.
    score : ndarray, shape (p,)
        0 to 100.
    score_spread : ndarray, shape (p,)
        Standard deviation of the score that comes from the level's uncertainty.
    """

    pairs: Pairs
    price: Floats
    hours: Floats
    luggage_left_m3: Floats
    reserve_db: Floats
    margins: Floats
    mask: NDArray[np.uint32]
    score: Floats
    score_spread: Floats


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
        **_scores(pairs, price, hours, luggage / boxes.luggage_space_m3, wish),
    )


def _scores(
    pairs: Pairs, price: Floats, hours: Floats, luggage_share: Floats, wish: Wish
) -> dict[str, Floats]:
    weights = wish.weights
    total = sum(
        (
            weights.loudness,
            weights.depth,
            weights.luggage,
            weights.price,
            weights.headroom,
            weights.ease,
        )
    )
    octaves = np.log2(pairs.sure_low_limit_hz / wish.low_limit_hz)
    steady = (
        weights.depth * np.clip(1 - octaves / SHORT_OCTAVES, 0, 1)
        + weights.luggage * np.clip(luggage_share, 0, 1)
        + weights.price * np.clip(1 - price / (2 * wish.budget), 0, 1)
        + weights.ease * np.clip(1 - hours / LONG_DAY_HOURS, 0, 1)
    )

    def of_level(level_db: Floats) -> Floats:
        over = level_db - wish.level_db
        value: Floats = weights.loudness * np.clip(
            1 + over / SHORT_LEVEL_DB, 0, 1
        ) + weights.headroom * np.clip(over / RESERVE_DB, 0, 1)
        return value

    scale = 100.0 / max(total, 1e-9)
    sure = pairs.sure_level_db
    spread = of_level(sure + pairs.spread_db) - of_level(sure - pairs.spread_db)
    return {"score": scale * (steady + of_level(sure)), "score_spread": scale * spread / 2}

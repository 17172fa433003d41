"""Every pair of box and amplifier as a whole priced system, judged by every rule."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numba import njit
from numpy.typing import NDArray

from basswright.choose.feeds import Feeds
from basswright.choose.rules import INDEX, RULES
from basswright.choose.search import Pairs
from basswright.records.wish import Wish

Floats = NDArray[np.float64]

#: One whole point of the score: so many dB short of the wish, octaves short, dB above.
SHORT_LEVEL_DB = 12.0
SHORT_OCTAVES = 1.0
RESERVE_DB = 6.0
LONG_DAY_HOURS = 10.0
#: A rule that is missed by no more than this, in its own unit, passes.
SLACK = 1e-9


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
    boxes, feeds, pairs, wish
        What they are made of and judged against.
    price : ndarray, shape (p,)
        Everything, tax included [money].
    mask : ndarray of uint32, shape (p,)
        One bit for each rule that fails.
    score : ndarray, shape (p,)
        0 to 100.
    """

    boxes: Boxes
    feeds: Feeds
    pairs: Pairs
    wish: Wish
    price: Floats
    mask: NDArray[np.uint32]
    score: Floats

    def margins(self, rows: NDArray[np.intp]) -> Floats:
        """Return the signed margin of every rule for some rows, shape (rows, rules)."""
        box, feed = self.pairs.box[rows], self.pairs.feed[rows]
        margins = np.zeros((box.size, len(RULES)))
        for name, margin in self.boxes.margins.items():
            margins[:, INDEX[name]] = margin[box]
        margins[:, INDEX["power match"]] = self.feeds.match_margin_db[feed]
        margins[:, INDEX["supply"]] = self.feeds.supply_margin_a[feed]
        margins[:, INDEX["budget"]] = self.wish.budget - self.price[rows]
        margins[:, INDEX["loud enough"]] = self.pairs.sure_level_db[rows] - self.wish.level_db
        low = self.wish.low_limit_hz - self.pairs.sure_low_limit_hz[rows]
        margins[:, INDEX["low enough"]] = low
        return margins

    def hours(self, rows: NDArray[np.intp]) -> Floats:
        """Return the work of some rows [h]."""
        work: Floats = self.boxes.hours[self.pairs.box[rows]]
        return work + self.feeds.hours[self.pairs.feed[rows]]

    def luggage_left_m3(self, rows: NDArray[np.intp]) -> Floats:
        """Return the luggage space that some rows leave [m3]."""
        left: Floats = self.boxes.luggage_left_m3[self.pairs.box[rows]]
        return left


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
    size = pairs.box.size
    price, points, mask = np.empty(size), np.empty(size), np.empty(size, dtype=np.uint32)
    own = np.zeros(boxes.price.size, dtype=np.uint32)
    for name, margin in boxes.margins.items():
        own |= _failed(margin, name)
    fed = _failed(feeds.match_margin_db, "power match") | _failed(feeds.supply_margin_a, "supply")
    wished = np.array([wish.budget, wish.level_db, wish.low_limit_hz])
    bits = [1 << INDEX[name] for name in ("budget", "loud enough", "low enough")]
    _judge(
        pairs.box,
        pairs.feed,
        (boxes.price + boxes.hours * hourly_rate) * (1 + tax_share),
        feeds.cost * (1 + tax_share),
        boxes.hours,
        feeds.hours,
        boxes.luggage_left_m3 / boxes.luggage_space_m3,
        own,
        fed,
        pairs.sure_level_db,
        pairs.sure_low_limit_hz,
        wished,
        np.array(bits, dtype=np.uint32),
        _weights(wish),
        (price, points, mask),
    )
    return Systems(
        boxes=boxes, feeds=feeds, pairs=pairs, wish=wish, price=price, mask=mask, score=points
    )


def _failed(margin: Floats, rule: str) -> NDArray[np.uint32]:
    return np.where(margin < -SLACK, np.uint32(1 << INDEX[rule]), np.uint32(0))


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
    goals = np.stack(np.broadcast_arrays(level_db, low_limit_hz, price, hours, luggage_share))
    wished = np.array([wish.budget, wish.level_db, wish.low_limit_hz])
    points: Floats = _score(goals.reshape(5, -1), wished, _weights(wish))
    return points.reshape(goals.shape[1:])


def _weights(wish: Wish) -> Floats:
    """Shares of loudness, depth, luggage, price, headroom and ease, of 100 points."""
    weights = wish.weights
    parts = np.array(
        [
            weights.loudness,
            weights.depth,
            weights.luggage,
            weights.price,
            weights.headroom,
            weights.ease,
        ]
    )
    shares: Floats = parts * (100.0 / max(float(parts.sum()), 1e-9))
    return shares


@njit(cache=True, nogil=True)
def _points(
    level_db: float,
    low_limit_hz: float,
    price: float,
    hours: float,
    luggage_share: float,
    wished: Floats,
    weights: Floats,
) -> float:
    over = level_db - wished[1]
    octaves = np.log2(low_limit_hz / wished[2])
    points: float = weights[0] * min(max(1 + over / SHORT_LEVEL_DB, 0.0), 1.0)
    points += weights[1] * min(max(1 - octaves / SHORT_OCTAVES, 0.0), 1.0)
    points += weights[2] * min(max(luggage_share, 0.0), 1.0)
    points += weights[3] * min(max(1 - price / (2 * wished[0]), 0.0), 1.0)
    points += weights[4] * min(max(over / RESERVE_DB, 0.0), 1.0)
    points += weights[5] * min(max(1 - hours / LONG_DAY_HOURS, 0.0), 1.0)
    return points


@njit(cache=True, nogil=True)
def _score(goals: Floats, wished: Floats, weights: Floats) -> Floats:
    points = np.empty(goals.shape[1])
    for i in range(points.size):
        level, low, price, hours, luggage = goals[:, i]
        points[i] = _points(level, low, price, hours, luggage, wished, weights)
    return points


@njit(cache=True, nogil=True)
def _judge(
    box: NDArray[np.intp],
    feed: NDArray[np.intp],
    box_price: Floats,
    feed_price: Floats,
    box_hours: Floats,
    feed_hours: Floats,
    luggage_share: Floats,
    box_mask: NDArray[np.uint32],
    feed_mask: NDArray[np.uint32],
    level_db: Floats,
    low_limit_hz: Floats,
    wished: Floats,
    bits: NDArray[np.uint32],
    weights: Floats,
    out: tuple[Floats, Floats, NDArray[np.uint32]],
) -> None:
    price, points, mask = out
    for i in range(box.size):
        b, f = box[i], feed[i]
        price[i] = box_price[b] + feed_price[f]
        failed = box_mask[b] | feed_mask[f]
        if wished[0] - price[i] < -SLACK:
            failed |= bits[0]
        if level_db[i] - wished[1] < -SLACK:
            failed |= bits[1]
        if wished[2] - low_limit_hz[i] < -SLACK:
            failed |= bits[2]
        mask[i] = failed
        hours = box_hours[b] + feed_hours[f]
        points[i] = _points(
            level_db[i], low_limit_hz[i], price[i], hours, luggage_share[b], wished, weights
        )

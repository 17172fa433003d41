"""Which amplifiers are worth trying for a class of boxes.

Boxes with the same total load and power range see every amplifier alike. Of all the
amplifiers only those can be part of a best system that no other beats in what they
cost (with the cable, fuse and upgrades that they ask for), in the voltage and current
that they give, and in the work that they make. The rest is left out; the search then
gives the same best systems as trying all (see the tests).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
from numba import njit
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Feeds:
    """Amplifiers to try, grouped by class of box: rows ``start[c]`` to ``start[c + 1]``.

    Attributes
    ----------
    start : ndarray of int, shape (classes + 1,)
    output : ndarray of int, shape (k,)
        Row in the table of amplifier outputs.
    cost : ndarray, shape (k,)
        Amplifier, cable set, upgrades and their labour, without tax [money].
    load_ohm : ndarray, shape (k,)
        Total load as wired.
    voltage_v, current_a : ndarray, shape (k,)
        RMS limits at the terminals with the gain set, told as for the stated load (see
        :func:`basswright.choose.amplifiers.feeds_for`).
    hours : ndarray, shape (k,)
        Work beyond fitting the box [h].
    match_margin_db, supply_margin_a : ndarray, shape (k,)
        Signed margins of the rules "power match" and "supply"; negative fails.
    peak_a, average_a : ndarray, shape (k,)
        Supply currents: sine at the power used, and with programme.
    """

    start: NDArray[np.intp]
    output: NDArray[np.intp]
    load_ohm: Floats
    cost: Floats
    voltage_v: Floats
    current_a: Floats
    hours: Floats
    match_margin_db: Floats
    supply_margin_a: Floats
    peak_a: Floats
    average_a: Floats

    def take(self, rows: NDArray[np.intp], start: NDArray[np.intp]) -> Feeds:
        """Return the feeds of some rows, grouped anew."""
        columns = {item.name: getattr(self, item.name) for item in fields(self)}
        taken = {name: column[rows] for name, column in columns.items() if name != "start"}
        return Feeds(start=start, **taken)


def joined(blocks: Sequence[Feeds]) -> Feeds:
    """Return the feeds of several blocks of classes as one, classes in order."""
    columns = {
        item.name: np.concatenate([getattr(block, item.name) for block in blocks])
        for item in fields(Feeds)
        if item.name != "start"
    }
    counts = np.concatenate([np.diff(block.start) for block in blocks])
    return Feeds(start=np.concatenate([[0], np.cumsum(counts)]).astype(np.intp), **columns)


def undominated(feeds: Feeds) -> Feeds:
    """Leave out every feed that another of its class equals or beats in everything.

    A feed is beaten when another costs no more, takes no more work, gives no less
    voltage and current, and passes every rule that this one passes, with no smaller
    margin where it fails. Of two equal feeds the first is kept.
    """
    worse_is_larger = np.column_stack(
        [
            feeds.cost,
            feeds.hours,
            -feeds.voltage_v,
            -feeds.current_a,
            -np.minimum(feeds.match_margin_db, 0.0),
            -np.minimum(feeds.supply_margin_a, 0.0),
        ]
    )
    kept = _kept(np.ascontiguousarray(worse_is_larger), feeds.start)
    rows = np.flatnonzero(kept)
    counts = np.add.reduceat(np.append(kept, False).astype(np.intp), feeds.start[:-1])
    counts = np.where(np.diff(feeds.start) > 0, counts, 0)
    return feeds.take(rows, np.concatenate([[0], np.cumsum(counts)]).astype(np.intp))


@njit(cache=True, nogil=True)
def _kept(figures: Floats, start: NDArray[np.intp]) -> NDArray[np.bool_]:
    kept = np.zeros(figures.shape[0], dtype=np.bool_)
    columns = figures.shape[1]
    survivors = np.empty(figures.shape[0], dtype=np.intp)
    for group in range(start.size - 1):
        begin, end = start[group], start[group + 1]
        order = np.argsort(figures[begin:end, 0], kind="mergesort") + begin
        count = 0
        place = 0
        while place < order.size:
            # rows of equal cost may beat each other in either order: weigh them together
            stop = place
            while stop < order.size and figures[order[stop], 0] == figures[order[place], 0]:
                stop += 1
            for own in range(place, stop):
                row = order[own]
                beaten = False
                for s in range(count):
                    if _beats(figures, survivors[s], row, columns):
                        beaten = True
                        break
                if not beaten:
                    for other in range(place, stop):
                        rival = order[other]
                        if rival == row or not _beats(figures, rival, row, columns):
                            continue
                        if rival < row or not _beats(figures, row, rival, columns):
                            beaten = True
                            break
                if not beaten:
                    kept[row] = True
            for own in range(place, stop):
                if kept[order[own]]:
                    survivors[count] = order[own]
                    count += 1
            place = stop
    return kept


@njit(cache=True, nogil=True)
def _beats(figures: Floats, one: int, other: int, columns: int) -> bool:
    for column in range(columns):
        if figures[one, column] > figures[other, column]:
            return False
    return True

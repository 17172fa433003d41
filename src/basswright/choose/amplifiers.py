"""Every amplifier for every class of boxes, with what it asks of the car."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from basswright import drive, supply
from basswright.choose import labour
from basswright.choose.feeds import Feeds, joined, undominated
from basswright.drive import STANDARD_SUPPLY_V, MatchTable, OutputTable
from basswright.records.enclosure import Enclosure
from basswright.records.job import Workshop
from basswright.records.snapshot import Snapshot

Floats = NDArray[np.float64]

#: Whole amplifier with its converter, class D and AB (common practice, no source).
BUILT_IN_EFFICIENCY = {"D": 0.80, "AB": 0.55, "G": 0.60, "H": 0.60}
#: Eight pairs of terminals can be joined to four loads.
MOST_OTHER_LOADS = 3
#: Margin of a system without any safe supply [A].
NO_SUPPLY_A = -1e4


@dataclass(frozen=True, kw_only=True)
class BoxClasses:
    """Boxes grouped by what an amplifier sees of them.

    Attributes
    ----------
    of_box : ndarray of int, shape (n,)
        Class of each box.
    load_ohm, low_w, high_w : ndarray, shape (c,)
        Total load, NaN where the sheet is silent, and power range of each class.
    other_ohm : ndarray, shape (c, 3)
        Loads that the terminals of such a box can be wired to instead, filled with NaN.
    built_in_w : ndarray, shape (c,)
        Power of the amplifier that such a box brings, at 14.4 V; NaN without one.
    built_in_peak_a : ndarray, shape (c,)
        Its greatest supply current as the sheet tells it, NaN where silent.
    built_in_efficiency : ndarray, shape (c,)
    least_ohm : ndarray, shape (c,)
        No box of the class shows less than this at any frequency and in any draw, wired
        for `load_ohm`; 0 where that is not known.
    """

    of_box: NDArray[np.intp]
    load_ohm: Floats
    other_ohm: Floats
    low_w: Floats
    high_w: Floats
    built_in_w: Floats
    built_in_peak_a: Floats
    built_in_efficiency: Floats
    least_ohm: Floats

    def take(self, rows: NDArray[np.intp]) -> BoxClasses:
        """Return the classes of some of the boxes, without those that are left empty."""
        used, of_box = np.unique(self.of_box[rows], return_inverse=True)
        return self._some(used, of_box.astype(np.intp))

    def block(self, start: int, stop: int) -> BoxClasses:
        """Return some classes in a row, without any boxes."""
        return self._some(np.arange(start, stop), np.empty(0, dtype=np.intp))

    def _some(self, rows: NDArray[np.intp], of_box: NDArray[np.intp]) -> BoxClasses:
        columns = {item.name: getattr(self, item.name) for item in fields(self)}
        taken = {name: column[rows] for name, column in columns.items() if name != "of_box"}
        return BoxClasses(of_box=of_box, **taken)

    def wirings(self) -> Iterator[tuple[NDArray[np.intp], Floats]]:
        """Yield classes without an amplifier of their own, and their loads, a wiring each."""
        separate = np.isnan(self.built_in_w)
        yield np.flatnonzero(separate), self.load_ohm[separate]
        for other in self.other_ohm.T:
            which = np.flatnonzero(separate & ~np.isnan(other))
            if which.size:
                yield which, other[which]


def with_known_load(enclosure: Enclosure) -> Enclosure:
    """Return a box whose load every question takes alike.

    A box with an amplifier of its own may keep its load to itself; then one is assumed,
    the same for level and power, where it cancels out. Of a box with several pairs of
    terminals and no stated load, all in parallel is the load that the sheet is read for.
    """
    if enclosure.load_ohm is not None:
        return enclosure
    if enclosure.amplifier is None:
        loads = drive.loads_of(enclosure)
        return enclosure.model_copy(update={"load_ohm": loads[0]}) if loads else enclosure
    return enclosure.model_copy(update={"load_ohm": drive.built_in_load_ohm(enclosure)})


def box_classes(enclosures: Sequence[Enclosure], *, least_ohm: Floats | None = None) -> BoxClasses:
    """Group boxes (with known loads) by loads, power range and built-in amplifier.

    Parameters
    ----------
    enclosures : sequence of Enclosure
        n boxes.
    least_ohm : ndarray, shape (n,), optional
        What each shows at least at its terminals: the resistance of its coils [ohm].
    """
    ranges = drive.power_ranges(enclosures)
    rows = np.full((len(enclosures), 6 + MOST_OTHER_LOADS), np.nan)
    rows[:, 1], rows[:, 2] = ranges.low_w, ranges.high_w
    for place, each in enumerate(enclosures):
        if each.terminals is not None:
            others = drive.loads_of(each)[1:]
            rows[place, 6 : 6 + len(others)] = others
        built_in = each.amplifier
        rows[place, 0] = np.nan if each.load_ohm is None else each.load_ohm
        if built_in is not None:
            peak = built_in.current_a if built_in.current_a is not None else np.nan
            kind = built_in.amplifier_class or "D"
            power = drive.built_in_power_w(built_in, STANDARD_SUPPLY_V)
            rows[place, 3:6] = power, peak, BUILT_IN_EFFICIENCY[kind]
    # NaN is unequal to itself: group by its bit pattern
    unique, of_box = np.unique(rows.view(np.int64), axis=0, return_inverse=True)
    table = np.ascontiguousarray(unique).view(np.float64)
    least = np.full(len(table), np.inf if least_ohm is not None else 0.0)
    if least_ohm is not None:
        np.minimum.at(least, of_box.ravel(), least_ohm)
    return BoxClasses(
        of_box=of_box.ravel().astype(np.intp),
        load_ohm=table[:, 0],
        low_w=table[:, 1],
        high_w=table[:, 2],
        built_in_w=table[:, 3],
        built_in_peak_a=table[:, 4],
        built_in_efficiency=table[:, 5],
        other_ohm=table[:, 6:],
        least_ohm=least,
    )


#: Classes of boxes that are worked on together, so that memory stays small.
_CLASSES_AT_ONCE = 128
#: Arrays let go of the interpreter's lock, so two blocks are worked on side by side.
THREADS = 2


def best_feeds(
    classes: BoxClasses,
    outputs: OutputTable,
    ladder: supply.SupplyLadder,
    snapshot: Snapshot,
    *,
    supply_voltage_v: float,
    workshop: Workshop,
) -> Feeds:
    """Return the amplifiers worth trying for every class of boxes.

    As :func:`feeds_for` and :func:`basswright.choose.feeds.undominated`, a block of
    classes at a time.
    """
    count = classes.load_ohm.size

    def block_from(start: int) -> Feeds:
        block = classes.block(start, min(start + _CLASSES_AT_ONCE, count))
        every = feeds_for(
            block, outputs, ladder, snapshot, supply_voltage_v=supply_voltage_v, workshop=workshop
        )
        return undominated(every, least_ohm=block.least_ohm)

    with ThreadPoolExecutor(THREADS) as pool:
        return joined(list(pool.map(block_from, range(0, max(count, 1), _CLASSES_AT_ONCE))))


def feeds_for(
    classes: BoxClasses,
    outputs: OutputTable,
    ladder: supply.SupplyLadder,
    snapshot: Snapshot,
    *,
    supply_voltage_v: float,
    workshop: Workshop,
) -> Feeds:
    """Return every amplifier for every class of boxes, with cable, fuse and upgrades.

    Parameters
    ----------
    classes : BoxClasses
    outputs : OutputTable
        Of the catalogue's amplifiers.
    ladder : SupplyLadder
        Cheapest safe supply of this car at any current, labour on upgrades included.
    snapshot : Snapshot
    supply_voltage_v : float
        Engine running [V].
    workshop : Workshop
        Hourly rate and labour times.

    Returns
    -------
    Feeds
        Every wiring of a class with every output, the stated wiring first. Outputs that
        the load rules out altogether are left out; a built-in amplifier is a feed with
        output -1.

    Notes
    -----
    What is heard is worked out for the stated load R. At another load r R the same power
    moves the same air, so that feed counts as one of V / sqrt(r) and I sqrt(r) at R.
    """
    parts = []
    price = np.array([each.price for each in snapshot.amplifiers], dtype=float)
    for which, load in classes.wirings():
        matches = drive.match_table(
            load,
            classes.low_w[which],
            classes.high_w[which],
            outputs,
            supply_voltage_v=supply_voltage_v,
        )
        parts.append(_separate(matches, which, outputs, price, supply_voltage_v))
        row = parts[-1]["box_class"].astype(np.intp)
        root = np.sqrt(parts[-1]["load_ohm"] / classes.load_ohm[row])
        parts[-1]["voltage_v"] /= root
        parts[-1]["current_a"] *= root
    built_in = np.flatnonzero(~np.isnan(classes.built_in_w))
    parts.append(_built_in(classes, built_in, supply_voltage_v))
    columns = {name: np.concatenate([part[name] for part in parts]) for name in parts[0]}
    order = np.argsort(columns["box_class"], kind="stable")
    columns = {name: column[order] for name, column in columns.items()}
    return _with_supply(columns, classes.load_ohm.size, ladder, workshop)


def _separate(
    matches: MatchTable,
    which: NDArray[np.intp],
    outputs: OutputTable,
    price: Floats,
    supply_voltage_v: float,
) -> dict[str, Floats]:
    row, output = np.nonzero(matches.current_limit_a > 0)
    used = matches.used_w[row, output]
    peak, average = supply.currents(
        used,
        outputs.efficiency_share[output],
        supply_voltage_v,
        linear_stage=outputs.linear_stage[output],
        idle_current_a=outputs.idle_current_a[output],
    )
    return {
        "box_class": which[row].astype(float),
        "load_ohm": matches.load_ohm[row],
        "output": output.astype(float),
        "price": price[outputs.amplifier_index[output]],
        "voltage_v": matches.voltage_limit_v[row, output],
        "current_a": matches.current_limit_a[row, output],
        "peak_a": peak,
        "average_a": average,
        "match_margin_db": matches.margin_db[row, output],
    }


def _built_in(
    classes: BoxClasses, which: NDArray[np.intp], supply_voltage_v: float
) -> dict[str, Floats]:
    share = min(1.0, (supply_voltage_v / STANDARD_SUPPLY_V) ** 2)
    power, load = classes.built_in_w[which] * share, classes.load_ohm[which]
    peak, average = supply.currents(power, classes.built_in_efficiency[which], supply_voltage_v)
    stated = classes.built_in_peak_a[which]
    return {
        "box_class": which.astype(float),
        "load_ohm": load,
        "output": np.full(which.size, -1.0),
        "price": np.zeros(which.size),
        "voltage_v": np.sqrt(power * load),
        "current_a": np.sqrt(power / load) * 1.5,
        "peak_a": np.fmax(peak, stated),
        "average_a": average,
        "match_margin_db": np.zeros(which.size),
    }


def _with_supply(
    columns: dict[str, Floats],
    class_count: int,
    ladder: supply.SupplyLadder,
    workshop: Workshop,
) -> Feeds:
    peak, average = columns["peak_a"], columns["average_a"]
    verdicts = ladder.verdicts(peak, average)
    safe = np.isfinite(verdicts.price)
    margin = np.minimum(verdicts.feed.margin, verdicts.charging.margin)
    margin = np.where(safe, np.maximum(margin, 0.0), np.minimum(margin, -1e-3))
    extra = np.where(columns["output"] >= 0, labour.amplifier_hours(workshop.labour), 0.0)
    upgrade_hours = ladder.labour_s(peak, average) / labour.HOUR_S
    # what no supply can feed is priced without one: it is refused by its margin
    feed_price = np.where(safe, verdicts.price, 0.0)
    counts = np.bincount(columns["box_class"].astype(np.intp), minlength=class_count)
    return Feeds(
        start=np.concatenate([[0], np.cumsum(counts)]).astype(np.intp),
        output=columns["output"].astype(np.intp),
        load_ohm=columns["load_ohm"],
        cost=columns["price"] + feed_price + extra * workshop.hourly_rate,
        voltage_v=columns["voltage_v"],
        current_a=columns["current_a"],
        hours=extra + upgrade_hours,
        match_margin_db=columns["match_margin_db"],
        supply_margin_a=margin,
        peak_a=peak,
        average_a=average,
    )

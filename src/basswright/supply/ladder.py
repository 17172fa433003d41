"""The cheapest safe supply for every pair of peak and average current, as steps.

Everything that the car's supply costs depends on two figures of a system only: its
peak current (cable, fuse, holder) and its average current (battery, alternator). Both
are steps, so millions of systems are judged by looking up two sorted lists.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from basswright.errors import InputError
from basswright.records.car import Charging
from basswright.records.snapshot import Snapshot
from basswright.records.verdict import VerdictTable
from basswright.supply.feed import FEED_LIMITS, Feed, feeds, usable_cables
from basswright.supply.fuses import CONTINUOUS_SHARE
from basswright.supply.rules import SupplyRules
from basswright.supply.upgrades import AVERAGE_LIMITS, Upgrade, upgrades

#: Margin where nothing on offer is safe at any current [A].
_NOTHING_A = -1e4
#: Nearer to a limit than this share of the current, a verdict is too close to call.
UNSURE_SHARE = 0.05


@dataclass(frozen=True, kw_only=True)
class SupplyVerdicts:
    """What the supply says of many systems: shapes as the currents that were given.

    Attributes
    ----------
    feed : VerdictTable
        Rule "feed": a safe cable and fuse carries the peak current; margins [A].
    charging : VerdictTable
        Rule "charging": alternator and battery carry the average current; margins [A].
    price : ndarray
        Of the cheapest supply that passes both; infinity where there is none.
    """

    feed: VerdictTable
    charging: VerdictTable
    price: NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class SupplyLadder:
    """All supplies of one car: step i carries peaks up to ``peak_step_a[i]``.

    Attributes
    ----------
    charging : Charging
    rules : SupplyRules
    upgrade_list : tuple of Upgrade
    feed_lists : tuple of tuple of Feed
        For each upgrade, the safe feeds worth buying, in order of price and strength.
    peak_step_a : ndarray, shape (p,)
        Greatest peak currents of all feeds, ascending [A].
    average_step_a : ndarray, shape (a,)
        Greatest average currents of all upgrades, ascending [A].
    price_grid : ndarray, shape (p + 1, a + 1)
        Cheapest price at each step; infinity beyond the last.
    upgrade_grid, feed_grid : ndarray of int, shape (p + 1, a + 1)
        Which upgrade, and which of its feeds, has that price; -1 where none.
    labour_grid_s : ndarray, shape (p + 1, a + 1)
        Work on the upgrade [s].
    left_out : tuple of InputError
        Cables of the catalogue that could not be judged, and why.
    """

    charging: Charging
    rules: SupplyRules
    upgrade_list: tuple[Upgrade, ...]
    feed_lists: tuple[tuple[Feed, ...], ...]
    peak_step_a: NDArray[np.float64]
    average_step_a: NDArray[np.float64]
    price_grid: NDArray[np.float64]
    upgrade_grid: NDArray[np.intp]
    feed_grid: NDArray[np.intp]
    labour_grid_s: NDArray[np.float64]
    left_out: tuple[InputError, ...] = ()

    def price(self, peak_a: ArrayLike, average_a: ArrayLike) -> NDArray[np.float64]:
        """Return the price of the cheapest safe supply; infinity where there is none.

        Parameters
        ----------
        peak_a, average_a : array_like
            Broadcast against each other [A].

        Returns
        -------
        ndarray, broadcast of both
            In the catalogue's currency; never falls with either current.
        """
        return self.price_grid.ravel()[self.cell(peak_a, average_a)]

    def labour_s(self, peak_a: ArrayLike, average_a: ArrayLike) -> NDArray[np.float64]:
        """Return the work on the upgrade that the cheapest supply takes [s].

        Parameters
        ----------
        peak_a, average_a : array_like
            Broadcast against each other [A].

        Returns
        -------
        ndarray, broadcast of both
            0 where nothing is upgraded, or nothing is safe [s].
        """
        return self.labour_grid_s.ravel()[self.cell(peak_a, average_a)]

    def cell(self, peak_a: ArrayLike, average_a: ArrayLike) -> NDArray[np.intp]:
        """Return the flat index into the grids for each pair of currents.

        Parameters
        ----------
        peak_a, average_a : array_like
            Broadcast against each other [A].

        Returns
        -------
        ndarray of int, broadcast of both
            A peak counts as no less than the average over 0.7, the share of its rating that a
            fuse carries for good.
        """
        peak, average = np.broadcast_arrays(
            np.asarray(peak_a, dtype=float), np.asarray(average_a, dtype=float)
        )
        peak = np.maximum(peak, average / CONTINUOUS_SHARE)
        row = np.searchsorted(self.peak_step_a, peak, side="left")
        column = np.searchsorted(self.average_step_a, average, side="left")
        return np.asarray(row * (len(self.average_step_a) + 1) + column, dtype=np.intp)

    def chosen(self, peak_a: float, average_a: float) -> tuple[Upgrade, Feed] | None:
        """Return the cheapest safe supply of one system, None where there is none.

        Parameters
        ----------
        peak_a, average_a : float
            Sine at the power used, and programme [A].

        Returns
        -------
        tuple of Upgrade and Feed, or None
        """
        cell = int(self.cell(peak_a, average_a))
        upgrade = int(self.upgrade_grid.ravel()[cell])
        if upgrade < 0:
            return None
        return self.upgrade_list[upgrade], self.feed_lists[upgrade][
            int(self.feed_grid.ravel()[cell])
        ]

    def verdicts(self, peak_a: ArrayLike, average_a: ArrayLike) -> SupplyVerdicts:
        """Judge many systems at once.

        Parameters
        ----------
        peak_a, average_a : array_like
            Broadcast against each other [A].

        Returns
        -------
        SupplyVerdicts
            Margins [A] are those of the cheapest supply that passes, or the distance to
            the strongest one on offer where none does.
        """
        peak = np.asarray(peak_a, dtype=float)
        average = np.asarray(average_a, dtype=float)
        cell = self.cell(peak, average)
        needed = np.maximum(peak, average / CONTINUOUS_SHARE)
        feed_margin = self._feed_capacity_a[cell] - needed
        charge_margin = self._charge_capacity_a[cell] - average
        return SupplyVerdicts(
            feed=VerdictTable(
                rule="feed",
                unit="A",
                passes=feed_margin >= 0,
                margin=feed_margin,
                limit_index=self._feed_limit[cell],
                limits=FEED_LIMITS,
                sure=np.abs(feed_margin) > needed * UNSURE_SHARE,
            ),
            charging=VerdictTable(
                rule="charging",
                unit="A",
                passes=charge_margin >= 0,
                margin=charge_margin,
                limit_index=self._charge_limit[cell],
                limits=AVERAGE_LIMITS,
                sure=np.abs(charge_margin) > average * UNSURE_SHARE,
            ),
            price=self.price_grid.ravel()[cell],
        )

    @cached_property
    def _feed_capacity_a(self) -> NDArray[np.float64]:
        return self._capacities[0]

    @cached_property
    def _feed_limit(self) -> NDArray[np.intp]:
        return self._capacities[1]

    @cached_property
    def _charge_capacity_a(self) -> NDArray[np.float64]:
        return self._capacities[2]

    @cached_property
    def _charge_limit(self) -> NDArray[np.intp]:
        return self._capacities[3]

    @cached_property
    def _capacities(
        self,
    ) -> tuple[NDArray[np.float64], NDArray[np.intp], NDArray[np.float64], NDArray[np.intp]]:
        """Capacity and limit of feed and charging in every cell, flat."""
        size = self.price_grid.size
        feed_a, charge_a = np.empty(size), np.empty(size)
        feed_limit, charge_limit = np.empty(size, dtype=np.intp), np.empty(size, dtype=np.intp)
        for cell in range(size):
            column = cell % (len(self.average_step_a) + 1)
            upgrade, feed = self._judged(cell, column)
            charge_a[cell] = upgrade.average_limit_a
            charge_limit[cell] = upgrade.limit_index
            feed_a[cell] = _NOTHING_A if feed is None else feed.capacity_a
            feed_limit[cell] = 2 if feed is None else feed.limit_index
        return feed_a, feed_limit, charge_a, charge_limit

    def _judged(self, cell: int, column: int) -> tuple[Upgrade, Feed | None]:
        """Return what a cell is judged by: its choice, or the strongest on offer."""
        chosen = int(self.upgrade_grid.ravel()[cell])
        if chosen >= 0:
            return self.upgrade_list[chosen], self.feed_lists[chosen][
                int(self.feed_grid.ravel()[cell])
            ]
        enough = [
            index
            for index, upgrade in enumerate(self.upgrade_list)
            if column < len(self.average_step_a)
            and upgrade.average_limit_a >= self.average_step_a[column]
        ]
        strongest = max(
            range(len(self.upgrade_list)), key=lambda i: self.upgrade_list[i].average_limit_a
        )
        open_to = [
            index
            for index in (enough or range(len(self.upgrade_list)))
            if self._strongest_feeds[index] is not None
        ]
        if not open_to:
            return self.upgrade_list[enough[0] if enough else strongest], None
        index = max(open_to, key=self._strongest_a)
        return self.upgrade_list[index if enough else strongest], self._strongest_feeds[index]

    def _strongest_a(self, index: int) -> float:
        feed = self._strongest_feeds[index]
        return _NOTHING_A if feed is None else feed.capacity_a

    @cached_property
    def _strongest_feeds(self) -> tuple[Feed | None, ...]:
        """The feed of each upgrade that carries the greatest peak current."""
        return tuple(
            max(found, key=lambda feed: feed.capacity_a, default=None) for found in self.feed_lists
        )


def ladder(
    charging: Charging, snapshot: Snapshot, *, rules: SupplyRules | None = None
) -> SupplyLadder:
    """Work out the cheapest safe supply of a car for all currents.

    Parameters
    ----------
    charging : Charging
        The car's alternator, battery and cable route.
    snapshot : Snapshot
        What can be bought.
    rules : SupplyRules, optional
        What the supply has to hold out against.

    Returns
    -------
    SupplyLadder
        Steps in peak and average current [A]. Its answers equal those of planning each pair
        of currents by itself.
    """
    rules = rules or SupplyRules()
    options = upgrades(charging, snapshot, rules)
    by_battery: dict[tuple[float, int], tuple[Feed, ...]] = {}
    lists = []
    for upgrade in options:
        second = upgrade.battery is not None and upgrade.battery.role == "second"
        key = (upgrade.cca_a, 2 if second else 1)
        if key not in by_battery:
            by_battery[key] = feeds(
                charging, snapshot, rules, cca_a=upgrade.cca_a, fuse_count=key[1]
            )
        lists.append(by_battery[key])
    peaks = np.unique([feed.capacity_a for found in by_battery.values() for feed in found])
    averages = np.unique([upgrade.average_limit_a for upgrade in options])
    shape = (len(peaks) + 1, len(averages) + 1)
    price = np.full(shape, np.inf)
    which_upgrade = np.full(shape, -1, dtype=np.intp)
    which_feed = np.full(shape, -1, dtype=np.intp)
    labour = np.zeros(shape)
    for index, (upgrade, found) in enumerate(zip(options, lists, strict=True)):
        cheapest, feed_index = _cheapest_by_step(found, peaks)
        columns = int(np.searchsorted(averages, upgrade.average_limit_a, side="left")) + 1
        total = (cheapest + upgrade.price)[:, None]
        better = total < price[:, :columns]
        price[:, :columns] = np.where(better, total, price[:, :columns])
        which_upgrade[:, :columns] = np.where(better, index, which_upgrade[:, :columns])
        which_feed[:, :columns] = np.where(better, feed_index[:, None], which_feed[:, :columns])
        labour[:, :columns] = np.where(better, upgrade.labour_s, labour[:, :columns])
    return SupplyLadder(
        charging=charging,
        rules=rules,
        upgrade_list=options,
        feed_lists=tuple(lists),
        peak_step_a=peaks,
        average_step_a=averages,
        price_grid=price,
        upgrade_grid=which_upgrade,
        feed_grid=which_feed,
        labour_grid_s=labour,
        left_out=usable_cables(snapshot, rules)[1],
    )


def _cheapest_by_step(
    found: tuple[Feed, ...], peaks: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.intp]]:
    """Return the cheapest feed that carries each peak step, and one infinity beyond.

    The feeds come in order of price and strength, so the first that is strong enough
    is the cheapest.
    """
    steps = np.append(peaks, np.inf)
    which = np.searchsorted([feed.capacity_a for feed in found], steps, side="left")
    price = np.array([*(feed.price for feed in found), np.inf])[which]
    return price, np.where(which < len(found), which, -1)

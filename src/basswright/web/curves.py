"""The response of each option in the list, from what was weighed already."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from basswright.records.system import Option

if TYPE_CHECKING:
    from basswright import stages


@dataclass(frozen=True, kw_only=True)
class Curve:
    """Highest clean level at the ear: middle and 90 % band.

    Attributes
    ----------
    frequency_hz, middle_db, low_db, high_db : ndarray, shape (f,)
    """

    frequency_hz: NDArray[np.float64]
    middle_db: NDArray[np.float64]
    low_db: NDArray[np.float64]
    high_db: NDArray[np.float64]


def curves_of(weighed: stages.Weighed, options: Sequence[Option]) -> dict[str, Curve]:
    """Return a curve for each option of a weighed job, by the option's id.

    The level is the least of the box's own limit and of what the amplifier's voltage and
    current give into its impedance (see :class:`basswright.records.levels.LevelTable`).
    """
    if not options:
        return {}
    levels, rows = weighed.levels, _rows(weighed, options)
    power = np.array([option.match.available_w for option in options])[:, None, None]
    load = np.array([option.match.load_ohm for option in options])[:, None, None]
    by_current = 10 * np.log10(power / load) + 20 * np.log10(levels.impedance_ohm[rows])
    driven = levels.per_volt_db[rows] + np.minimum(10 * np.log10(power * load), by_current)
    loudest = np.minimum(levels.own_limit_db[rows], driven)
    low, middle, high = np.quantile(loudest, (0.05, 0.5, 0.95), axis=1)
    return {
        option.id: Curve(
            frequency_hz=levels.frequency_hz, middle_db=middle[i], low_db=low[i], high_db=high[i]
        )
        for i, option in enumerate(options)
    }


def _rows(weighed: stages.Weighed, options: Sequence[Option]) -> NDArray[np.intp]:
    """Return the row of each option's box among the boxes that were weighed."""
    row_of = weighed.prepared.row_of
    rows = [row_of[each.enclosure.id] for each in options]
    return np.searchsorted(weighed.kept, rows)

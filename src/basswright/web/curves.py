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
    snapshot, levels = weighed.prepared.snapshot, weighed.levels
    place = {snapshot.enclosures[row].id: i for i, row in enumerate(weighed.kept.tolist())}
    found = {}
    for option in options:
        i = place[option.enclosure.id]
        match = option.match
        volts = 20 * np.log10(np.sqrt(match.available_w * match.load_ohm))
        amps = np.sqrt(match.available_w / match.load_ohm)
        by_current = 20 * np.log10(amps * levels.impedance_ohm[i])
        driven = levels.per_volt_db[i] + np.minimum(volts, by_current)
        loudest = np.minimum(levels.own_limit_db[i], driven)
        low, middle, high = np.quantile(loudest, (0.05, 0.5, 0.95), axis=0)
        found[option.id] = Curve(
            frequency_hz=levels.frequency_hz, middle_db=middle, low_db=low, high_db=high
        )
    return found

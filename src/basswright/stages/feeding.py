"""What the supply does under music, and what a capacitor or second battery would change."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from basswright import drive
from basswright.proof import read_recording
from basswright.records.electrics import BatteryUpgrade
from basswright.records.snapshot import Snapshot
from basswright.stages.system import System
from basswright.supply.programme import demand_w, invented_piece, track_share
from basswright.supply.remedies import Remedy, remedies
from basswright.supply.simulate import SupplyCase

#: Length of the invented piece that is played [s].
PIECE_S = 60.0
#: Whole amplifier at full power, where its own figure is not known.
USUAL_EFFICIENCY = 0.8


def under_music(
    system: System,
    catalogue: Snapshot,
    *,
    track: Path | None = None,
    case: SupplyCase | None = None,
) -> tuple[Remedy, ...]:
    """Play music on the supply of a system, as it is and with remedies.

    Parameters
    ----------
    system : System
    catalogue : Snapshot
        The cheapest second battery of it is tried, if there is one.
    track : Path, optional
        The user's own WAV or FLAC file; without one an invented bass piece is played.
    case : SupplyCase, optional
        Engine, charge, temperature; by default what the record of cases starts with.

    Returns
    -------
    tuple of Remedy
        The first is the supply as it is.

    Raises
    ------
    InputError
        The track cannot be read or is silent.
    """
    option, charging = system.option, system.job.car.charging
    amplifier = option.amplifier
    efficiency = USUAL_EFFICIENCY if amplifier is None else float(drive.efficiency_share(amplifier))
    share = invented_piece(PIECE_S) if track is None else _share_of(track, system)
    asked = demand_w(share, option.match.used_w, efficiency)
    return remedies(
        option.supply,
        charging,
        asked,
        case=case or SupplyCase(),
        second=_cheapest_second(catalogue),
    )


def _share_of(track: Path, system: System) -> NDArray[np.float64]:
    recording = read_recording(track)
    return track_share(
        recording.samples,
        recording.sample_rate_hz,
        low_pass_hz=system.job.wish.crossover_hz,
    )


def _cheapest_second(catalogue: Snapshot) -> BatteryUpgrade | None:
    second = [battery for battery in catalogue.batteries if battery.role == "second"]
    return min(second, key=lambda battery: (battery.price, battery.id), default=None)

"""Which outputs of which amplifiers can drive a mono bass box, and what they can give."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from basswright.drive.claims import claim_problems, consistent_ratings, fuse_share
from basswright.drive.clipping import undistorted_share
from basswright.drive.efficiency import TYPICAL_IDLE_A, assumed_class, efficiency_share
from basswright.drive.standard import STANDARD_DISTORTION_SHARE, STANDARD_SUPPLY_V
from basswright.errors import InputError
from basswright.records.amplifier import Amplifier, OutputMode

MODES: Final[tuple[OutputMode, ...]] = ("single", "per-channel", "bridged")


@dataclass(frozen=True, kw_only=True)
class OutputTable:
    """One row for each way in which an amplifier can drive one mono load.

    Attributes
    ----------
    amplifier_index : ndarray of int, shape (m,)
        Which amplifier of the sequence the row belongs to.
    modes : tuple of OutputMode, length m
    channels_used : ndarray of int, shape (m,)
        Channels that the bass box takes; the others stay free for the car's speakers.
    lowest_load_ohm : ndarray, shape (m,)
        Lowest load allowed at this output [ohm].
    load_ohm : ndarray, shape (m, k)
        Rated loads, ascending; short rows repeat their last rating [ohm].
    voltage_v, current_a : ndarray, shape (m, k)
        RMS voltage [V] and current [A] at those loads, derated to ANSI/CTA-2006 conditions
        and free of contradictions: voltage never falls, current never rises with load.
    rated_voltage_v : ndarray, shape (m,)
        Supply at which the ratings hold [V].
    regulated : ndarray of bool, shape (m,)
    efficiency_share : ndarray, shape (m,)
        Whole amplifier at full power [-].
    idle_current_a : ndarray, shape (m,)
        Draw without a signal [A].
    linear_stage : ndarray of bool, shape (m,)
        True for class AB, G and H, whose draw follows the mean of the signal.
    notes : tuple of tuple of str, length m
        What was assumed or derated, a sentence each.
    """

    amplifier_index: NDArray[np.intp]
    modes: tuple[OutputMode, ...]
    channels_used: NDArray[np.intp]
    lowest_load_ohm: NDArray[np.float64]
    load_ohm: NDArray[np.float64]
    voltage_v: NDArray[np.float64]
    current_a: NDArray[np.float64]
    rated_voltage_v: NDArray[np.float64]
    regulated: NDArray[np.bool_]
    efficiency_share: NDArray[np.float64]
    idle_current_a: NDArray[np.float64]
    linear_stage: NDArray[np.bool_]
    notes: tuple[tuple[str, ...], ...]

    def __len__(self) -> int:
        return len(self.modes)


@dataclass(frozen=True, kw_only=True)
class _Row:
    index: int
    mode: OutputMode
    channels: int
    lowest_ohm: float
    loads: list[float]
    powers: list[float]
    amplifier: Amplifier
    notes: tuple[str, ...]


def outputs(amplifiers: Sequence[Amplifier]) -> OutputTable:
    """List every output of every amplifier that can drive a mono bass box.

    A single-channel amplifier gives one row, one with several channels a row for one
    channel and, where bridging is allowed, one for a bridged pair.

    Parameters
    ----------
    amplifiers : sequence of Amplifier

    Returns
    -------
    OutputTable
        Rated loads [ohm], voltages [V] and currents [A] of m outputs.

    Raises
    ------
    InputError
        An amplifier has no rating in any mode that can drive a mono load.

    Notes
    -----
    Bridged power that is not rated follows from the channels: each sees half the load, so
    P(R) is twice a channel's power at R/2, and the lowest load twice a channel's.

    References
    ----------
    .. [1] D. Self, Audio Power Amplifier Design (bridged operation; from memory).
    .. [2] ANSI/CTA-2006 (conditions of a rating; from memory).
    """
    rows: list[_Row] = []
    for index, amplifier in enumerate(amplifiers):
        found = _rows(index, amplifier)
        if not found:
            raise InputError(
                "no power rating for any output that exists",
                item=amplifier.id,
                field="ratings",
                allowed="RMS power at the load, per channel or bridged",
            )
        rows += found
    return _table(rows)


def _rows(index: int, amplifier: Amplifier) -> list[_Row]:
    common = _common_notes(amplifier)
    problems = tuple(f"{p.problem}; taken: {p.taken}" for p in claim_problems(amplifier))
    rows: list[_Row] = []
    for mode in MODES:
        pairs, more = _ratings(amplifier, mode)
        if not pairs or (mode == "bridged" and amplifier.channels < 2):
            continue
        loads, powers = [p[0] for p in pairs], [p[1] for p in pairs]
        rows.append(
            _Row(
                index=index,
                mode=mode,
                channels=2 if mode == "bridged" else 1,
                lowest_ohm=_lowest_ohm(amplifier, mode, loads),
                loads=loads,
                powers=powers,
                amplifier=amplifier,
                notes=(*common, *problems, *more),
            )
        )
    return rows


def _ratings(
    amplifier: Amplifier, mode: OutputMode
) -> tuple[list[tuple[float, float]], tuple[str, ...]]:
    """Return (load, power) pairs of a mode, ascending in load, and what was worked out."""
    pairs = consistent_ratings(amplifier, mode)
    if pairs or mode != "bridged" or amplifier.lowest_bridged_ohm is None:
        share = fuse_share(amplifier, mode)
        return [(load, power * share) for load, power in pairs], ()
    channel, _ = _ratings(amplifier, "per-channel")
    derived = [(2 * load, 2 * power) for load, power in channel]
    note = "bridged power worked out from the channels: twice the power at twice the load"
    return derived, ((note,) if derived else ())


def _lowest_ohm(amplifier: Amplifier, mode: OutputMode, loads: list[float]) -> float:
    if mode != "bridged":
        return amplifier.lowest_load_ohm
    if amplifier.lowest_bridged_ohm is None:
        return max(2 * amplifier.lowest_load_ohm, loads[0])
    return max(2 * amplifier.lowest_load_ohm, amplifier.lowest_bridged_ohm)


def _common_notes(amplifier: Amplifier) -> tuple[str, ...]:
    notes: list[str] = []
    supply_v, distortion = amplifier.rated_voltage_v, amplifier.rated_distortion_share
    if supply_v is None:
        notes.append(f"supply of the ratings not stated: {STANDARD_SUPPLY_V} V assumed")
    elif abs(supply_v - STANDARD_SUPPLY_V) > 0.05:
        notes.append(f"rated at {supply_v:g} V, not at {STANDARD_SUPPLY_V} V (ANSI/CTA-2006)")
    if distortion is None:
        notes.append("distortion of the ratings not stated: 1 % assumed")
    elif distortion > STANDARD_DISTORTION_SHARE:
        share = float(undistorted_share(distortion))
        notes.append(
            f"rated at {distortion * 100:g} % distortion, not at 1 % (ANSI/CTA-2006): "
            f"taken at {share * 100:.0f} % of the power"
        )
    if amplifier.regulated is None:
        notes.append("inner supply not stated: taken as unregulated")
    return tuple(notes)


def _table(rows: list[_Row]) -> OutputTable:
    width = max((len(row.loads) for row in rows), default=1)
    load = _padded([row.loads for row in rows], width)
    power = _padded([row.powers for row in rows], width)
    distortion = np.array(
        [row.amplifier.rated_distortion_share or STANDARD_DISTORTION_SHARE for row in rows]
    )
    power = power * undistorted_share(distortion)[:, None]
    stage = [assumed_class(row.amplifier) for row in rows]
    idle = [row.amplifier.idle_current_a for row in rows]
    return OutputTable(
        amplifier_index=np.array([row.index for row in rows], dtype=np.intp),
        modes=tuple(row.mode for row in rows),
        channels_used=np.array([row.channels for row in rows], dtype=np.intp),
        lowest_load_ohm=np.array([row.lowest_ohm for row in rows], dtype=float),
        load_ohm=load,
        voltage_v=np.sqrt(power * load),
        current_a=np.sqrt(power / load),
        rated_voltage_v=np.array(
            [row.amplifier.rated_voltage_v or STANDARD_SUPPLY_V for row in rows], dtype=float
        ),
        regulated=np.array([bool(row.amplifier.regulated) for row in rows], dtype=bool),
        efficiency_share=np.array([efficiency_share(row.amplifier) for row in rows], dtype=float),
        idle_current_a=np.array([TYPICAL_IDLE_A if i is None else i for i in idle], dtype=float),
        linear_stage=np.array([s != "D" for s in stage], dtype=bool),
        notes=tuple(row.notes for row in rows),
    )


def _padded(rows: list[list[float]], width: int) -> NDArray[np.float64]:
    filled = [row + [row[-1]] * (width - len(row)) for row in rows]
    return np.array(filled, dtype=float).reshape(len(rows), width)

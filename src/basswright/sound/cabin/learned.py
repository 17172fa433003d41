"""The cabin after others of its kind were measured: shifted to where they lay, and surer."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from basswright.errors import InputError
from basswright.sound.cabin.model import (
    CabinModel,
    ComplexArray,
    FloatArray,
    check_frequency,
    check_points,
)

#: A draw that has a sharp null where the others were measured says little of other places.
_FARTHEST_DB = 15.0


@dataclass(frozen=True, kw_only=True)
class LearnedCabin(CabinModel):
    """A model of a cabin, corrected by what measured cars of the same kind had in common.

    Attributes
    ----------
    name, why : str
    base : CabinModel
    frequency_hz, shift_db, spread_share : ndarray, shape (m,)
        How much louder the kind is than its model, and which part of the model's own
        spread is left.
    cones_m : ndarray, shape (k, 3)
        Where the sources stood.
    """

    name: str
    why: str
    base: CabinModel
    frequency_hz: FloatArray
    shift_db: FloatArray
    spread_share: FloatArray
    cones_m: FloatArray

    def shapes(self, cone_m: FloatArray) -> FloatArray:
        """Return the base model's shapes at n places, shape (n, r)."""
        return self.base.shapes(cone_m)

    def amplitudes(self, frequency_hz: FloatArray, draws: int, seed: int) -> ComplexArray:
        """Return each shape's amplitude [Pa s/m3], shape (draws, f, r).

        Every draw is moved towards the middle one until the stated part of the spread is
        left where the cars were measured, and all are shifted together.
        """
        answer = self.base.amplitudes(frequency_hz, draws, seed)
        heard = np.abs(answer @ self.shapes(self.cones_m).T) ** 2
        level = 10 * np.log10(np.maximum(heard.mean(axis=-1), 1e-30))
        off = np.clip(level - level[0], -_FARTHEST_DB, _FARTHEST_DB)
        at, known = np.log(frequency_hz), np.log(self.frequency_hz)
        share = np.interp(at, known, self.spread_share)
        change = np.interp(at, known, self.shift_db) + (share - 1) * off
        return np.asarray(answer * 10 ** (change / 20)[:, :, None])


def learned_cabin(
    base: CabinModel,
    frequency_hz: ArrayLike,
    *,
    shift_db: ArrayLike,
    spread_share: ArrayLike,
    cones_m: ArrayLike,
    cars: int,
) -> LearnedCabin:
    """Return the cabin after `cars` of its kind were measured.

    Parameters
    ----------
    base : CabinModel
    frequency_hz : array_like, shape (m,)
        Rising [Hz].
    shift_db : array_like, shape (m,)
        Expected level less the model's [dB].
    spread_share : array_like, shape (m,)
        Spread that is left over the model's own, above 0.
    cones_m : array_like, shape (k, 3)
        Where the sources stood [m].
    cars : int
        How many were measured, for the explanation.

    Raises
    ------
    InputError
        Frequencies that do not rise, curves of other lengths or without sense.
    """
    frequency = check_frequency(frequency_hz)
    shift, share = (np.asarray(one, dtype=float) for one in (shift_db, spread_share))
    if np.any(np.diff(frequency) <= 0):
        raise InputError("frequencies do not rise", field="frequency_hz")
    for field, curve in (("shift_db", shift), ("spread_share", share)):
        if curve.shape != frequency.shape or not np.all(np.isfinite(curve)):
            raise InputError("not one figure a frequency", field=field, value=curve.shape)
    if np.any(share <= 0):
        raise InputError("no spread is left", field="spread_share", value=float(share.min()))
    return LearnedCabin(
        name=base.name,
        why=f"{base.why}; measured cars of this kind: {cars}, the level corrected by them",
        base=base,
        frequency_hz=frequency,
        shift_db=shift,
        spread_share=share,
        cones_m=check_points(cones_m),
    )

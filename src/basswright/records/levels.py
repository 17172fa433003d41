"""What sound tells of many boxes at once, ready to be joined with any amplifier."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, kw_only=True)
class LevelTable:
    """Levels at the ear of n boxes in d draws at f frequencies, without an amplifier.

    With an amplifier that gives at most U volts and I amperes (RMS), the highest clean
    level at a frequency is the least of three: ``own_limit_db``,
    ``per_volt_db + 20 log10 U`` and ``per_volt_db + 20 log10 (I * impedance_ohm)``.

    Attributes
    ----------
    frequency_hz : ndarray, shape (f,)
    per_volt_db : ndarray, shape (n, d, f)
        Level at the ear for 1 V RMS at the terminals, filters of the chain included.
    own_limit_db : ndarray, shape (n, d, f)
        Highest level that cone, radiator, port and the coil's heat allow.
    own_limit_index : ndarray of int, shape (n, d, f)
        Which of `own_limits` decides.
    own_limits : tuple of str
    impedance_ohm : ndarray, shape (n, d, f)
        Magnitude at the terminals.
    """

    frequency_hz: NDArray[np.float64]
    per_volt_db: NDArray[np.float64]
    own_limit_db: NDArray[np.float64]
    own_limit_index: NDArray[np.intp]
    own_limits: tuple[str, ...]
    impedance_ohm: NDArray[np.float64]

    @cached_property
    def powers(self) -> tuple[NDArray[np.float32], NDArray[np.float32], NDArray[np.float32]]:
        """The same as squared pressure over its reference: for 1 V, of its own, for 1 A.

        In single precision (4e-7 dB), so that twice as many go through the search at once.
        """
        nepers = np.log(10) / 10
        per_volt = np.exp(self.per_volt_db * nepers)
        own = np.exp(self.own_limit_db * nepers).astype(np.float32)
        per_ampere = (per_volt * self.impedance_ohm**2).astype(np.float32)
        return per_volt.astype(np.float32), own, per_ampere

"""What every model of a cabin answers, and how it answers for many boxes at once.

A cabin is linear and has one ear, so its answer factors: the pressure at the ear for a
source at a point is the field that a source at the ear would make there (reciprocity).
That field is a sum of a few shapes in space, each with an amplitude that depends on
frequency and on the draw of the cabin's uncertainty, and on nothing else.
"""

from __future__ import annotations

from abc import ABC, abstractmethod

import numpy as np
from numpy.typing import ArrayLike, NDArray

from basswright.errors import InputError
from basswright.sound.cabin.spread import smooth_errors
from basswright.sound.cabin.unknowns import Unknowns, ensemble, unknowns

FloatArray = NDArray[np.float64]
ComplexArray = NDArray[np.complex128]

#: Cabins that stand for all possible ones; fewer where very many places are asked for.
MEMBERS = 96
_FEW = 12
_MOST_PLACES = 600


class CabinModel(ABC):
    """From the volume velocity of a box to the pressure at the driver's ear.

    Attributes
    ----------
    name : str
        Which kind of model it is, in plain words.
    why : str
        Why this one was picked and what it rests on.
    """

    name: str
    why: str

    @abstractmethod
    def shapes(self, cone_m: FloatArray) -> FloatArray:
        """Return the shapes at n places, shape (n, r)."""

    @abstractmethod
    def amplitudes(self, frequency_hz: FloatArray, draws: int, seed: int) -> ComplexArray:
        """Return each shape's amplitude [Pa s/m3], shape (draws, f, r)."""

    @abstractmethod
    def members(self, frequency_hz: FloatArray, count: int) -> ComplexArray:
        """Return the amplitudes of cars that stand for all possible ones, (count, f, r)."""

    def transfer(
        self, frequency_hz: ArrayLike, cone_m: ArrayLike, *, draws: int = 1, seed: int = 0
    ) -> ComplexArray:
        """Pressure at the driver's ear for each unit of volume velocity of a source.

        Parameters
        ----------
        frequency_hz : array_like, shape (f,)
            5 to 500 Hz [Hz].
        cone_m : array_like, shape (n, 3)
            Where the sources are, in the frame of the load space [m].
        draws : int
            How many cabins to answer for. Draw 0 is the middle: at every frequency the
            mean level over all cabins that the readings allow, which is nearer to an
            unknown one than any single of them. The others sample what is left open.
        seed : int
            Which sample; the same seed gives the same cabins.

        Returns
        -------
        ndarray of complex, shape (n, draws, f)
            Pressure over volume velocity [Pa s/m3]; multiply by the complex volume
            velocity of cone, radiators and ports together.

        Raises
        ------
        InputError
            A frequency outside 5 to 500 Hz, a place that is not a finite point, or no
            draws at all.
        """
        frequency = check_frequency(frequency_hz)
        cone = check_points(cone_m)
        if draws < 1:
            raise InputError("no draws", field="draws", value=draws, allowed="1 or more")
        shapes = self.shapes(cone)
        out = np.empty((len(cone), draws, len(frequency)), dtype=complex)
        out[:, 0] = self._middle(frequency, shapes)
        if draws > 1:
            out[:, 1:] = _fields(shapes, self.amplitudes(frequency, draws, seed)[1:])
        return out

    def _middle(self, frequency: FloatArray, shapes: FloatArray) -> ComplexArray:
        """Mean level and mean direction over the members, shape (n, f)."""
        if len(shapes) <= _MOST_PLACES:
            return _mean_of(_fields(shapes, self.members(frequency, MEMBERS)))
        few = self.members(frequency, _FEW)
        parts = np.array_split(shapes, len(shapes) // _MOST_PLACES + 1)
        return np.concatenate([_mean_of(_fields(part, few)) for part in parts])


class EstimatedCabin(CabinModel):
    """A cabin from readings and estimates, with what they leave open as unknowns."""

    @abstractmethod
    def spread_db(self, frequency_hz: FloatArray) -> FloatArray:
        """Return what stays wrong even with the right readings, one deviation [dB], (f,)."""

    @abstractmethod
    def respond(self, frequency_hz: FloatArray, sample: Unknowns) -> ComplexArray:
        """Return the amplitudes for given values of the unknowns, shape (draws, f, r)."""

    def at_readings(self, frequency_hz: ArrayLike, cone_m: ArrayLike) -> ComplexArray:
        """Return the transfer of the cabin with every reading and estimate as it is, (n, f).

        Parameters and errors as in :meth:`transfer`. One car among those that the
        readings allow; its resonances stand out more than in the mean over all.
        """
        frequency = check_frequency(frequency_hz)
        amplitude = self.respond(frequency, unknowns(1, 0))
        return _fields(self.shapes(check_points(cone_m)), amplitude)[:, 0]

    def members(self, frequency_hz: FloatArray, count: int) -> ComplexArray:
        """Return the amplitudes of cars that stand for all possible ones, (count, f, r)."""
        return self.respond(frequency_hz, ensemble(count))

    def amplitudes(self, frequency_hz: FloatArray, draws: int, seed: int) -> ComplexArray:
        """Return each shape's amplitude [Pa s/m3], shape (draws, f, r)."""
        answer = self.respond(frequency_hz, unknowns(draws, seed))
        error = smooth_errors(frequency_hz, draws, seed, spread_db=self.spread_db(frequency_hz))
        return answer * error[:, :, None]


def _fields(shapes: FloatArray, amplitude: ComplexArray) -> ComplexArray:
    """Pressures at n places, shape (n, draws, f)."""
    flat = amplitude.reshape(-1, amplitude.shape[-1]).T
    out = np.empty((len(shapes), flat.shape[1]), dtype=complex)
    out.real = shapes @ np.ascontiguousarray(flat.real)
    out.imag = shapes @ np.ascontiguousarray(flat.imag)
    return out.reshape(len(shapes), *amplitude.shape[:2])


def _mean_of(fields: ComplexArray) -> ComplexArray:
    """Mean level and mean direction over the draws, shape (n, f)."""
    square = np.maximum(fields.real**2 + fields.imag**2, 1e-60)
    along = np.sum(fields * (1 / np.sqrt(square)), axis=1)
    level = np.exp(0.5 * np.mean(np.log(square), axis=1))
    return np.asarray(level * along / np.maximum(np.abs(along), 1e-30))


def check_frequency(frequency_hz: ArrayLike) -> FloatArray:
    """Return the frequencies as an array, or say which one cannot be answered for."""
    frequency = np.atleast_1d(np.asarray(frequency_hz, dtype=float))
    bad = ~(np.isfinite(frequency) & (frequency >= 5) & (frequency <= 500))
    if frequency.ndim != 1 or np.any(bad):
        raise InputError(
            "a frequency that no cabin model covers",
            field="frequency_hz",
            value=float(frequency[bad].flat[0]) if np.any(bad) else frequency.shape,
            allowed="a row of 5 to 500 Hz",
        )
    return frequency


def check_points(points_m: ArrayLike, field: str = "cone_m") -> FloatArray:
    """Return the points as an array of shape (n, 3), or say what is wrong with them."""
    points = np.atleast_2d(np.asarray(points_m, dtype=float))
    if points.ndim != 2 or points.shape[1] != 3 or not np.all(np.isfinite(points)):
        raise InputError(
            "not a list of points",
            field=field,
            value=str(points.shape),
            allowed="finite x, y, z in metres, one row a point",
        )
    return points

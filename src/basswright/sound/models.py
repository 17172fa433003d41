"""What a loaded box is as a circuit: lumped parameters, many boxes in many draws."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, fields
from typing import Any, Final, Literal

import numpy as np
from numpy.typing import NDArray

from basswright.sound.air import BULK_PA, C_M_PER_S, ONE_WATT_LEVEL_DB, RHO_KG_PER_M3

Array = NDArray[np.float64]
Source = Literal["given", "measured", "estimated"]

#: A limit that is never reached, in the unit of its column.
NO_LIMIT: Final = 1e9


@dataclass(frozen=True, kw_only=True)
class Chamber:
    """The air on one side of the cones, and what closes its opening.

    All arrays have the shape (n, d). A volume of zero means that there is no chamber:
    that side of the cones plays into the open. The opening is a port or a passive
    radiator; without either, `vent_per_mass` is zero.

    Attributes
    ----------
    volume_m3 : ndarray
        Effective air volume, stuffing included [m3].
    leak : ndarray
        Conductance of the leaks to the open [m3/(Pa s)].
    absorption_s : ndarray
        Time constant of the loss inside: resistance in series with the compliance,
        times the compliance [s].
    vent_per_mass : ndarray
        One over the acoustic mass of the opening [m4/kg].
    vent_damping_per_s : ndarray
        Resistance of the opening over its mass [s^-1].
    vent_stiffness_per_s2 : ndarray
        Stiffness of the opening over its mass: (2 pi fp)^2 of a radiator, 0 of a port
        [s^-2].
    vent_area_m2 : ndarray
        Area through which the air of the opening, or the radiators, move [m2].
    vent_speed_m_per_s : ndarray
        Highest clean peak air speed [m/s].
    vent_excursion_m : ndarray
        Highest clean peak excursion of a radiator [m].
    """

    volume_m3: Array
    leak: Array
    absorption_s: Array
    vent_per_mass: Array
    vent_damping_per_s: Array
    vent_stiffness_per_s2: Array
    vent_area_m2: Array
    vent_speed_m_per_s: Array
    vent_excursion_m: Array

    @classmethod
    def none(cls, shape: tuple[int, ...]) -> Chamber:
        """Return the open air.

        Parameters
        ----------
        shape : tuple of int
            (n, d).

        Returns
        -------
        Chamber
            No volume, no opening, no limits.
        """
        zero, far = np.zeros(shape), np.full(shape, NO_LIMIT)
        return cls(
            volume_m3=zero,
            leak=zero,
            absorption_s=zero,
            vent_per_mass=zero,
            vent_damping_per_s=zero,
            vent_stiffness_per_s2=zero,
            vent_area_m2=np.ones(shape),
            vent_speed_m_per_s=far,
            vent_excursion_m=far,
        )

    @property
    def compliance(self) -> Array:
        """Acoustic compliance of the air, V / (rho c^2) [m3/Pa].

        References
        ----------
        .. [1] L. L. Beranek, Acoustics, 1954, chapter 5 (acoustical elements; chapter from
           memory).
        """
        return self.volume_m3 / BULK_PA

    @property
    def tuning_hz(self) -> Array:
        """Resonance of the air with the opening; 0 where there is none [Hz].

        References
        ----------
        .. [1] R. H. Small, JAES 21(5), 1973, pp. 363-372 (ports), and 22(8), 1974, pp. 592-601
           (radiators).
        """
        volume = np.where(self.volume_m3 > 0, self.volume_m3, 1.0)
        square = self.vent_per_mass * BULK_PA / volume + self.vent_stiffness_per_s2
        present = (self.vent_per_mass > 0) & (self.volume_m3 > 0)
        return np.where(present, np.sqrt(square), 0.0) / (2 * np.pi)


@dataclass(frozen=True, kw_only=True)
class BoxModels:
    """Lumped parameters of n boxes in d draws; draw 0 is the middle.

    All arrays have the shape (n, d) unless said otherwise. Several cones count as one
    of their total area, mass and so on, with the coils as they are wired in the box:
    `Re_ohm` is what the terminals show, and `Bl_tm` carries the same force at the same
    terminal power.

    Attributes
    ----------
    ids : tuple of str, length n
    Re_ohm : ndarray
        Cold resistance at the terminals [ohm].
    Bl_tm : ndarray
        Force factor [T m].
    Mms_kg, Cms_m_per_n, Rms_kg_per_s : ndarray
        Moving mass [kg], compliance [m/N] and mechanical resistance [kg/s].
    Sd_m2 : ndarray
        Effective area [m2].
    Xmax_m : ndarray
        Highest clean excursion, peak, one way [m].
    coil_K, coil_n : ndarray
        Semi-inductance: impedance K (j w)^n [ohm s^n]; a plain inductance has n = 1.
    heat_limit_w : ndarray
        Power that the hot coils can turn into heat for good [W].
    coil_k_per_w, magnet_k_per_w : ndarray
        Thermal resistances from coil to magnet and from magnet to air, all cones together
        [K/W].
    coil_j_per_k, magnet_j_per_k : ndarray
        Heat capacities, all cones together [J/K].
    count : ndarray of int, shape (n,)
        Number of cones.
    rear, front : Chamber
        Air behind and in front of the cones.
    sources : dict of str to tuple of str, each of length n
        Parameter -> "given", "measured" or "estimated".
    flags : tuple of tuple of str, length n
        Where the model of a box is used outside its validity.

    References
    ----------
    .. [1] R. H. Small, "Direct-radiator loudspeaker system analysis", JAES 20(5), 1972,
       pp. 383-395.
    """

    ids: tuple[str, ...]
    Re_ohm: Array
    Bl_tm: Array
    Mms_kg: Array
    Cms_m_per_n: Array
    Rms_kg_per_s: Array
    Sd_m2: Array
    Xmax_m: Array
    coil_K: Array
    coil_n: Array
    heat_limit_w: Array
    coil_k_per_w: Array
    magnet_k_per_w: Array
    coil_j_per_k: Array
    magnet_j_per_k: Array
    count: NDArray[np.intp]
    rear: Chamber
    front: Chamber
    sources: dict[str, tuple[Source, ...]] = field(default_factory=dict)
    flags: tuple[tuple[str, ...], ...] = ()

    @property
    def shape(self) -> tuple[int, int]:
        """Number of boxes and of draws, (n, d)."""
        n, d = self.Re_ohm.shape
        return n, d

    @property
    def fs_hz(self) -> Array:
        """Free-air resonance of the cones, 1 / (2 pi sqrt(Mms Cms)) [Hz].

        References
        ----------
        .. [1] R. H. Small, JAES 20(5), 1972, pp. 383-395.
        """
        return 1 / (2 * np.pi * np.sqrt(self.Mms_kg * self.Cms_m_per_n))

    @property
    def Qes(self) -> Array:
        """Electrical Q at the free-air resonance, ws Mms Re / Bl^2 [-].

        References
        ----------
        .. [1] R. H. Small, JAES 20(5), 1972, pp. 383-395.
        """
        return 2 * np.pi * self.fs_hz * self.Mms_kg * self.Re_ohm / self.Bl_tm**2

    @property
    def Qms(self) -> Array:
        """Mechanical Q at the free-air resonance, ws Mms / Rms [-].

        References
        ----------
        .. [1] R. H. Small, JAES 20(5), 1972, pp. 383-395.
        """
        return 2 * np.pi * self.fs_hz * self.Mms_kg / self.Rms_kg_per_s

    @property
    def Qts(self) -> Array:
        """Total Q at the free-air resonance, Qes Qms / (Qes + Qms) [-].

        References
        ----------
        .. [1] R. H. Small, JAES 20(5), 1972, pp. 383-395.
        """
        return self.Qes * self.Qms / (self.Qes + self.Qms)

    @property
    def Vas_m3(self) -> Array:
        """Volume of air as stiff as the suspension of all cones, rho c^2 Sd^2 Cms [m3].

        References
        ----------
        .. [1] R. H. Small, JAES 20(5), 1972, pp. 383-395.
        """
        return BULK_PA * self.Sd_m2**2 * self.Cms_m_per_n

    @property
    def sensitivity_db(self) -> Array:
        """Level for 1 W at 1 m in half space, from the reference efficiency [dB].

        Notes
        -----
        eta0 = rho Bl^2 Sd^2 / (2 pi c Re Mms^2); 1 W in half space is 112.16 dB at 1 m.

        References
        ----------
        .. [1] R. H. Small, JAES 20(5), 1972, pp. 383-395.
        """
        force = self.Bl_tm * self.Sd_m2 / self.Mms_kg
        eta0 = RHO_KG_PER_M3 * force**2 / (2 * np.pi * C_M_PER_S * self.Re_ohm)
        return ONE_WATT_LEVEL_DB + 10 * np.log10(eta0)

    @property
    def tuning_hz(self) -> Array:
        """Tuning of ports or radiators (the front ones of a bandpass box), 0 if none [Hz].

        References
        ----------
        .. [1] As :attr:`Chamber.tuning_hz`.
        """
        return np.where(self.front.volume_m3 > 0, self.front.tuning_hz, self.rear.tuning_hz)

    def take(self, rows: Sequence[int], draws: Sequence[int] | None = None) -> BoxModels:
        """Return some of the boxes, and some of the draws.

        Parameters
        ----------
        rows : sequence of int
            Which boxes.
        draws : sequence of int, optional
            Which draws; all by default.

        Returns
        -------
        BoxModels
            Shape (rows, draws).
        """

        def cut(part: object, names: Sequence[str]) -> dict[str, Any]:
            return {name: getattr(part, name)[grid] for name in names}

        picked = np.asarray(rows, dtype=np.intp)
        columns = np.arange(self.shape[1]) if draws is None else np.asarray(draws, dtype=np.intp)
        grid = np.ix_(picked, columns)
        return BoxModels(
            ids=tuple(self.ids[row] for row in picked),
            count=self.count[picked],
            rear=Chamber(**cut(self.rear, CHAMBER_ARRAYS)),
            front=Chamber(**cut(self.front, CHAMBER_ARRAYS)),
            sources={
                name: tuple(kinds[row] for row in picked) for name, kinds in self.sources.items()
            },
            flags=tuple(self.flags[row] for row in picked) if self.flags else (),
            **cut(self, BOX_ARRAYS),
        )


#: Names of the fields that hold one figure for each box and draw.
CHAMBER_ARRAYS: Final = tuple(item.name for item in fields(Chamber))
BOX_ARRAYS: Final = tuple(
    item.name
    for item in fields(BoxModels)
    if item.name not in ("ids", "count", "rear", "front", "sources", "flags")
)


def joined(parts: Sequence[BoxModels]) -> BoxModels:
    """Return several tables of the same number of draws as one, without their sources.

    Parameters
    ----------
    parts : sequence of BoxModels

    Returns
    -------
    BoxModels
        All boxes in order, shape (sum of n, d).
    """

    def chamber(side: Literal["rear", "front"]) -> Chamber:
        pieces = [getattr(part, side) for part in parts]
        return Chamber(**_stacked(pieces, CHAMBER_ARRAYS))

    return BoxModels(
        ids=tuple(name for part in parts for name in part.ids),
        count=np.concatenate([part.count for part in parts]),
        rear=chamber("rear"),
        front=chamber("front"),
        **_stacked(parts, BOX_ARRAYS),
    )


def _stacked(pieces: Sequence[object], names: Sequence[str]) -> dict[str, Any]:
    return {name: np.concatenate([getattr(piece, name) for piece in pieces]) for name in names}

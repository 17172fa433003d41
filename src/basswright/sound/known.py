"""What a box is when its parameters are known: from figures, without a data sheet."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any, Final

import numpy as np
from numpy.typing import ArrayLike

from basswright.errors import InputError
from basswright.sound.air import BULK_PA
from basswright.sound.models import NO_LIMIT, Array, BoxModels, Chamber
from basswright.sound.ports import PLAIN_SPEED, port_mass

#: Air that gives its heat to a filling is softer by up to the ratio of its specific
#: heats (Small 1972, closed boxes, part I); 1.4 for air.
_ISOTHERMAL: Final = 0.4


@dataclass(frozen=True, kw_only=True)
class KnownDriver:
    """One cone with its coils as wired; each figure a number or an array of shape (n,).

    The coil's impedance is Re + K (j w)^n: with `coil_n` 1, `coil_K` is an inductance [H].

    Attributes
    ----------
    Re_ohm : array_like
        Cold resistance of the coil [ohm].
    Bl_tm : array_like
        Force factor [T m].
    Mms_kg : array_like
        Moving mass with the air's own load [kg].
    Cms_m_per_n : array_like
        Compliance of the suspension [m/N].
    Rms_kg_per_s : array_like
        Its mechanical resistance [kg/s].
    Sd_m2 : array_like
        Effective area [m2].
    Xmax_m : array_like
        Highest clean excursion, peak, one way [m].
    coil_K : array_like
        Semi-inductance [ohm s^n].
    coil_n : array_like
        Its exponent, above 0, at most 1 [-].
    heat_limit_w : array_like
        Power that the hot coil can turn into heat for good [W].

    References
    ----------
    .. [1] R. H. Small, "Direct-radiator loudspeaker system analysis", JAES 20(5), 1972,
       pp. 383-395.
    .. [2] W. M. Leach, JAES 50(6), 2002, pp. 442-450 (semi-inductance).
    """

    Re_ohm: ArrayLike
    Bl_tm: ArrayLike
    Mms_kg: ArrayLike
    Cms_m_per_n: ArrayLike
    Rms_kg_per_s: ArrayLike
    Sd_m2: ArrayLike
    Xmax_m: ArrayLike = NO_LIMIT
    coil_K: ArrayLike = 0.0
    coil_n: ArrayLike = 1.0
    heat_limit_w: ArrayLike = NO_LIMIT


@dataclass(frozen=True, kw_only=True)
class KnownPort:
    """Ports of a chamber, all together; each figure a number or an array of shape (n,).

    Attributes
    ----------
    area_m2 : array_like
        Of all mouths [m2].
    effective_length_m : array_like
        With end corrections [m].
    Qp : array_like
        Q of the port's own losses at the tuning [-].
    speed_m_per_s : array_like
        Highest clean air speed, peak [m/s].
    """

    area_m2: ArrayLike
    effective_length_m: ArrayLike
    Qp: ArrayLike = np.inf
    speed_m_per_s: ArrayLike = PLAIN_SPEED


@dataclass(frozen=True, kw_only=True)
class KnownRadiator:
    """Passive radiators of a chamber, all together as one; numbers or arrays of shape (n,).

    Attributes
    ----------
    Sd_m2 : array_like
        Effective area of all [m2].
    Mms_kg : array_like
        Moving mass of all [kg].
    Cms_m_per_n : array_like
        Compliance of all in parallel [m/N].
    Rms_kg_per_s : array_like
        Mechanical resistance of all [kg/s].
    Xmax_m : array_like
        Highest clean excursion, peak, one way [m].
    """

    Sd_m2: ArrayLike
    Mms_kg: ArrayLike
    Cms_m_per_n: ArrayLike
    Rms_kg_per_s: ArrayLike
    Xmax_m: ArrayLike = NO_LIMIT


@dataclass(frozen=True, kw_only=True)
class KnownChamber:
    """Air on one side of the cones; each figure a number or an array of shape (n,).

    Attributes
    ----------
    volume_m3 : array_like
        Net volume [m3].
    opening : KnownPort, KnownRadiator or None
    QL, QA : array_like
        Q of leaks and of absorption at the tuning, or at the resonance of the closed box
        [-].
    filled_share : array_like
        0 for empty, 1 for a filling that takes all the heat: the air is then softer by its
        ratio of specific heats, 1.4 [-].

    References
    ----------
    .. [1] R. H. Small, "Vented-box loudspeaker systems, part I: Small-signal analysis", JAES
       21(5), 1973, pp. 363-372 (QL, QA, Qp).
    .. [2] R. H. Small, "Closed-box loudspeaker systems, part I: Analysis", JAES 20(10), 1972,
       pp. 798-808 (filling).
    """

    volume_m3: ArrayLike
    opening: KnownPort | KnownRadiator | None = None
    QL: ArrayLike = np.inf
    QA: ArrayLike = np.inf
    filled_share: ArrayLike = 0.0


def known_box(
    driver: KnownDriver,
    rear: KnownChamber,
    *,
    front: KnownChamber | None = None,
    count: int = 1,
    series: int = 1,
) -> BoxModels:
    """Lumped parameters of boxes that are known.

    Parameters
    ----------
    driver : KnownDriver
    rear : KnownChamber
    front : KnownChamber, optional
        With it the box is a bandpass: fourth order, or sixth if both chambers are open.
    count : int
        Cones in the box, all alike.
    series : int
        How many of them are in series; rows of these are in parallel.

    Returns
    -------
    BoxModels
        Shape (n, 1); parameters in the units of their names, Q [-].

    Raises
    ------
    InputError
        A figure that is not above zero, or a wiring that leaves cones over.

    Notes
    -----
    Of count cones, s in series: area, mass, resistance and heat times count, compliance over
    count, Re and K times s^2/count, Bl times s. A leak has the resistance QL / (wb Ca), a loss
    by absorption 1 / (QA wb Ca), the port's own wb Mp / Qp.

    References
    ----------
    .. [1] R. H. Small, "Vented-box loudspeaker systems, part I: Small-signal analysis", JAES
       21(5), 1973, pp. 363-372.
    .. [2] R. H. Small, "Passive-radiator loudspeaker systems, part I: Analysis", JAES 22(8),
       1974, pp. 592-601.
    """
    if count < 1 or series < 1 or count % series:
        raise InputError(
            "cones left over", field="series", value=series, allowed=f"a divisor of {count}"
        )
    d = {name: _column(name, getattr(driver, name)) for name in KnownDriver.__dataclass_fields__}
    parallel = count // series
    shape = np.broadcast_shapes(
        *(column.shape for column in d.values()),
        *(shape for chamber in (rear, front) if chamber for shape in _shapes(chamber)),
    )
    ws2 = 1 / (d["Mms_kg"] * d["Cms_m_per_n"])
    totals: dict[str, Array] = {
        "Re_ohm": d["Re_ohm"] * series / parallel,
        "Bl_tm": d["Bl_tm"] * series,
        "Mms_kg": d["Mms_kg"] * count,
        "Cms_m_per_n": d["Cms_m_per_n"] / count,
        "Rms_kg_per_s": d["Rms_kg_per_s"] * count,
        "Sd_m2": d["Sd_m2"] * count,
        "Xmax_m": d["Xmax_m"],
        "coil_K": d["coil_K"] * series / parallel,
        "coil_n": d["coil_n"],
        "heat_limit_w": d["heat_limit_w"] * count,
        **{name: np.ones(1) for name in _HEAT},
    }
    closed_w = np.sqrt(
        ws2 + BULK_PA * count * d["Sd_m2"] ** 2 / (_column("volume", rear.volume_m3) * d["Mms_kg"])
    )
    columns: dict[str, Any] = {
        name: np.broadcast_to(value, shape)[:, None] for name, value in totals.items()
    }
    return BoxModels(
        ids=tuple(str(row) for row in range(shape[0])),
        count=np.full(shape, count, dtype=np.intp),
        rear=_chamber(rear, closed_w, shape),
        front=_chamber(front, closed_w, shape) if front else Chamber.none((shape[0], 1)),
        **columns,
    )


_HEAT: Final = ("coil_k_per_w", "magnet_k_per_w", "coil_j_per_k", "magnet_j_per_k")
_MAY_BE_ZERO: Final = ("coil_K", "filled_share")


def _column(name: str, value: ArrayLike) -> Array:
    column = np.atleast_1d(np.asarray(value, dtype=float))
    lowest = 0.0 if name in _MAY_BE_ZERO else np.nextafter(0.0, 1.0)
    if column.ndim != 1 or not np.all(column >= lowest):
        raise InputError("not a figure above zero", field=name, value=value)
    return column


def _shapes(chamber: KnownChamber) -> list[tuple[int, ...]]:
    parts = [chamber] + ([chamber.opening] if chamber.opening else [])
    return [
        _column(item.name, getattr(part, item.name)).shape
        for part in parts
        for item in fields(part)
        if item.name != "opening"
    ]


def _chamber(known: KnownChamber, closed_w: Array, shape: tuple[int, ...]) -> Chamber:
    softer = 1 + _ISOTHERMAL * _column("filled_share", known.filled_share)
    volume = _column("volume_m3", known.volume_m3) * softer
    stiffness = BULK_PA / volume
    per_mass, damping, own, area, speed, excursion = _opening(known.opening, stiffness)
    w = np.where(per_mass > 0, np.sqrt(per_mass * stiffness + own), closed_w)
    columns: dict[str, Array] = {
        "volume_m3": volume,
        "leak": w / stiffness / _column("QL", known.QL),
        "absorption_s": 1 / (w * _column("QA", known.QA)),
        "vent_per_mass": per_mass,
        "vent_damping_per_s": damping,
        "vent_stiffness_per_s2": own,
        "vent_area_m2": area,
        "vent_speed_m_per_s": speed,
        "vent_excursion_m": excursion,
    }
    return Chamber(
        **{name: np.broadcast_to(value, shape)[:, None] for name, value in columns.items()}
    )


def _opening(
    opening: KnownPort | KnownRadiator | None, stiffness: Array
) -> tuple[Array, Array, Array, Array, Array, Array]:
    """Inverse mass, damping, own stiffness, area and limits of an opening."""
    zero, one, far = np.zeros(1), np.ones(1), np.full(1, NO_LIMIT)
    if opening is None:
        return zero, zero, zero, one, far, far
    if isinstance(opening, KnownPort):
        area = _column("area_m2", opening.area_m2)
        per_mass = 1 / port_mass(area, _column("effective_length_m", opening.effective_length_m))
        damping = np.sqrt(per_mass * stiffness) / _column("Qp", opening.Qp)
        return per_mass, damping, zero, area, _column("speed", opening.speed_m_per_s), far
    Sd, mass = _column("Sd_m2", opening.Sd_m2), _column("Mms_kg", opening.Mms_kg)
    own = 1 / (mass * _column("Cms_m_per_n", opening.Cms_m_per_n))
    damping = _column("Rms_kg_per_s", opening.Rms_kg_per_s) / mass
    return Sd**2 / mass, damping, own, Sd, far, _column("Xmax_m", opening.Xmax_m)

"""The hot loop: what each box gives per volt, and how much it stands.

Everything is real arithmetic on squares; roots and logarithms wait until the end. The
network is that of :mod:`basswright.sound.network`, where its sources are named; the tests
hold one against the other.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from basswright.sound.compiled import compiled, inlined
from basswright.sound.copper import HOT_OVER_COLD
from basswright.sound.models import Array, BoxModels, Chamber

#: Columns of the packed table: of the cones and coils, then of each chamber.
COLUMNS: Final = (
    "Re_ohm",
    "Bl_tm",
    "Mms_kg",
    "Cms_m_per_n",
    "Rms_kg_per_s",
    "Sd_m2",
    "Xmax_m",
    "coil_K",
    "coil_n",
    "heat_limit_w",
)
CHAMBER_COLUMNS: Final = (
    "compliance",
    "leak",
    "absorption_s",
    "vent_per_mass",
    "vent_damping_per_s",
    "vent_stiffness_per_s2",
    "vent_area_m2",
    "vent_speed_m_per_s",
    "vent_excursion_m",
)
_REAR: Final = len(COLUMNS)
FRONT: Final = _REAR + len(CHAMBER_COLUMNS)
#: What can decide the highest level of the box itself, in the order of the kernel's index.
OWN_LIMITS: Final = ("coil heat", "cone excursion", "port air speed", "radiator excursion")

_TINY: Final = 1e-290


def packed(models: BoxModels) -> Array:
    """Return all parameters as one table.

    Parameters
    ----------
    models : BoxModels
        n boxes in d draws.

    Returns
    -------
    ndarray, shape (n * d, 28)
        Columns as `COLUMNS`, then `CHAMBER_COLUMNS` of the rear and of the front chamber,
        each in the unit of its field (compliance [m3/Pa], leak [m3/(Pa s)]).
    """
    columns = [getattr(models, name) for name in COLUMNS]
    columns += _chamber_columns(models.rear) + _chamber_columns(models.front)
    return np.stack([column.ravel() for column in columns]).T


def _chamber_columns(chamber: Chamber) -> list[Array]:
    return [getattr(chamber, name) for name in CHAMBER_COLUMNS]


@inlined
def _cones(p: Array) -> tuple[float, ...]:
    """What does not depend on the frequency, of cones and coils."""
    angle = 0.5 * np.pi * p[8]
    Bl2, Sd2 = p[1] * p[1], p[5] * p[5]
    heat2, reach2 = p[9] / (p[0] * HOT_OVER_COLD), 0.5 * p[6] * p[6] / Bl2
    return (
        p[0], p[7] * np.cos(angle), p[7] * np.sin(angle), Bl2, p[2], 1.0 / p[3], p[4], Sd2,
        heat2, reach2,
    )  # fmt: skip


@inlined
def _side(p: Array, k: int, drive2: float) -> tuple[float, ...]:
    """What does not depend on the frequency, of one chamber; its two limits as currents."""
    area2 = 0.5 * p[k + 6] * p[k + 6] / drive2
    speed2, way2 = p[k + 7] * p[k + 7] * area2, p[k + 8] * p[k + 8] * area2
    return p[k], p[k + 1], p[k + 2], p[k + 3], p[k + 4], p[k + 5], speed2, way2


@inlined
def _chamber(side: tuple[float, ...], w: float) -> tuple[float, float, float, float, float]:
    """Impedance and share let out (real and imaginary part each), and |vent share|^2."""
    compliance, leak, tau, per_mass, damping, stiffness, _, _ = side
    w2 = w * w
    resonator_r = stiffness - w2
    resonator_i = w * damping
    vent = w * per_mass
    lossy = w * compliance / (1.0 + w2 * tau * tau)
    y_r = w * tau * lossy + leak
    both_r = y_r * resonator_r - lossy * resonator_i
    both_i = y_r * resonator_i + lossy * resonator_r + vent
    scale = 1.0 / (both_r * both_r + both_i * both_i + _TINY)
    z_r = (resonator_r * both_r + resonator_i * both_i) * scale
    z_i = (resonator_i * both_r - resonator_r * both_i) * scale
    out_r = vent * both_i * scale + leak * z_r
    out_i = vent * both_r * scale + leak * z_i
    return z_r, z_i, out_r, out_i, vent * vent * scale


@inlined
def _point(
    cones: tuple[float, ...], w: float, coil: float, z_r: float, z_i: float
) -> tuple[float, float, float]:
    """Squared impedances, mechanical and electrical, and squared speed per ampere."""
    Re, Kr, Ki, Bl2, Mms, stiffness, Rms, Sd2, _, _ = cones
    m_r = Rms + Sd2 * z_r
    m_i = w * Mms - stiffness / w + Sd2 * z_i
    m2 = m_r * m_r + m_i * m_i
    motion = Bl2 / m2
    e_r = Re + Kr * coil + m_r * motion
    e_i = Ki * coil - m_i * motion
    return m2, e_r * e_r + e_i * e_i, motion


@inlined
def _limit(side: tuple[float, ...], w: float, m2: float, vent2: float) -> float:
    """Squared current at which the opening of a chamber reaches its end."""
    return float(min(side[6], w * w * side[7]) * m2 / (vent2 + _TINY))


@compiled
def squared_flows(
    table: Array,
    front: Array | None,
    w: Array,
    coil: Array,
    per_volt2: Array,
    own2: Array,
    impedance: Array,
    which: NDArray[np.intp],
) -> None:
    """Fill what each box gives and stands, for each row of the table and each frequency.

    Parameters
    ----------
    table : ndarray, shape (m, 28)
        :func:`packed` parameters.
    front : ndarray, shape (m, 9), or None
        The front chambers' columns; None where no box has one, for which a shorter loop is
        compiled.
    w : ndarray, shape (f,)
        Angular frequencies [rad/s].
    coil : ndarray, shape (m, f)
        w^n of each coil's exponent.
    per_volt2 : ndarray, shape (m, f)
        Filled: squared volume velocity for one volt [m6/(s2 V2)].
    own2 : ndarray, shape (m, f)
        Filled: highest squared RMS volume velocity that the box itself allows [m6/s2].
    impedance : ndarray, shape (m, f)
        Filled: its magnitude [ohm].
    which : ndarray of int, shape (m, f)
        Filled: the limit that decides, index into `OWN_LIMITS`.

    References
    ----------
    .. [1] R. H. Small, JAES 20(5), 1972, and 21(5) and 21(6), 1973: network, displacement and
       thermal limits.
    """
    for i in range(table.shape[0]):
        cones = _cones(table[i])
        rear = _side(table[i], _REAR, cones[3] * cones[7])
        rear_kind = 3 if rear[5] > 0.0 else 2
        if front is not None:
            before = _side(front[i], 0, cones[3] * cones[7])
            opened = 1.0 if before[0] == 0.0 else 0.0
        for j in range(w.size):
            z_r, z_i, out_r, out_i, vent2 = _chamber(rear, w[j])
            out_r, out_i, front2 = 1.0 - out_r, -out_i, 0.0
            if front is not None:
                f_r, f_i, f_or, f_oi, front2 = _chamber(before, w[j])
                z_r, z_i = z_r + f_r, z_i + f_i
                out_r, out_i = out_r + f_or + opened - 1.0, out_i + f_oi
            m2, z2, motion = _point(cones, w[j], coil[i, j], z_r, z_i)
            flow2 = cones[7] * (out_r * out_r + out_i * out_i) * motion
            heat, reach = cones[8], cones[9] * w[j] * w[j] * m2
            opening = _limit(rear, w[j], m2, vent2)
            least = min(min(heat, reach), opening)
            kind = 0 if least == heat else (1 if least == reach else rear_kind)
            if front is not None:
                opening = _limit(before, w[j], m2, front2)
                kind = 2 if opening < least else kind
                least = min(least, opening)
            per_volt2[i, j] = flow2 / z2
            own2[i, j] = flow2 * least
            impedance[i, j] = np.sqrt(z2)
            which[i, j] = kind


@compiled
def squared_loudest(
    table: Array,
    front: Array | None,
    w: Array,
    coil: Array,
    volts2: Array,
    amps2: Array,
    loudest2: Array,
    which: NDArray[np.int8],
) -> None:
    """Fill the highest squared volume velocity of each row with its own amplifier.

    Parameters
    ----------
    table, front, w, coil : ndarray
        As in :func:`squared_flows`.
    volts2, amps2 : ndarray, shape (m,)
        Squared RMS limits of the amplifiers [V2] and [A2].
    loudest2 : ndarray, shape (m, f)
        Filled: highest squared RMS volume velocity [m6/s2].
    which : ndarray of int, shape (m, f)
        Filled: 0 for the voltage, 1 for the current, and the box's own limit plus two
        otherwise.

    References
    ----------
    .. [1] As :func:`squared_flows`.
    """
    for i in range(table.shape[0]):
        cones = _cones(table[i])
        rear = _side(table[i], _REAR, cones[3] * cones[7])
        rear_kind = 5 if rear[5] > 0.0 else 4
        if front is not None:
            before = _side(front[i], 0, cones[3] * cones[7])
            opened = 1.0 if before[0] == 0.0 else 0.0
        u2, i2 = volts2[i], amps2[i]
        for j in range(w.size):
            z_r, z_i, out_r, out_i, vent2 = _chamber(rear, w[j])
            out_r, out_i, front2 = 1.0 - out_r, -out_i, 0.0
            if front is not None:
                f_r, f_i, f_or, f_oi, front2 = _chamber(before, w[j])
                z_r, z_i = z_r + f_r, z_i + f_i
                out_r, out_i = out_r + f_or + opened - 1.0, out_i + f_oi
            m2, z2, motion = _point(cones, w[j], coil[i, j], z_r, z_i)
            flow2 = cones[7] * (out_r * out_r + out_i * out_i) * motion
            by_volts, heat, reach = u2 / z2, cones[8], cones[9] * w[j] * w[j] * m2
            opening = _limit(rear, w[j], m2, vent2)
            amplifier, own = min(by_volts, i2), min(min(heat, reach), opening)
            kind = 2 if own == heat else (3 if own == reach else rear_kind)
            if front is not None:
                opening = _limit(before, w[j], m2, front2)
                kind = 4 if opening < own else kind
                own = min(own, opening)
            first = 1 if i2 < by_volts else 0
            which[i, j] = first if amplifier <= own else kind
            loudest2[i, j] = flow2 * min(amplifier, own)

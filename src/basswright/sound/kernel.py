"""The hot loop: what each box gives per volt, and how much it stands.

Everything is real arithmetic on squares; roots and logarithms wait until the end.
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
_FRONT: Final = _REAR + len(CHAMBER_COLUMNS)
#: What can decide the highest level of the box itself, in the order of the kernel's index.
OWN_LIMITS: Final = ("coil heat", "cone excursion", "port air speed", "radiator excursion")

_TINY: Final = 1e-290


def packed(models: BoxModels) -> Array:
    """Return all parameters as one table, shape (n * d, 28)."""
    columns = [getattr(models, name) for name in COLUMNS]
    columns += _chamber_columns(models.rear) + _chamber_columns(models.front)
    return np.stack([column.ravel() for column in columns], axis=1)


def _chamber_columns(chamber: Chamber) -> list[Array]:
    return [getattr(chamber, name) for name in CHAMBER_COLUMNS]


@inlined
def _chamber(p: Array, k: int, w: float, w2: float) -> tuple[float, float, float, float, float]:
    """Impedance and share let out (real and imaginary part each), and |vent share|^2."""
    compliance, leak, tau = p[k], p[k + 1], p[k + 2]
    resonator_r = p[k + 5] - w2
    resonator_i = w * p[k + 4]
    vent = w * p[k + 3]
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


@compiled
def squared_flows(
    table: Array,
    w: Array,
    coil: Array,
    per_volt2: Array,
    own2: Array,
    impedance: Array,
    which: NDArray[np.intp],
) -> None:
    """Fill, for each row of the table and each frequency, shape (m, f):

    `per_volt2` squared volume velocity for one volt, `own2` the highest squared volume
    velocity that the box itself allows, `impedance` its magnitude, `which` limit
    decides. `coil` holds w^n.
    """
    for i in range(table.shape[0]):
        p = table[i]
        Re, Bl2, Sd2 = p[0], p[1] * p[1], p[5] * p[5]
        half_pi_n = 0.5 * np.pi * p[8]
        Kr, Ki = p[7] * np.cos(half_pi_n), p[7] * np.sin(half_pi_n)
        stiffness = 1.0 / p[3]
        heat2 = p[9] / (Re * HOT_OVER_COLD)
        cone2 = 0.5 * p[6] * p[6] / Bl2
        opened = 1.0 if p[_FRONT] == 0.0 else 0.0
        rear_area2 = 0.5 * p[_REAR + 6] * p[_REAR + 6] / (Bl2 * Sd2)
        front_area2 = 0.5 * p[_FRONT + 6] * p[_FRONT + 6] / (Bl2 * Sd2)
        rear_speed2, rear_way2 = p[_REAR + 7] ** 2, p[_REAR + 8] ** 2
        front_speed2, front_way2 = p[_FRONT + 7] ** 2, p[_FRONT + 8] ** 2
        rear_kind = 3 if p[_REAR + 5] > 0.0 else 2
        front_kind = 3 if p[_FRONT + 5] > 0.0 else 2
        for j in range(w.size):
            wj = w[j]
            w2 = wj * wj
            r_zr, r_zi, r_or, r_oi, r_vent2 = _chamber(p, _REAR, wj, w2)
            f_zr, f_zi, f_or, f_oi, f_vent2 = _chamber(p, _FRONT, wj, w2)
            m_r = p[4] + Sd2 * (r_zr + f_zr)
            m_i = wj * p[2] - stiffness / wj + Sd2 * (r_zi + f_zi)
            m2 = m_r * m_r + m_i * m_i
            motion = 1.0 / m2
            e_r = Re + Kr * coil[i, j] + Bl2 * m_r * motion
            e_i = Ki * coil[i, j] - Bl2 * m_i * motion
            z2 = e_r * e_r + e_i * e_i
            o_r, o_i = opened + f_or - r_or, f_oi - r_oi
            flow2 = Bl2 * Sd2 * (o_r * o_r + o_i * o_i) * motion
            cone = cone2 * w2 * m2
            rear = min(rear_speed2, w2 * rear_way2) * rear_area2 * m2 / (r_vent2 + _TINY)
            front = min(front_speed2, w2 * front_way2) * front_area2 * m2 / (f_vent2 + _TINY)
            least = min(min(heat2, cone), min(rear, front))
            per_volt2[i, j] = flow2 / z2
            own2[i, j] = flow2 * least
            impedance[i, j] = np.sqrt(z2)
            opening = rear_kind if least == rear else front_kind
            which[i, j] = 0 if least == heat2 else (1 if least == cone else opening)

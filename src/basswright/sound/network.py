"""How the circuit of a box answers: one volt at its terminals, any complex frequency.

The electro-mechano-acoustical network of Thiele (1961) and Small (1972-1974): coil,
motor, moving mass and suspension, and on each side of the cones either the open air or
a chamber (compliance, leak and absorption losses) with a port or a passive radiator.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from basswright.sound.models import Array, BoxModels, Chamber

Complex = NDArray[np.complex128]


@dataclass(frozen=True, kw_only=True)
class Flow:
    """What moves for one volt; complex, shape (n, d, f).

    Attributes
    ----------
    impedance_ohm : ndarray
        At the terminals [ohm].
    cone_m_per_s : ndarray
        Speed of the cones for a volt, outwards positive [m/s].
    total_m3_per_s, rear_m3_per_s, front_m3_per_s : ndarray
        Volume velocity for a volt of the whole box, and of the rear and front openings
        [m3/s].
    """

    impedance_ohm: Complex
    cone_m_per_s: Complex
    total_m3_per_s: Complex
    rear_m3_per_s: Complex
    front_m3_per_s: Complex


def solve(models: BoxModels, s: Complex) -> Flow:
    """Solve the network for one volt.

    Parameters
    ----------
    models : BoxModels
        n boxes in d draws.
    s : ndarray of complex
        Laplace variable, broadcast against (n, d, 1): usually j w, shape (f,) [s^-1].

    Returns
    -------
    Flow
        Leaks count as radiated: they are openings of the same small box.

    Notes
    -----
    Zm = Rms + s Mms + 1/(s Cms) + Sd^2 (Z rear + Z front), Ze = Re + K s^n + Bl^2 / Zm,
    speed = Bl / (Zm Ze). A chamber is its compliance and leak beside the opening. Valid while
    box and cone are small beside the wave; the load of the air outside is in Mms.

    References
    ----------
    .. [1] A. N. Thiele, "Loudspeakers in vented boxes", Proceedings of the IRE Australia 22,
       1961, pp. 487-508; again in JAES 19(5), 1971, pp. 382-392, and 19(6), pp. 471-483.
    .. [2] R. H. Small, JAES 20(5), 1972, pp. 383-395; 20(10), 1972, pp. 798-808; 21(5), 1973,
       pp. 363-372; 22(8), 1974, pp. 592-601.
    """
    rear, rear_vent, rear_out = _chamber(models.rear, s)
    front, front_vent, front_out = _chamber(models.front, s)
    open_front = _last(models.front.volume_m3) == 0
    front = np.where(open_front, 0, front)
    front_out = np.where(open_front, 1, front_out)
    front_vent = np.where(open_front, 0, front_vent)
    Sd, Bl = _last(models.Sd_m2), _last(models.Bl_tm)
    mechanical = (
        _last(models.Rms_kg_per_s)
        + s * _last(models.Mms_kg)
        + 1 / (s * _last(models.Cms_m_per_n))
        + Sd**2 * (rear + front)
    )
    coil = coil_impedance(models, s)
    impedance = coil + Bl**2 / mechanical
    speed = Bl / (mechanical * impedance)
    cone = Sd * speed
    return Flow(
        impedance_ohm=impedance,
        cone_m_per_s=speed,
        total_m3_per_s=cone * (front_out - rear_out),
        rear_m3_per_s=-cone * rear_vent,
        front_m3_per_s=cone * front_vent,
    )


def coil_impedance(models: BoxModels, s: Complex) -> Complex:
    """Return the impedance of the blocked coil [ohm].

    Parameters
    ----------
    models : BoxModels
        n boxes in d draws.
    s : ndarray of complex
        Laplace variable, broadcast against (n, d, 1) [s^-1].

    Returns
    -------
    ndarray of complex, shape (n, d, f)
        Re + K s^n: n = 1 an inductance, n = 1/2 eddy currents in thick iron [ohm].

    References
    ----------
    .. [1] W. M. Leach, "Loudspeaker voice-coil inductance losses: circuit models, parameter
       estimation, and effect on frequency response", JAES 50(6), 2002, pp. 442-450.
    .. [2] J. Vanderkooy, "A model of loudspeaker driver impedance incorporating eddy currents
       in the pole structure", JAES 37(3), 1989, pp. 119-128.
    """
    power = np.exp(_last(models.coil_n) * np.log(s))
    return np.asarray(_last(models.Re_ohm) + _last(models.coil_K) * power)


def _chamber(chamber: Chamber, s: Complex) -> tuple[Complex, Complex, Complex]:
    """Return acoustic impedance, and the shares of the flow that vent and box let out."""
    resonator = _last(chamber.vent_stiffness_per_s2) + s * (s + _last(chamber.vent_damping_per_s))
    compliance = s * _last(chamber.compliance) / (1 + s * _last(chamber.absorption_s))
    vent = s * _last(chamber.vent_per_mass)
    leak = _last(chamber.leak)
    both = (compliance + leak) * resonator + vent
    both = np.where(both == 0, 1, both)
    return resonator / both, vent / both, (vent + leak * resonator) / both


def _last(values: Array) -> Array:
    return values[..., None]

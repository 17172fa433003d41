"""How the unknowns of a box become its lumped parameters."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

import numpy as np

from basswright.sound.air import BULK_PA
from basswright.sound.copper import RATED_RISE_K
from basswright.sound.models import NO_LIMIT, Array, BoxModels, Chamber
from basswright.sound.priors import AT
from basswright.sound.sheet import Sheets

#: Frequency at which a data sheet states the inductance [Hz] (common practice).
INDUCTANCE_AT_HZ: Final = 1000.0
#: Share of the coils' rise that lies between coil and magnet (common practice).
_COIL_SHARE: Final = 0.75
#: Q of the port's own losses (Small 1973 part I: high beside the leakage).
_PORT_Q: Final = 100.0

#: How much less a closed chamber leaks than a vented one (common practice, no source).
_CLOSED_OVER_VENTED_QL: Final = 10.0

_Value = Callable[[str], Array]


def lumped(states: Array, sheets: Sheets, *, ids: Sequence[str]) -> BoxModels:
    """Return the models of boxes from their unknowns.

    Parameters
    ----------
    states : ndarray, shape (n, d, unknowns)
        Natural logarithm of each unknown, in the unit noted in `UNKNOWNS` [-].
    sheets : Sheets
        n boxes; only what is certain of them is read: kind, count, air speed.
    ids : sequence of str, length n

    Returns
    -------
    BoxModels
        Shape (n, d).

    Notes
    -----
    Bl^2 = ws Mms Re / Qes, Cms = 1 / (ws^2 Mms), Rms = ws Mms / Qms; leak wb Ca / QL; mass of a
    port 1 / (wb^2 Ca), of radiators 1 / ((wb^2 - wp^2) Ca), wp their own resonance. The
    semi-inductance has the reactance at 1 kHz that the sheet's inductance has there:
    K w^n sin(n pi / 2) = w Le. Heat: three quarters of the rise of 175 K at the rated power lie
    between coil and magnet (common practice, no source).

    References
    ----------
    .. [1] R. H. Small, JAES 20(5), 1972, pp. 383-395; 21(5), 1973, pp. 363-372; 22(8), 1974,
       pp. 592-601.
    .. [2] W. M. Leach, JAES 50(6), 2002, pp. 442-450 (semi-inductance).
    .. [3] E. R. Geddes, "An introduction to band-pass loudspeaker systems", JAES 37(5), 1989,
       pp. 308-342.
    .. [4] D. J. Button, "Heat dissipation and power compression in loudspeakers", JAES
       40(1/2), 1992, pp. 32-41.
    """

    def value(name: str) -> Array:
        return np.asarray(np.exp(states[..., AT[name]]))

    count = sheets.count[:, None]
    Sd1 = value("cone area")
    Mms1 = value("areal mass") * Sd1
    ws = 2 * np.pi * value("fs")
    Re, Sd = value("Re"), count * Sd1
    coil_n = np.clip(value("coil exponent"), 0.5, 1.0)
    w1 = 2 * np.pi * INDUCTANCE_AT_HZ
    reactance = value("coil time") * Re * w1
    coil_K = reactance / (w1**coil_n * np.sin(np.pi / 2 * coil_n))
    heat = value("heat")
    coil_k_per_w = _COIL_SHARE * RATED_RISE_K / heat
    magnet_k_per_w = (1 - _COIL_SHARE) * RATED_RISE_K / heat
    rear, front = _chambers(value, sheets, Sd)
    return BoxModels(
        ids=tuple(ids),
        Re_ohm=Re,
        Bl_tm=np.sqrt(ws * count * Mms1 * Re / value("Qes")),
        Mms_kg=count * Mms1,
        Cms_m_per_n=1 / (ws**2 * Mms1 * count),
        Rms_kg_per_s=ws * count * Mms1 / value("Qms"),
        Sd_m2=Sd,
        Xmax_m=value("Xmax"),
        coil_K=coil_K,
        coil_n=coil_n,
        heat_limit_w=heat,
        coil_k_per_w=coil_k_per_w,
        magnet_k_per_w=magnet_k_per_w,
        coil_j_per_k=value("coil seconds") / coil_k_per_w,
        magnet_j_per_k=value("magnet seconds") / magnet_k_per_w,
        count=sheets.count.astype(np.intp),
        rear=rear,
        front=front,
    )


def _chambers(value: _Value, sheets: Sheets, Sd: Array) -> tuple[Chamber, Chamber]:
    bandpass = (sheets.kinds == "bandpass")[:, None]
    net, share = value("net volume"), np.minimum(value("rear share"), 0.9)
    rear_volume = np.where(bandpass, share * net, net)
    return _rear(value, sheets, Sd, rear_volume), _front(value, sheets, Sd, net - rear_volume)


def _rear(value: _Value, sheets: Sheets, Sd: Array, volume: Array) -> Chamber:
    kinds = sheets.kinds[:, None]
    bandpass, radiator = kinds == "bandpass", kinds == "passive-radiator"
    sixth = bandpass & ~np.isnan(sheets.rear_tuning_hz)[:, None]
    opened = (kinds == "vented") | radiator | sixth
    stiffening = BULK_PA * Sd / volume / value("areal mass")
    closed_w = np.sqrt((2 * np.pi * value("fs")) ** 2 + stiffening)
    wb = 2 * np.pi * np.where(sixth, value("rear tuning"), value("tuning"))
    QL = np.where(bandpass & ~sixth, _CLOSED_OVER_VENTED_QL, 1.0) * value("QL")
    wp = np.where(radiator, np.minimum(value("radiator ratio"), 0.9) * wb, 0.0)
    damping = np.where(radiator, wp / value("radiator Q"), wb / _PORT_Q)
    speed = np.broadcast_to(sheets.vent_speed_m_per_s[:, None], Sd.shape)
    return Chamber(
        volume_m3=volume,
        leak=np.where(opened, wb, closed_w) * volume / BULK_PA / QL,
        absorption_s=np.zeros_like(Sd),
        vent_per_mass=np.where(opened, (wb**2 - wp**2) * volume / BULK_PA, 0.0),
        vent_damping_per_s=np.where(opened, damping, 0.0),
        vent_stiffness_per_s2=wp**2,
        vent_area_m2=np.where(opened, value("opening share") * Sd, 1.0),
        vent_speed_m_per_s=np.where(opened & ~radiator, speed, NO_LIMIT),
        vent_excursion_m=np.where(radiator, value("radiator excursion"), NO_LIMIT),
    )


def _front(value: _Value, sheets: Sheets, Sd: Array, volume: Array) -> Chamber:
    bandpass = (sheets.kinds == "bandpass")[:, None]
    wb = 2 * np.pi * value("tuning")
    speed = np.broadcast_to(sheets.vent_speed_m_per_s[:, None], Sd.shape)
    return Chamber(
        volume_m3=volume,
        leak=wb * volume / BULK_PA / value("QL"),
        absorption_s=np.zeros_like(Sd),
        vent_per_mass=wb**2 * volume / BULK_PA,
        vent_damping_per_s=np.where(bandpass, wb / _PORT_Q, 0.0),
        vent_stiffness_per_s2=np.zeros_like(Sd),
        vent_area_m2=np.where(bandpass, value("opening share") * Sd, 1.0),
        vent_speed_m_per_s=np.where(bandpass, speed, NO_LIMIT),
        vent_excursion_m=np.full_like(Sd, NO_LIMIT),
    )

"""What a hidden box plays: lumped acoustic circuits, kept apart from the product's models.

This is the demo range's own physics. It shares no code with the package that predicts
the sound, so that a prediction can be compared with it.

Notes
-----
All cones of a box are alike, so each carries ``count`` times the box impedance. With
``Y = s Cab + 1/Ral + Yout`` (compliance, leak, port or radiator), output is the flow
into the compliance, or for a bandpass box the flow through the port. References:

.. [1] R. H. Small, "Direct-Radiator Loudspeaker System Analysis", JAES 20(5), 1972.
.. [2] R. H. Small, "Vented-Box Loudspeaker Systems I", JAES 21(5), 1973.
.. [3] R. H. Small, "Passive-Radiator Loudspeaker Systems I", JAES 22(8), 1974.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from basswright.catalogue.demo.hidden import RHO, C, Chambers, Cones, Floats
from basswright.records.enclosure import BoxKind

#: A thirtieth of an octave from 8 to 200 Hz.
FREQUENCY_HZ: Floats = 8.0 * (200.0 / 8.0) ** (np.arange(141) / 140)

_Complex = NDArray[np.complex128]


@dataclass(frozen=True, kw_only=True)
class Response:
    """What 1 W in the coils' DC resistance does.

    Attributes
    ----------
    level_db : ndarray, shape (n, f)
        At 1 m in half space [dB re 20 uPa].
    excursion_m : ndarray, shape (n, f)
        Peak excursion of each cone [m].
    impedance_ohm : ndarray of complex, shape (n, f)
        At the terminals of the whole box [ohm].
    """

    level_db: Floats
    excursion_m: Floats
    impedance_ohm: _Complex


def respond(kind: BoxKind, cones: Cones, chambers: Chambers, frequency_hz: Floats) -> Response:
    """Return level, excursion and impedance of n boxes of one kind at f frequencies."""
    s: _Complex = np.asarray(2j * np.pi * frequency_hz[np.newaxis, :], np.complex128)
    column = _columns(cones.__dict__)
    count, Sd, Bl = column["count"], column["Sd_m2"], column["Bl_tm"]
    load, output = _box(kind, chambers, s)
    coil = column["Re_ohm"] + s * column["Le_henry"]
    mechanical = (
        column["Rms_kg_per_s"]
        + s * column["Mms_kg"]
        + 1 / (s * column["Cms_m_per_n"])
        + count * Sd**2 * load
    )
    volts = np.sqrt(column["Re_ohm"] / count)
    velocity = Bl * volts / (coil * mechanical + Bl**2)
    flow = count * Sd * velocity * output
    pressure = RHO * frequency_hz * np.abs(flow)
    return Response(
        level_db=20 * np.log10(pressure / 20e-6),
        excursion_m=np.sqrt(2) * np.abs(velocity / s),
        impedance_ohm=(coil + Bl**2 / mechanical) * column["series"] ** 2 / count,
    )


def _columns(arrays: dict[str, NDArray[np.generic]]) -> dict[str, Floats]:
    return {name: np.asarray(array, float)[:, np.newaxis] for name, array in arrays.items()}


def _box(kind: BoxKind, chambers: Chambers, s: _Complex) -> tuple[_Complex, _Complex]:
    """Return the acoustic load on the cones, and output flow over cone flow."""
    column = _columns(chambers.__dict__)
    compliance = column["volume_m3"] / (RHO * C**2)
    if kind == "closed":
        return 1 / (s * compliance), np.ones_like(s * compliance)
    if kind == "bandpass":
        front = column["front_volume_m3"] / (RHO * C**2)
        port = s * _port_mass(column)
        chamber = 1 / (s * front + _leak(column, front) + 1 / port)
        return 1 / (s * compliance) + chamber, chamber / port
    if kind == "vented":
        out = 1 / (s * _port_mass(column))
    else:
        area = column["radiator_count"] * column["radiator_Sd_m2"]
        of_one = (
            column["radiator_Rms_kg_per_s"]
            + s * column["radiator_Mms_kg"]
            + 1 / (s * column["radiator_Cms_m_per_n"])
        )
        out = area**2 / (of_one * column["radiator_count"])
    chamber = 1 / (s * compliance + _leak(column, compliance) + out)
    return chamber, s * compliance * chamber


def _port_mass(column: dict[str, Floats]) -> Floats:
    return RHO * column["port_effective_length_m"] / column["port_area_m2"]


def _leak(column: dict[str, Floats], compliance: Floats) -> Floats:
    return 2 * np.pi * column["tuning_hz"] * compliance / column["leakage_q"]


def reference_level_db(cones: Cones) -> Floats:
    """Return the level of the box from its reference efficiency: 1 W, 1 m, half space.

    eta0 = rho Bl^2 Sd^2 / (2 pi c Re Mms^2) for one cone [1]_, times the number of
    cones, as their volume velocities add while they share the watt.
    """
    eta0 = RHO * cones.Bl_tm**2 * cones.Sd_m2**2
    eta0 = eta0 / (2 * np.pi * C * cones.Re_ohm * cones.Mms_kg**2)
    pressure = np.sqrt(cones.count * eta0 * RHO * C / (2 * np.pi))
    return np.asarray(20 * np.log10(pressure / 20e-6), float)


def low_limit_hz(level_db: Floats, reference_db: Floats, frequency_hz: Floats) -> Floats:
    """Return where the level falls 10 dB below the reference, coming from its peak.

    NaN where it does not within the given frequencies.
    """
    depth = level_db - (reference_db[:, np.newaxis] - 10)
    grid = np.arange(frequency_hz.size)
    below = (depth < 0) & (grid < np.argmax(level_db, axis=1)[:, np.newaxis])
    last = np.where(below, grid, -1).max(axis=1)
    row, low = np.arange(depth.shape[0]), np.maximum(last, 0)
    start, end = depth[row, low], depth[row, low + 1]
    log_f = np.log(frequency_hz)
    crossing = log_f[low] - start / (end - start) * (log_f[low + 1] - log_f[low])
    return np.where(last >= 0, np.exp(crossing), np.nan)

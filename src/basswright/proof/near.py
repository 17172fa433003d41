"""What a microphone close to the cone hears: mostly the cone, and the air around it."""

from __future__ import annotations

import numpy as np

from basswright.proof.plant import Complex, Floats
from basswright.records.car import Cabin
from basswright.sound.air import C_M_PER_S, RHO_KG_PER_M3

#: How far each part may be off, one standard deviation [dB]: what the cone gives itself;
#: the air of an open cabin, with its modes; that of a boot whose walls give; and a cone
#: heard from afar. From comparisons with simulated cars.
CLOSE_DB, ROOM_DB, BOOT_DB, AFAR_DB = 1.5, 6.0, 8.0, 4.0
_END_CORRECTION_M = 0.04


def near_field(frequency_hz: Floats, flow_m3_per_s: Complex, area_m2: float) -> Complex:
    """Return the pressure at the middle of a cone's surface [Pa], shape (f,).

    ``jw rho Q / (pi a)``, a rigid piston of radius a (D. B. Keele, "Low-frequency
    loudspeaker assessment by near-field sound-pressure measurement", JAES 22(3), 1974).
    """
    radius = np.sqrt(area_m2 / np.pi)
    rate = 2j * np.pi * frequency_hz
    return np.asarray(rate * RHO_KG_PER_M3 * flow_m3_per_s / (np.pi * radius))


def passing(frequency_hz: Floats, flow_m3_per_s: Complex, distance_m: float) -> Complex:
    """Return what is left of it at a place from which the cone has gone [Pa], shape (f,).

    ``jw rho Q / (4 pi r)``: a small source at that distance (Morse & Ingard,
    "Theoretical Acoustics", 1968, section 7.1).
    """
    rate = 2j * np.pi * frequency_hz
    return np.asarray(rate * RHO_KG_PER_M3 * flow_m3_per_s / (4 * np.pi * distance_m))


def surroundings(frequency_hz: Floats, cabin: Cabin, *, opening_share: float = 1.0) -> Complex:
    """Return pressure over volume velocity of the air that the box stands in, shape (f,).

    The cabin's volume with its leak; where a boot is closed off, the boot's, beside the
    opening's mass in series with the cabin (two coupled volumes) [Pa s/m3].
    """
    rate = 2j * np.pi * frequency_hz
    stiffness = RHO_KG_PER_M3 * C_M_PER_S**2
    whole = stiffness / cabin.volume_m3 / (rate + 2 * np.pi * cabin.leak_corner_hz)
    area = cabin.boot_opening_m2 * opening_share
    if cabin.boot_volume_m3 <= 0 or area <= 0:
        return np.asarray(whole, dtype=np.complex128)
    length = _END_CORRECTION_M + 1.7 * np.sqrt(area / np.pi)
    way = rate * RHO_KG_PER_M3 * length / area
    boot = stiffness / cabin.boot_volume_m3 / rate
    return np.asarray(1 / (1 / boot + 1 / (way + whole)), dtype=np.complex128)

"""Published alignments of vented boxes, and the efficiency relations."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.sound.air import BULK_PA, C_M_PER_S
from basswright.sound.known import KnownChamber, KnownDriver, KnownPort, known_box
from basswright.sound.models import BoxModels
from basswright.sound.ports import (
    End,
    effective_length,
    helmholtz_hz,
    length_for,
    port_mass,
)
from basswright.sound.response import respond

#: Thiele (1961) and Small, "Vented-Box Loudspeaker Systems", JAES 21, 1973: alignment,
#: QL, Qt, h = fb/fs, alpha = Vas/Vb, f3/fs, ripple in dB.
VENTED = [
    ("B4", np.inf, 0.3827, 1.0000, 1.4142, 1.0000, 0.0),
    ("B4", 10.0, 0.3979, 1.0000, 1.1629, 1.0000, 0.0),
    ("B4", 7.0, 0.4048, 1.0000, 1.0613, 1.0000, 0.0),
    ("B4", 5.0, 0.4144, 1.0000, 0.9316, 1.0000, 0.0),
    ("B4", 3.0, 0.4386, 1.0000, 0.6543, 1.0000, 0.0),
    ("QB3", np.inf, 0.20, 1.8042, 8.2448, 2.3879, 0.0),
    ("QB3", np.inf, 0.30, 1.2354, 3.0293, 1.4679, 0.0),
    ("QB3", 10.0, 0.30, 1.2890, 2.9022, 1.5406, 0.0),
    ("QB3", 7.0, 0.20, 1.9393, 7.7775, 2.5289, 0.0),
    ("QB3", 7.0, 0.25, 1.5629, 4.5822, 1.9667, 0.0),
    ("QB3", 7.0, 0.30, 1.3145, 2.8452, 1.5732, 0.0),
    ("QB3", 7.0, 0.35, 1.1395, 1.7964, 1.2702, 0.0),
    ("QB3", 7.0, 0.38, 1.0578, 1.3552, 1.1153, 0.0),
    ("QB3", 5.0, 0.30, 1.3512, 2.7663, 1.6183, 0.0),
    ("C4", np.inf, 0.4650, 0.8288, 0.7289, 0.7282, 0.068),
    ("C4", np.inf, 0.5685, 0.7087, 0.4697, 0.5904, 0.586),
    ("C4", 7.0, 0.4988, 0.8051, 0.4679, 0.7177, 0.068),
    ("C4", 7.0, 0.6231, 0.6614, 0.2513, 0.5703, 0.586),
    ("Bessel", np.inf, 0.3162, 0.9759, 2.3333, 1.4959, 0.0),
    ("Bessel", 7.0, 0.3312, 0.9735, 1.9076, 1.4941, 0.0),
]
FS, MMS, SD, RE = 30.0, 0.120, 0.050, 3.5


def vented(QL: float, Qt: float, h: float, alpha: float) -> BoxModels:
    """Return a vented box of a given alignment; all driver losses are electrical."""
    w = 2 * np.pi * FS
    Cms = 1 / (w**2 * MMS)
    volume = BULK_PA * SD**2 * Cms / alpha
    area = 0.01
    length = area * C_M_PER_S**2 / (h**2 * w**2 * volume)
    driver = KnownDriver(
        Re_ohm=RE,
        Bl_tm=np.sqrt(w * MMS * RE / Qt),
        Mms_kg=MMS,
        Cms_m_per_n=Cms,
        Rms_kg_per_s=1e-9,
        Sd_m2=SD,
    )
    port = KnownPort(area_m2=area, effective_length_m=length)
    return known_box(driver, KnownChamber(volume_m3=volume, QL=QL, opening=port))


@pytest.mark.parametrize(("name", "QL", "Qt", "h", "alpha", "f3", "ripple"), VENTED)
def test_vented_alignment(
    name: str, QL: float, Qt: float, h: float, alpha: float, f3: float, ripple: float
) -> None:
    """A box of a published alignment has its corner, and no more than its ripple."""
    box = vented(QL, Qt, h, alpha)
    f = np.geomspace(5, 3000, 60_001)
    level = 20 * np.log10(np.abs(respond(box, f).pressure_pa[0, 0]))
    level -= level[-1]
    corner = f[np.flatnonzero(level < 10 * np.log10(0.5))[-1]] / FS
    assert corner == pytest.approx(f3, rel=1e-3), name
    assert level.max() == pytest.approx(ripple, abs=4e-3)


def test_reference_efficiency() -> None:
    """30 Hz, 50 L and Qes 0.45 give 0.2930 % and 86.83 dB (Small 1972, 1 W, 1 m)."""
    fs, Vas, Qes, Sd, Re = 30.0, 0.050, 0.45, 0.04, 4.0
    Cms = Vas / (BULK_PA * Sd**2)
    Mms = 1 / ((2 * np.pi * fs) ** 2 * Cms)
    driver = KnownDriver(
        Re_ohm=Re,
        Bl_tm=np.sqrt(2 * np.pi * fs * Mms * Re / Qes),
        Mms_kg=Mms,
        Cms_m_per_n=Cms,
        Rms_kg_per_s=3.0,
        Sd_m2=Sd,
    )
    box = known_box(driver, KnownChamber(volume_m3=0.04))
    assert box.sensitivity_db[0, 0] == pytest.approx(86.83, abs=0.006)
    pair = known_box(driver, KnownChamber(volume_m3=0.08), count=2)
    assert pair.sensitivity_db[0, 0] == pytest.approx(86.83 + 3.01, abs=0.006)


def test_two_equal_boxes_at_one_voltage_give_6_db() -> None:
    """Volume velocities add: twice everything in parallel is +6.02 dB per volt."""
    w = KnownDriver(
        Re_ohm=3.6, Bl_tm=14.5, Mms_kg=0.11, Cms_m_per_n=2e-4, Rms_kg_per_s=3.8, Sd_m2=0.033
    )
    one = respond(known_box(w, KnownChamber(volume_m3=0.02)), [20.0, 60.0])
    two = respond(known_box(w, KnownChamber(volume_m3=0.04), count=2), [20.0, 60.0])
    gain = 20 * np.log10(np.abs(two.pressure_pa / one.pressure_pa))
    np.testing.assert_allclose(gain, 6.0206, atol=1e-4)
    series = respond(known_box(w, KnownChamber(volume_m3=0.04), count=2, series=2), [20.0, 60.0])
    np.testing.assert_allclose(series.impedance_ohm / two.impedance_ohm, 4.0, rtol=1e-9)


@pytest.mark.parametrize(
    ("ends", "hz"),
    [
        (("free", "free"), 38.80),
        (("flanged", "free"), 38.17),
    ],
)
def test_port_tuning(ends: tuple[End, End], hz: float) -> None:
    """50 L with a port of 100 mm by 250 mm, ends as Levine and Schwinger (1948) and
    Dalmont, Nederveen and Joly (2001) have them."""
    area = np.pi / 4 * 0.1**2
    length = effective_length(0.25, area, ends)
    assert helmholtz_hz(0.050, area, length) == pytest.approx(hz, abs=0.01)


def test_port_length_is_the_inverse_of_tuning() -> None:
    """The length for a tuning gives that tuning back; a port too wide cannot tune high."""
    area = np.array([0.004, 0.008])
    length = length_for(36.0, 0.045, area, count=2)
    tuned = helmholtz_hz(0.045, 2 * area, effective_length(length, area))
    np.testing.assert_allclose(tuned, 36.0, rtol=1e-12)
    assert length_for(90.0, 0.1, 0.002) < 0
    assert port_mass(0.008, 0.5) == pytest.approx(1.204 * 0.5 / 0.008)


def test_fourth_order_bandpass_is_symmetric() -> None:
    """Front tuned to the rear's resonance: the pressure is even about it in octaves.

    Geddes, "An Introduction to Band-Pass Loudspeaker Systems", JAES 37(5), 1989 (from
    memory); a lossless box is a low-pass turned into a band-pass.
    """
    Mms, Cms, Sd, volume, area = 0.11, 2e-4, 0.033, 0.02, 0.01
    driver = KnownDriver(
        Re_ohm=3.6, Bl_tm=14.5, Mms_kg=Mms, Cms_m_per_n=Cms, Rms_kg_per_s=3.8, Sd_m2=Sd
    )
    centre = np.sqrt((1 / Cms + Sd**2 * BULK_PA / volume) / Mms) / (2 * np.pi)
    length = float(area * (C_M_PER_S / (2 * np.pi * centre)) ** 2 / 0.015)
    front = KnownChamber(
        volume_m3=0.015, opening=KnownPort(area_m2=area, effective_length_m=length)
    )
    box = known_box(driver, KnownChamber(volume_m3=volume), front=front)
    assert box.tuning_hz[0, 0] == pytest.approx(centre)
    apart = np.array([1.1, 1.4, 2.0, 3.0])
    below = np.abs(respond(box, centre / apart[::-1]).pressure_pa[0, 0])[::-1]
    above = np.abs(respond(box, centre * apart).pressure_pa[0, 0])
    np.testing.assert_allclose(below, above, rtol=1e-9)


def test_a_filling_softens_the_air_by_up_to_the_specific_heats() -> None:
    """A box filled for good acts like one 1.4 times as large (Small 1972, part I)."""
    driver = KnownDriver(
        Re_ohm=3.6, Bl_tm=14.5, Mms_kg=0.11, Cms_m_per_n=2e-4, Rms_kg_per_s=3.8, Sd_m2=0.033
    )
    filled = known_box(driver, KnownChamber(volume_m3=0.02, filled_share=1.0))
    larger = known_box(driver, KnownChamber(volume_m3=0.028))
    one, two = (respond(box, [20.0, 60.0]).pressure_pa for box in (filled, larger))
    np.testing.assert_allclose(one, two, rtol=1e-12)

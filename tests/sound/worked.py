"""One driver in three boxes, whose figures are known from independent calculations."""

from __future__ import annotations

from basswright.sound.known import (
    KnownChamber,
    KnownDriver,
    KnownPort,
    KnownRadiator,
    known_box,
)
from basswright.sound.models import BoxModels

DRIVER = KnownDriver(
    Re_ohm=3.6, Bl_tm=14.5, Mms_kg=0.110, Cms_m_per_n=2.0e-4, Rms_kg_per_s=3.8, Sd_m2=0.0330,
    Xmax_m=0.010, heat_limit_w=400.0,
)  # fmt: skip
CLOSED = KnownChamber(volume_m3=0.020)
VENTED = KnownChamber(
    volume_m3=0.036, QL=7.0, opening=KnownPort(area_m2=0.008, effective_length_m=0.5)
)
RADIATOR = KnownChamber(
    volume_m3=0.024,
    QL=7.0,
    opening=KnownRadiator(
        Sd_m2=0.048, Mms_kg=0.33, Cms_m_per_n=3.5e-4, Rms_kg_per_s=2.5, Xmax_m=0.015
    ),
)
BOXES: dict[str, BoxModels] = {
    "closed": known_box(DRIVER, CLOSED),
    "vented": known_box(DRIVER, VENTED),
    "passive-radiator": known_box(DRIVER, RADIATOR),
    "fourth-order bandpass": known_box(DRIVER, CLOSED, front=VENTED),
    "sixth-order bandpass": known_box(
        DRIVER, VENTED, front=KnownChamber(
            volume_m3=0.02, QL=7.0, opening=KnownPort(area_m2=0.01, effective_length_m=0.2)
        )
    ),
}  # fmt: skip

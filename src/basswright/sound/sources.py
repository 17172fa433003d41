"""Where each parameter of a model comes from."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from basswright.records.enclosure import Enclosure
from basswright.sound.models import Source

#: Parameter -> sets of published figures, each of which is enough to know it.
_FOLLOWS: Final[dict[str, tuple[tuple[str, ...], ...]]] = {
    "Re_ohm": (("driver.Re_ohm",),),
    "Bl_tm": (
        ("driver.Bl_tm",),
        ("driver.fs_hz", "driver.Qes", "driver.Mms_kg", "driver.Re_ohm"),
    ),
    "Mms_kg": (
        ("driver.Mms_kg",),
        ("driver.fs_hz", "driver.Vas_m3", "driver.Sd_m2"),
    ),
    "Cms_m_per_n": (
        ("driver.Vas_m3", "driver.Sd_m2"),
        ("driver.fs_hz", "driver.Mms_kg"),
    ),
    "Rms_kg_per_s": (("driver.Qms", "driver.fs_hz", "driver.Mms_kg"),),
    "Sd_m2": (("driver.Sd_m2",),),
    "Xmax_m": (("driver.Xmax_m",),),
    "coil_K": (("driver.Le_henry",),),
    "volume_m3": (("net_volume_m3",),),
    "tuning_hz": (("tuning_hz",),),
    "vent_area_m2": (
        ("ports.diameter_m",),
        ("ports.width_m", "ports.height_m"),
        ("radiators.Sd_m2",),
    ),
    "vent_excursion_m": (("radiators.Xmax_m",),),
    "heat_limit_w": (("power_high_w",), ("amplifier.power_w",)),
    "sensitivity_db": (("sensitivity_db",),),
}
_ORDER: Final[tuple[Source, ...]] = ("measured", "given", "estimated")


def sources(enclosures: Sequence[Enclosure]) -> dict[str, tuple[Source, ...]]:
    """Return for each parameter and box whether it was given, measured or estimated.

    Parameters
    ----------
    enclosures : sequence of Enclosure, length n

    Returns
    -------
    dict of str to tuple of Source, each of length n
        A parameter that follows from others is as good as the worst of these.
    """
    return {
        name: tuple(_source(enclosure, ways) for enclosure in enclosures)
        for name, ways in _FOLLOWS.items()
    }


def _source(enclosure: Enclosure, ways: tuple[tuple[str, ...], ...]) -> Source:
    best = min(max(_ORDER.index(_one(enclosure, path)) for path in way) for way in ways)
    return _ORDER[best]


def _one(enclosure: Enclosure, path: str) -> Source:
    value: object = enclosure
    for name in path.split("."):
        value = getattr(value, name, None)
    if value is None:
        return "estimated"
    origin = enclosure.origins.get(path)
    return origin.kind if origin else "given"

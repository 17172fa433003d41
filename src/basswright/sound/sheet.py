"""What the data sheets of many boxes say, as columns; NaN where they say nothing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from basswright.errors import InputError, InputErrors
from basswright.records.enclosure import Cuboid, Enclosure, Port
from basswright.sound.models import Array
from basswright.sound.ports import FLARED_SPEED, PLAIN_SPEED, effective_length
from basswright.sound.wiring import wiring_factor

#: Logarithm of what the coils stand over the rated power, which often is held back for
#: the excursion, and over the power of an amplifier that is built in (common practice,
#: no source).
_RATED_RESERVE: Final = 0.2
_BUILT_IN_RESERVE: Final = 0.6


@dataclass(frozen=True, kw_only=True)
class Sheets:
    """Published figures of n boxes, each an array of shape (n,); NaN where not told.

    Attributes
    ----------
    kinds : ndarray of str
        Kind of box.
    count : ndarray
        Cones.
    size_m, load_ohm : ndarray
        Nominal diameter of a cone [m], total nominal load [ohm].
    Re_ohm, fs_hz, Qes, Qms, Qts, Vas_m3, Le_henry, Sd_m2, Xmax_m, Bl_tm, Mms_kg : ndarray
        Of one cone: [ohm], [Hz], [-], [m3], [H], [m2], [m], [T m] and [kg].
    wiring : ndarray
        The box's coil resistance over that of one cone [-].
    net_m3, shell_m3 : ndarray
        Stated net volume, and what the outer size leaves inside the panels [m3].
    shell_spread : ndarray
        Uncertainty of the latter, standard deviation of its logarithm [-].
    tuning_hz, rear_m3, rear_tuning_hz : ndarray
        Tuning of the opening [Hz]; rear chamber of a bandpass box [m3] and its tuning [Hz].
    vent_m2, vent_length_m : ndarray
        Ports or radiators, all together [m2]; one port with end corrections [m].
    vent_speed_m_per_s : ndarray
        Highest clean air speed, peak [m/s].
    radiator_mass_kg, radiator_Xmax_m, radiator_count : ndarray
        Of one radiator [kg] and [m], and how many.
    sensitivity_db, low_limit_hz : ndarray
        Level for 1 W at 1 m [dB], and where it has fallen by 10 dB [Hz].
    power_w : ndarray
        Rated power, or that of a built-in amplifier [W].
    power_reserve : ndarray
        Logarithm of what the coils stand over `power_w` [-].
    """

    kinds: NDArray[np.str_]
    count: Array
    size_m: Array
    load_ohm: Array
    Re_ohm: Array
    wiring: Array
    fs_hz: Array
    Qes: Array
    Qms: Array
    Qts: Array
    Vas_m3: Array
    Le_henry: Array
    Sd_m2: Array
    Xmax_m: Array
    Bl_tm: Array
    Mms_kg: Array
    net_m3: Array
    shell_m3: Array
    shell_spread: Array
    tuning_hz: Array
    rear_m3: Array
    rear_tuning_hz: Array
    vent_m2: Array
    vent_length_m: Array
    vent_speed_m_per_s: Array
    radiator_mass_kg: Array
    radiator_Xmax_m: Array
    radiator_count: Array
    sensitivity_db: Array
    low_limit_hz: Array
    power_w: Array
    power_reserve: Array

    def rows(self, start: int, stop: int) -> Sheets:
        """Return some of the boxes.

        Parameters
        ----------
        start, stop : int
            First, and one past the last.

        Returns
        -------
        Sheets
        """
        columns = {name: getattr(self, name)[start:stop] for name in self.__dataclass_fields__}
        return Sheets(**columns)


def read_sheets(enclosures: Sequence[Enclosure]) -> Sheets:
    """Return the published figures of many boxes.

    Parameters
    ----------
    enclosures : sequence of Enclosure, length n

    Returns
    -------
    Sheets
        Arrays of shape (n,), each in the unit of its name, as `Vas_m3` [m3].

    Raises
    ------
    InputErrors
        Coils whose resistance no wiring turns into the stated load.

    Notes
    -----
    The volume inside is the outer size less panels of 16 mm, less 2 % for bracing (6 % with a
    port) and 3.5 L for a 300 mm driver, growing with the third power of its size (common
    practice, no source).
    """
    names = list(Sheets.__dataclass_fields__)
    rows: list[dict[str, float | None]] = []
    errors: list[InputError] = []
    for enclosure in enclosures:
        try:
            rows.append(_row(enclosure))
        except InputError as error:
            errors.append(error.at(item=enclosure.id))
    if errors:
        raise InputErrors(errors)
    columns = {
        name: np.array([row[name] for row in rows], dtype=float)
        for name in names
        if name != "kinds"
    }
    kinds = np.array([enclosure.kind for enclosure in enclosures], dtype=np.str_)
    return Sheets(kinds=kinds, **columns)


def _row(box: Enclosure) -> dict[str, float | None]:
    driver, radiators = box.driver, box.radiators
    shell, spread = _shell(box)
    built_in = box.amplifier.power_w if box.amplifier else None
    return {
        "count": driver.count,
        "size_m": driver.size_m,
        "load_ohm": box.load_ohm,
        "Re_ohm": driver.Re_ohm,
        "wiring": wiring_factor(driver, box.load_ohm),
        "fs_hz": driver.fs_hz,
        "Qes": driver.Qes,
        "Qms": driver.Qms,
        "Qts": driver.Qts,
        "Vas_m3": driver.Vas_m3,
        "Le_henry": driver.Le_henry,
        "Sd_m2": driver.Sd_m2,
        "Xmax_m": driver.Xmax_m,
        "Bl_tm": driver.Bl_tm,
        "Mms_kg": driver.Mms_kg,
        "net_m3": box.net_volume_m3,
        "shell_m3": shell,
        "shell_spread": spread,
        "tuning_hz": box.tuning_hz,
        "rear_m3": box.rear_volume_m3,
        "rear_tuning_hz": box.rear_tuning_hz,
        "vent_m2": _vent_area(box),
        "vent_length_m": _vent_length(box.ports),
        "vent_speed_m_per_s": FLARED_SPEED if box.ports and box.ports.flared else PLAIN_SPEED,
        "radiator_mass_kg": radiators.Mms_kg if radiators else None,
        "radiator_Xmax_m": radiators.Xmax_m if radiators else None,
        "radiator_count": radiators.count if radiators else 1,
        "sensitivity_db": box.sensitivity_db,
        "low_limit_hz": box.low_limit_hz,
        "power_w": box.power_high_w or built_in,
        "power_reserve": _RATED_RESERVE if box.power_high_w else _BUILT_IN_RESERVE,
    }


def _shell(box: Enclosure) -> tuple[float, float]:
    """Outer size less 16 mm panels, less what driver, bracing and port take."""
    shape = box.shape
    if isinstance(shape, Cuboid):
        bottom = top = shape.depth_m
    else:
        bottom, top = shape.depth_bottom_m, shape.depth_top_m

    def inside(wall: float) -> float:
        sides = max(shape.width_m - 2 * wall, 0.01) * max(shape.height_m - 2 * wall, 0.01)
        return sides * max((bottom + top) / 2 - 2 * wall, 0.01)

    taken = 3.5e-3 * box.driver.count * (box.driver.size_m / 0.30) ** 3
    vented = 0.06 if box.kind in ("vented", "bandpass") else 0.02
    net = max(inside(0.016) * (1 - vented) - taken, 0.1 * inside(0.016))
    wall_spread = abs(np.log(inside(0.018) / inside(0.014))) / 2
    return net, float(np.hypot(wall_spread, 0.08))


def _vent_area(box: Enclosure) -> float | None:
    if box.kind == "passive-radiator":
        radiators = box.radiators
        if radiators is None:
            return None
        if radiators.Sd_m2 is not None:
            return radiators.count * radiators.Sd_m2
        if radiators.size_m is None:
            return None
        return radiators.count * float(np.pi) / 4 * (0.835 * radiators.size_m) ** 2
    if box.ports is None or box.kind == "closed":
        return None
    area = _mouth_area(box.ports)
    return None if area is None else box.ports.count * area


def _mouth_area(port: Port) -> float | None:
    if port.diameter_m is not None:
        return float(np.pi) / 4 * port.diameter_m**2
    if port.width_m is not None and port.height_m is not None:
        return port.width_m * port.height_m
    return None


def _vent_length(port: Port | None) -> float | None:
    """Return the length of one port with its end corrections."""
    if port is None or port.length_m is None:
        return None
    area = _mouth_area(port)
    return None if area is None else float(effective_length(port.length_m, area))

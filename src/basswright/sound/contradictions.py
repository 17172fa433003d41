"""Which published figures of a box cannot be true together."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from basswright.errors import InputError, InputErrors
from basswright.records.enclosure import Cuboid, Enclosure
from basswright.sound.air import BULK_PA
from basswright.sound.models import Array
from basswright.sound.ports import helmholtz_hz
from basswright.sound.sheet import Sheets

#: How far a figure may stray from what the others say before they clash, as a factor.
_ALLOWED: Final = 1.6
_ALLOWED_TUNING: Final = 1.35
_ALLOWED_Q: Final = 1.12


def check_sheets(enclosures: Sequence[Enclosure], sheets: Sheets) -> None:
    """Refuse sheets whose figures contradict each other.

    Parameters
    ----------
    enclosures : sequence of Enclosure, length n
    sheets : Sheets
        Their figures as columns; each in the unit of its name, as `Vas_m3` [m3].

    Raises
    ------
    InputErrors
        One error for each clash; it names the figures, what was read and what the
        others would give.

    Notes
    -----
    Vas = rho c^2 Sd^2 / (ws^2 Mms), Bl^2 = ws Mms Re / Qes, 1/Qts = 1/Qes + 1/Qms and the
    tuning of the port against its size. Figures clash beyond a factor of 1.6, of 1.35 for the
    tuning and 1.12 for Qts (common practice, no source).

    References
    ----------
    .. [1] R. H. Small, "Direct-radiator loudspeaker system analysis", JAES 20(5), 1972,
       pp. 383-395.
    """
    follows = _follows(sheets)
    errors: list[InputError] = []
    for field, (read, expected, unit, allowed) in follows.items():
        with np.errstate(invalid="ignore"):
            apart = np.abs(np.log(read / expected)) > np.log(allowed)
        errors += [
            InputError(
                "figures contradict each other",
                item=enclosures[row].id,
                field=field,
                value=f"{read[row]:.4g} {unit}",
                allowed=f"about {expected[row]:.4g} {unit}, which follows from the others",
            )
            for row in np.flatnonzero(apart).tolist()
        ]
    errors += _rear(enclosures, sheets)
    errors += [error for enclosure in enclosures for error in _volume(enclosure)]
    if errors:
        raise InputErrors(errors)


def _follows(sheets: Sheets) -> dict[str, tuple[Array, Array, str, float]]:
    """Figure, what the others make of it, unit and allowed factor, by the fields' names."""
    ws = 2 * np.pi * sheets.fs_hz
    Vas = BULK_PA * sheets.Sd_m2**2 / (ws**2 * sheets.Mms_kg)
    Bl = np.sqrt(ws * sheets.Mms_kg * sheets.Re_ohm / sheets.Qes)
    tuning = helmholtz_hz(sheets.net_m3, sheets.vent_m2, sheets.vent_length_m)
    tuning = np.where(sheets.kinds == "vented", tuning, np.nan)
    Qts = sheets.Qes * sheets.Qms / (sheets.Qes + sheets.Qms)
    return {
        "driver.Qts against Qes, Qms": (sheets.Qts, Qts, "", _ALLOWED_Q),
        "driver.Vas_m3 against fs, Mms, Sd": (sheets.Vas_m3, Vas, "m3", _ALLOWED),
        "driver.Bl_tm against fs, Mms, Re, Qes": (sheets.Bl_tm, Bl, "T m", _ALLOWED),
        "tuning_hz against ports, net_volume": (sheets.tuning_hz, tuning, "Hz", _ALLOWED_TUNING),
    }


def _rear(enclosures: Sequence[Enclosure], sheets: Sheets) -> list[InputError]:
    """A rear chamber needs a bandpass box, and must leave room for the front one."""
    errors = []
    stated = ~np.isnan(sheets.rear_m3) | ~np.isnan(sheets.rear_tuning_hz)
    for row in np.flatnonzero(stated & (sheets.kinds != "bandpass")).tolist():
        errors.append(
            InputError(
                "only a bandpass box has a rear chamber of its own",
                item=enclosures[row].id,
                field="rear_volume_m3, rear_tuning_hz",
                value=enclosures[row].kind,
                allowed="bandpass",
            )
        )
    for row in np.flatnonzero(sheets.rear_m3 >= sheets.net_m3).tolist():
        errors.append(
            InputError(
                "the rear chamber leaves nothing for the front one",
                item=enclosures[row].id,
                field="rear_volume_m3 against net_volume_m3",
                value=f"{sheets.rear_m3[row] * 1000:.1f} L",
                allowed=f"less than {sheets.net_m3[row] * 1000:.1f} L",
            )
        )
    return errors


def _volume(enclosure: Enclosure) -> list[InputError]:
    shape, net = enclosure.shape, enclosure.net_volume_m3
    if isinstance(shape, Cuboid):
        depth = shape.depth_m
    else:
        depth = (shape.depth_bottom_m + shape.depth_top_m) / 2
    outer = shape.width_m * shape.height_m * depth
    if net is None or net < outer:
        return []
    return [
        InputError(
            "more net volume than the outside holds",
            item=enclosure.id,
            field="net_volume_m3",
            value=f"{net * 1000:.1f} L",
            allowed=f"less than {outer * 1000:.1f} L",
        )
    ]

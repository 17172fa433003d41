"""Where a lumped model of a box is used outside its validity."""

from __future__ import annotations

import numpy as np

from basswright.records.enclosure import Cuboid, Enclosure
from basswright.sound.air import C_M_PER_S
from basswright.sound.models import Array, BoxModels


def sheet_flags(enclosure: Enclosure) -> tuple[str, ...]:
    """Return what a sheet says that a lumped box model does not cover.

    A port longer than the box is folded, and stands as a pipe: its first resonance, at
    which it is half a wavelength long, is not in the model.

    Parameters
    ----------
    enclosure : Enclosure

    Returns
    -------
    tuple of str
        With the resonance c / 2 L [Hz], the ends left out.

    References
    ----------
    .. [1] L. E. Kinsler et al., Fundamentals of Acoustics, 4th ed., Wiley, 2000, chapter 10
       (resonance of pipes open at both ends).
    """
    port, shape = enclosure.ports, enclosure.shape
    if port is None or port.length_m is None:
        return ()
    depth = shape.depth_m if isinstance(shape, Cuboid) else shape.depth_bottom_m
    longest = max(shape.width_m, shape.height_m, depth)
    if port.length_m <= longest:
        return ()
    pipe_hz = C_M_PER_S / (2 * port.length_m)
    return (
        f"the port ({port.length_m * 1000:.0f} mm) is longer than the box "
        f"({longest * 1000:.0f} mm): it resonates as a pipe near {pipe_hz:.0f} Hz",
    )


def piston_limit_hz(models: BoxModels) -> Array:
    """Return the frequency up to which each cone is small beside the wave [Hz].

    Above it the cone beams and radiates less than a small source.

    Parameters
    ----------
    models : BoxModels
        n boxes in d draws.

    Returns
    -------
    ndarray, shape (n, d)
        Where k a = 1: c / (2 pi a), a the radius of one cone [Hz].

    References
    ----------
    .. [1] L. E. Kinsler et al., Fundamentals of Acoustics, 4th ed., Wiley, 2000, chapter 7
       (plane circular piston in a baffle).
    """
    radius = np.sqrt(models.Sd_m2 / models.count[:, None] / np.pi)
    return np.asarray(C_M_PER_S / (2 * np.pi * radius))


def flags_of(models: BoxModels, frequency_hz: Array) -> tuple[str, ...]:
    """Return the flags of one box, for the frequencies that were asked for.

    Parameters
    ----------
    models : BoxModels
        The first box is told about.
    frequency_hz : ndarray, shape (f,)
        Rising [Hz].

    Returns
    -------
    tuple of str
        Those of its sheet, and that of :func:`piston_limit_hz` where the grid goes beyond.
    """
    own = models.flags[0] if models.flags else ()
    limit = float(piston_limit_hz(models)[0, 0])
    if frequency_hz[-1] <= limit:
        return own
    return (*own, f"above {limit:.0f} Hz the cone is no small source: the level is too high there")

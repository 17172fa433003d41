"""Several amplifiers on several boxes, or one amplifier shared with other speakers."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from pydantic import Field

from basswright.drive.claims import fuse_power_w, outputs_at_once
from basswright.errors import InputError
from basswright.records.amplifier import Amplifier, OutputMode
from basswright.records.base import Record
from basswright.records.system import PowerMatch


class SharedMatch(Record):
    """What is left for the bass when the other channels play as well.

    Attributes
    ----------
    free_channels : int
        Channels left for the car's other speakers.
    bass_w, others_w : float
        Bass power with the others at theirs [W].
    limited : bool
        Whether the fuses cannot stand for both at once.
    note : str
    """

    free_channels: int = Field(description="channels left for the car's other speakers")
    bass_w: float = Field(description="bass power with the others at theirs")
    others_w: float
    limited: bool = Field(description="whether the fuses cannot stand for both at once")
    note: str


class SeveralMatch(Record):
    """Several equal boxes, each on its own output, playing as one.

    Attributes
    ----------
    gain_voltage_v : float
        The same at every box: the lowest of all [V].
    used_w : float
        All boxes together [W].
    more_than_one_db : float
        Over the first box alone, from power only; boxes side by side add to it [dB].
    weakest : int
        Which output sets the common voltage, from 0.
    note : str
    """

    gain_voltage_v: float = Field(description="the same at every box: the lowest of all")
    used_w: float = Field(description="all boxes together")
    more_than_one_db: float = Field(
        description="over the first box alone, from power only (boxes side by side add to it)"
    )
    weakest: int = Field(description="which output sets the common voltage, from 0")
    note: str


def shared(amplifier: Amplifier, match: PowerMatch, *, others_w: float) -> SharedMatch:
    """Tell what an amplifier leaves for the bass when it also drives other speakers.

    Parameters
    ----------
    amplifier : Amplifier
    match : PowerMatch
        How it drives the bass box.
    others_w : float
        RMS power that its other channels are to give, all together [W].

    Returns
    -------
    SharedMatch
        Bass power [W]: what the fuses stand for, less the others'.

    Raises
    ------
    InputError
        All channels are taken by the bass box, or `others_w` is negative.

    References
    ----------
    .. [1] As :func:`~basswright.drive.claims.fuse_power_w`.
    """
    free = amplifier.channels - _channels(match.mode)
    if others_w < 0 or (others_w > 0 and free <= 0):
        raise InputError(
            "no channel is left for other speakers" if others_w > 0 else "a negative power",
            item=amplifier.id,
            field="others_w",
            value=others_w,
            allowed=f"0 W; {amplifier.channels} channels, of which {max(free, 0)} are free",
        )
    bound = fuse_power_w(amplifier)
    left = match.used_w if bound is None else min(match.used_w, max(0.0, bound - others_w))
    limited = left < match.used_w
    note = (
        f"the amplifier's fuses stand for {bound:.0f} W in all"
        if limited
        else "fuses and current are enough for both, as far as the sheet tells"
    )
    return SharedMatch(
        free_channels=free, bass_w=left, others_w=others_w, limited=limited, note=note
    )


def several(matches: Sequence[PowerMatch]) -> SeveralMatch:
    """Set several outputs to the same voltage at equal boxes.

    Boxes that play together must get the same voltage and the same filters, otherwise
    one of them works against or behind the others. The weakest output decides.

    Parameters
    ----------
    matches : sequence of PowerMatch
        Of equal boxes, each on its own output.

    Returns
    -------
    SeveralMatch
        n U^2/R in all [W], 10 log10 of it over the first box's power [dB].

    Raises
    ------
    InputError
        No match, one that does not play, or boxes of different loads.

    References
    ----------
    .. [1] ISO 80000-8 (level of a power quantity, 10 lg of the ratio).
    """
    if not matches or any(match.used_w <= 0 for match in matches):
        raise InputError("every output must drive its box", field="matches")
    loads = {match.load_ohm for match in matches}
    if len(loads) > 1:
        raise InputError(
            "boxes of different loads do not play as one",
            field="load_ohm",
            value=sorted(loads),
            allowed="equal boxes",
        )
    voltages = [match.gain_voltage_v for match in matches]
    weakest = int(np.argmin(voltages))
    each = voltages[weakest] ** 2 / matches[0].load_ohm
    return SeveralMatch(
        gain_voltage_v=voltages[weakest],
        used_w=each * len(matches),
        more_than_one_db=float(10 * np.log10(each * len(matches) / matches[0].used_w)),
        weakest=weakest,
        note="set every gain to this voltage with the same tone, and use the same filters",
    )


def boxes_at_once(amplifier: Amplifier, mode: OutputMode) -> int:
    """Return how many equal boxes an amplifier can drive, each on its own output.

    Parameters
    ----------
    amplifier : Amplifier
    mode : OutputMode

    Returns
    -------
    int
    """
    return outputs_at_once(amplifier, mode)


def _channels(mode: OutputMode) -> int:
    return 2 if mode == "bridged" else 1

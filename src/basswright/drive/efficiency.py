"""What share of the supply's power reaches the loudspeaker, where a sheet is silent."""

from __future__ import annotations

from typing import Final

from basswright.records.amplifier import Amplifier, AmplifierClass

#: Whole 12 V amplifier at full power, converter included (common practice, no source).
#: The output stage alone reaches pi/4 (class AB, theory) or 0.85 to 0.90 (class D).
TYPICAL_EFFICIENCY_SHARE: Final[dict[AmplifierClass, float]] = {
    "D": 0.80,
    "AB": 0.55,
    "G": 0.62,
    "H": 0.65,
}
#: The best that a whole amplifier of the class is seen to reach; used to judge claims.
GREATEST_EFFICIENCY_SHARE: Final[dict[AmplifierClass, float]] = {
    "D": 0.88,
    "AB": 0.65,
    "G": 0.72,
    "H": 0.75,
}
#: Idle current of an amplifier whose sheet does not give it [A] (common practice).
TYPICAL_IDLE_A: Final = 1.2


def efficiency_share(amplifier: Amplifier) -> float:
    """Return the amplifier's efficiency at full power, its own or a typical one [-].

    Parameters
    ----------
    amplifier : Amplifier

    Returns
    -------
    float
        0.80 class D, 0.55 AB, 0.62 G, 0.65 H where its sheet is silent (common practice, no
        source) [-].

    Notes
    -----
    An amplifier of unknown class counts as class D when it is a single-channel one,
    otherwise as class AB, the more thirsty.

    References
    ----------
    .. [1] Output stages alone: pi/4 for class B with a full sine, in any handbook of
       amplifiers; whole amplifiers are common practice, no source.
    """
    if amplifier.efficiency_share is not None:
        return amplifier.efficiency_share
    return TYPICAL_EFFICIENCY_SHARE[assumed_class(amplifier)]


def greatest_efficiency_share(amplifier: Amplifier) -> float:
    """Return the highest efficiency that can be granted when a power claim is judged [-].

    Parameters
    ----------
    amplifier : Amplifier

    Returns
    -------
    float
        Of its class, of class D where that is not known (common practice, no source) [-].
    """
    if amplifier.amplifier_class is None:
        return GREATEST_EFFICIENCY_SHARE["D"]
    return GREATEST_EFFICIENCY_SHARE[amplifier.amplifier_class]


def assumed_class(amplifier: Amplifier) -> AmplifierClass:
    """Return the amplifier's class, or the one that is assumed.

    Parameters
    ----------
    amplifier : Amplifier

    Returns
    -------
    AmplifierClass
        Where not stated: D with one channel, AB with several.
    """
    if amplifier.amplifier_class is not None:
        return amplifier.amplifier_class
    return "D" if amplifier.channels == 1 else "AB"

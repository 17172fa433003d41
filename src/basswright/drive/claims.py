"""Whether an amplifier's figures can be true together, and what to ask when not."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from basswright.drive.efficiency import greatest_efficiency_share
from basswright.drive.standard import STANDARD_SUPPLY_V
from basswright.records.amplifier import Amplifier, OutputMode, PowerRating

#: Fuses pass some overload for the quarter minute that a rating takes (common practice).
FUSE_TOLERANCE_SHARE: Final = 1.25
#: Voltage and current of two ratings may contradict each other by this much [share].
RATING_TOLERANCE_SHARE: Final = 1.02


@dataclass(frozen=True, kw_only=True)
class ClaimProblem:
    """One figure of a data sheet that cannot be taken as it stands.

    Attributes
    ----------
    field : str
        Dotted path of the field in the amplifier's record.
    problem : str
    taken : str
        What is used instead.
    ask : str
        What to ask the supplier, or to measure.
    """

    field: str
    problem: str
    taken: str
    ask: str


def fuse_power_w(amplifier: Amplifier) -> float | None:
    """Return the greatest total RMS power that the amplifier's own fuses can stand for [W].

    Parameters
    ----------
    amplifier : Amplifier

    Returns
    -------
    float or None
        None if neither fuse nor greatest current is known [W].

    Notes
    -----
    P = I V eta: the smaller of the fuses' sum and the stated greatest current, the supply at
    which the ratings hold, and the best efficiency of the class.

    References
    ----------
    .. [1] Energy balance; the efficiencies are common practice, no source.
    """
    limits = [a for a in (amplifier.fuse_a, amplifier.current_a) if a is not None]
    if not limits:
        return None
    supply_v = amplifier.rated_voltage_v or STANDARD_SUPPLY_V
    return min(limits) * supply_v * greatest_efficiency_share(amplifier)


def outputs_at_once(amplifier: Amplifier, mode: OutputMode) -> int:
    """Return how many outputs of a mode the amplifier has at the same time.

    Parameters
    ----------
    amplifier : Amplifier
    mode : OutputMode

    Returns
    -------
    int
        One for "single", the channels, or the pairs of them.
    """
    if mode == "bridged":
        return max(1, amplifier.channels // 2)
    return amplifier.channels if mode == "per-channel" else 1


def consistent_ratings(amplifier: Amplifier, mode: OutputMode) -> list[tuple[float, float]]:
    """Return load and power of a mode, ascending in load, freed of contradictions.

    Parameters
    ----------
    amplifier : Amplifier
    mode : OutputMode

    Returns
    -------
    list of (float, float)
        Load [ohm] and RMS power [W] of one output; ratings that agree come back as they are.

    Notes
    -----
    Where two ratings clash, the smaller voltage U = sqrt(P R) and the smaller current
    I = sqrt(P/R) of the two are believed: into less load an output gives no more volts, into
    more load no more amperes.

    References
    ----------
    .. [1] Ohm's law; a source with an inner resistance (Thévenin's theorem).
    """
    rated: dict[float, float] = {}
    for rating in amplifier.ratings:
        if rating.mode == mode:
            rated[rating.load_ohm] = min(rated.get(rating.load_ohm, np.inf), rating.power_w)
    load = np.array(sorted(rated))
    power = np.array([rated[ohm] for ohm in sorted(rated)])
    for _ in load:
        voltage = np.minimum.accumulate(np.sqrt(power * load)[::-1])[::-1]
        current = np.minimum.accumulate(np.sqrt(power / load))
        power = np.minimum(power, np.minimum(voltage**2 / load, current**2 * load))
    return [(float(ohm), float(w)) for ohm, w in zip(load, power, strict=True)]


def claimed_power_w(amplifier: Amplifier, mode: OutputMode) -> float:
    """Return the greatest total power that the ratings of a mode claim [W].

    Parameters
    ----------
    amplifier : Amplifier
    mode : OutputMode

    Returns
    -------
    float
        All outputs of the mode together; 0 without a rating [W].
    """
    powers = [power for _, power in consistent_ratings(amplifier, mode)]
    return max(powers, default=0.0) * outputs_at_once(amplifier, mode)


def fuse_share(amplifier: Amplifier, mode: OutputMode) -> float:
    """Return the factor that brings a claim down to what the fuses can stand for [-].

    Parameters
    ----------
    amplifier : Amplifier
    mode : OutputMode

    Returns
    -------
    float
        1 while the claim stays within 125 % of it, else bound over claim [-].

    Notes
    -----
    A fuse passes a little overload for the seconds that a rating takes.

    References
    ----------
    .. [1] ISO 8820-3, Road vehicles, Fuse-links (a blade fuse holds 110 % for 100 h and may
       take minutes at 135 %; from memory). The 125 % is common practice, no source.
    """
    bound, claim = fuse_power_w(amplifier), claimed_power_w(amplifier, mode)
    if bound is None or claim <= bound * FUSE_TOLERANCE_SHARE:
        return 1.0
    return bound / claim


def claim_problems(amplifier: Amplifier) -> tuple[ClaimProblem, ...]:
    """List every figure of an amplifier that contradicts another one.

    Recognises a power that its own fuses cannot pass (a peak figure taken for RMS),
    ratings that would need more voltage into less load, or more current into more
    load, and bridged loads below twice the lowest load of a channel.

    Parameters
    ----------
    amplifier : Amplifier

    Returns
    -------
    tuple of ClaimProblem
        Empty where all agree; powers in [W], loads in [ohm].
    """
    found: list[ClaimProblem] = []
    for mode in ("single", "per-channel", "bridged"):
        found += _fuse_problem(amplifier, mode)
        found += _order_problems(amplifier, mode)
    return (*found, *_bridge_problems(amplifier))


def _fuse_problem(amplifier: Amplifier, mode: OutputMode) -> list[ClaimProblem]:
    if fuse_share(amplifier, mode) >= 1.0:
        return []
    bound = fuse_power_w(amplifier) or 0.0
    claim = claimed_power_w(amplifier, mode)
    return [
        ClaimProblem(
            field="ratings",
            problem=f"{claim:.0f} W ({mode}) is more than its fuses or its stated current "
            f"can stand for ({bound:.0f} W): most likely a peak figure",
            taken=f"at most {bound:.0f} W in all",
            ask="continuous (RMS) power at 1 % distortion, and the fuses on the amplifier",
        )
    ]


def _order_problems(amplifier: Amplifier, mode: OutputMode) -> list[ClaimProblem]:
    ratings = sorted(
        (rating for rating in amplifier.ratings if rating.mode == mode), key=lambda r: r.load_ohm
    )
    found: list[ClaimProblem] = []
    for lower, upper in pairwise(ratings):
        text = _contradiction(lower, upper)
        if text:
            found.append(
                ClaimProblem(
                    field="ratings",
                    problem=f"{text} ({mode})",
                    taken="the smaller voltage and the smaller current of the two",
                    ask=f"RMS power into {lower.load_ohm:g} and {upper.load_ohm:g} ohm, "
                    "measured in the same way",
                )
            )
    return found


def _contradiction(lower: PowerRating, upper: PowerRating) -> str:
    load = upper.load_ohm / lower.load_ohm
    if load <= 1.0:
        differ = lower.power_w != upper.power_w
        return f"two powers for {lower.load_ohm:g} ohm" if differ else ""
    both = (
        f"{lower.power_w:g} W into {lower.load_ohm:g} ohm and "
        f"{upper.power_w:g} W into {upper.load_ohm:g} ohm"
    )
    if lower.power_w > upper.power_w * load * RATING_TOLERANCE_SHARE:
        return f"{both} would need more voltage into the smaller load"
    if upper.power_w > lower.power_w * load * RATING_TOLERANCE_SHARE:
        return f"{both} would need more current into the greater load"
    return ""


def _bridge_problems(amplifier: Amplifier) -> list[ClaimProblem]:
    lowest = amplifier.lowest_bridged_ohm
    rated = [r.load_ohm for r in amplifier.ratings if r.mode == "bridged"]
    safe = max([2 * amplifier.lowest_load_ohm, *([min(rated)] if rated else [])])
    if rated and lowest is None:
        return [
            ClaimProblem(
                field="lowest_bridged_ohm",
                problem="bridged power is rated, but no lowest bridged load is given",
                taken=f"{safe:g} ohm",
                ask="the lowest load allowed when bridged",
            )
        ]
    if lowest is not None and lowest < 2 * amplifier.lowest_load_ohm * 0.999:
        return [
            ClaimProblem(
                field="lowest_bridged_ohm",
                problem=f"bridged, each channel sees half the load: {lowest:g} ohm would be "
                f"{lowest / 2:g} ohm a channel, below its lowest of "
                f"{amplifier.lowest_load_ohm:g} ohm",
                taken=f"{2 * amplifier.lowest_load_ohm:g} ohm",
                ask="the lowest load allowed when bridged",
            )
        ]
    return []

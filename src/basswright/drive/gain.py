"""How the gain is set: meter voltage, range of the control, clipping margin."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from basswright.records.amplifier import Amplifier
from basswright.records.car import HeadUnit

#: Tone of the set-up: within the bass box's range and within what a meter reads [Hz].
TONE_HZ: Final = 50.0
#: Level of the set-up tone [dB re full scale]; records are seldom louder in the bass.
TONE_DBFS: Final = -5.0


def gain_voltage(power_w: ArrayLike, load_ohm: ArrayLike) -> NDArray[np.float64]:
    """Return the RMS voltage of a power in a load [V].

    Parameters
    ----------
    power_w : array_like
        RMS, 0 or more [W].
    load_ohm : array_like
        Nominal total load, and not the resistance that an ohmmeter reads [ohm].

    Returns
    -------
    ndarray, broadcast of both
        sqrt(P R) [V].

    References
    ----------
    .. [1] Ohm's law with the rated impedance, as IEC 60268-3 defines rated output power (from
       memory).
    """
    power, load = np.asarray(power_w, dtype=float), np.asarray(load_ohm, dtype=float)
    return np.asarray(np.sqrt(power * load))


def tone_voltage(gain_voltage_v: ArrayLike, tone_dbfs: ArrayLike) -> NDArray[np.float64]:
    """Return what the meter reads with a sine below full scale [V].

    Parameters
    ----------
    gain_voltage_v : array_like
        RMS with a full-scale sine [V].
    tone_dbfs : array_like
        Level of the tone, 0 or less [dB re full scale].

    Returns
    -------
    ndarray, broadcast of both
        U 10^(x/20) [V].

    References
    ----------
    .. [1] IEC 61606-1 and AES17, level in dB of full scale: a full-scale sine is 0 dB FS (from
       memory).
    """
    level = np.asarray(tone_dbfs, dtype=float)
    return np.asarray(np.asarray(gain_voltage_v, dtype=float) * 10 ** (level / 20))


@dataclass(frozen=True, kw_only=True)
class GainRange:
    """Whether the gain control reaches the voltage that is wanted.

    Attributes
    ----------
    gain_db : float
        From the radio's full-scale output to the terminals [dB].
    least_db, most_db : float or None
        Ends of the control [dB]; None where the sheet does not give the input voltages.
    reached : bool or None
        None where that cannot be told.
    text : str
        The same for a person.
    """

    gain_db: float
    least_db: float | None
    most_db: float | None
    reached: bool | None
    text: str


def gain_range(
    gain_voltage_v: float,
    head_unit: HeadUnit,
    amplifier: Amplifier | None = None,
    *,
    rated_voltage_v: float | None = None,
) -> GainRange:
    """Tell how much gain is needed and whether the amplifier's control has it.

    Parameters
    ----------
    gain_voltage_v : float
        RMS at the terminals with a full-scale sine [V].
    head_unit : HeadUnit
    amplifier : Amplifier, optional
        Its input voltages for rated power give the ends of the control.
    rated_voltage_v : float, optional
        RMS at the terminals at that rated power [V].

    Returns
    -------
    GainRange
        20 log10 of terminal over input voltage [dB].

    Notes
    -----
    With a converter from speaker to line level in between, the ends of the control say
    nothing until its ratio is known; then `reached` is None.

    References
    ----------
    .. [1] ISO 80000-8 (level of a root-power quantity, 20 lg of the ratio).
    """
    needed = float(20 * np.log10(max(gain_voltage_v, 1e-6) / head_unit.output_v))
    low = high = None
    converted = head_unit.signal == "speaker" and not (amplifier and amplifier.speaker_input)
    if amplifier is not None and rated_voltage_v and not converted:
        low, high = amplifier.input_high_v, amplifier.input_low_v
    least = None if low is None or not rated_voltage_v else _decibel(rated_voltage_v / low)
    most = None if high is None or not rated_voltage_v else _decibel(rated_voltage_v / high)
    source = f"{head_unit.output_v:g} V at full scale from the radio, {needed:.1f} dB of gain"
    if most is not None and needed > most + 0.05:
        text = (
            f"{source}: the control ends at {most:.1f} dB; a radio or line driver with at least "
            f"{gain_voltage_v / 10 ** (most / 20):.1f} V is needed"
        )
        return GainRange(gain_db=needed, least_db=least, most_db=most, reached=False, text=text)
    if least is not None and needed < least - 0.05:
        text = (
            f"{source}: even fully down the control gives {least:.1f} dB; lower the radio's "
            f"output or its bass level by {least - needed:.1f} dB"
        )
        return GainRange(gain_db=needed, least_db=least, most_db=most, reached=False, text=text)
    reached = True if most is not None and least is not None else None
    if converted:
        source += ", the converter's own included; set the converter to its clean output first"
    elif reached is None:
        source += " (the amplifier's sheet does not tell the ends of its control)"
    return GainRange(gain_db=needed, least_db=least, most_db=most, reached=reached, text=source)


def _decibel(ratio: float) -> float:
    return float(20 * np.log10(ratio))


def set_up_steps(gain_voltage_v: float, head_unit: HeadUnit) -> tuple[str, ...]:
    """Return how the gain is set with a meter, step by step.

    Parameters
    ----------
    gain_voltage_v : float
        RMS at the terminals with a full-scale sine [V].
    head_unit : HeadUnit

    Returns
    -------
    tuple of str
        With the reading of a 50 Hz tone 5 dB below full scale.
    """
    reading = float(tone_voltage(gain_voltage_v, TONE_DBFS))
    return (
        "Disconnect the bass box, turn the gain fully down, bass boost and tone controls off.",
        f"Play a {TONE_HZ:.0f} Hz sine at {-TONE_DBFS:g} dB below full scale "
        f"({head_unit.output_v:g} V radio, volume at the highest clean setting).",
        "Set a true-RMS meter that is valid at that frequency to AC volts, at the output.",
        f"Turn the gain up until it reads {reading:.1f} V RMS; a full-scale sine then gives "
        f"{gain_voltage_v:.1f} V RMS. Stop there and mark the place.",
        "Turn the radio down, switch off, connect the box, and check at low level first.",
    )


def signal_cautions(head_unit: HeadUnit, amplifier: Amplifier | None) -> tuple[str, ...]:
    """Return what to mind with the signal, the turn-on lead and the grounds.

    Parameters
    ----------
    head_unit : HeadUnit
    amplifier : Amplifier or None
        None for the one that is built into the box.

    Returns
    -------
    tuple of str
    """
    cautions: list[str] = []
    if head_unit.signal == "speaker":
        takes = amplifier is not None and amplifier.speaker_input
        cautions.append(
            "The radio gives speaker level: use the amplifier's speaker input, and never join "
            "its two speaker leads or ground one of them (bridged radio outputs)."
            if takes
            else "The radio gives speaker level: a converter rated for its power is needed, "
            "unless the amplifier has a speaker input."
        )
    senses = amplifier is not None and amplifier.signal_sensing
    cautions.append(
        "The amplifier turns itself on by the signal; check that it turns off again within "
        "minutes of switching off."
        if senses
        else "Take the turn-on lead from the radio's remote output or a switched supply "
        "(terminal 15 or 75), fused at 1 A or less where it is tapped; never from terminal 30."
    )
    cautions.append(
        "Keep signal leads apart from the supply cable; ground radio and amplifier at clean "
        "body metal. A whine that follows engine speed points to a ground loop: move the "
        "ground, or use an isolating transformer in the signal; never lift a ground."
    )
    return tuple(cautions)

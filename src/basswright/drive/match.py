"""The best way to drive one box with one amplifier, told so that it can be wired."""

from __future__ import annotations

from typing import Final

import numpy as np

from basswright.drive.built_in import built_in_match
from basswright.drive.gain import gain_range, set_up_steps, signal_cautions
from basswright.drive.match_table import ZONES, MatchTable, match_table
from basswright.drive.outputs import OutputTable, outputs
from basswright.drive.ranges import power_ranges
from basswright.drive.wirings import joining_text
from basswright.errors import InputError
from basswright.records.amplifier import Amplifier, OutputMode
from basswright.records.car import HeadUnit
from basswright.records.enclosure import Enclosure
from basswright.records.system import PowerMatch

_JOIN: Final[dict[OutputMode, str]] = {
    "single": "Join the amplifier's bass output + to the box's +, - to -.",
    "per-channel": "Join one channel's + to the box's +, its - to -; the other channels stay "
    "free for the car's speakers. Feed that channel with the mono sum.",
    "bridged": "Bridge two channels: join the + that the amplifier marks for bridging (as a "
    "rule the first channel's) to the box's +, and the - marked so (as a rule the second "
    "channel's) to the box's -. Neither may touch the body. Each channel sees half the load.",
}
_COIL_CAUTION: Final = (
    "Check the total load with an ohmmeter at the box before joining: its reading is as a rule "
    "80 to 95 % of the nominal load. A much lower one means another wiring or a fault."
)


def match(
    enclosure: Enclosure,
    amplifier: Amplifier | None,
    *,
    supply_voltage_v: float,
    head_unit: HeadUnit,
    mode: OutputMode | None = None,
) -> PowerMatch:
    """Choose how an amplifier drives a box, and say how well they suit each other.

    Parameters
    ----------
    enclosure : Enclosure
    amplifier : Amplifier or None
        None for the amplifier that is built into the box.
    supply_voltage_v : float
        Supply at the amplifier, engine running [V].
    head_unit : HeadUnit
    mode : OutputMode, optional
        Use this output and no other.

    Returns
    -------
    PowerMatch
        Of the output that passes with the most power [W]; if none passes, the one that
        comes nearest.

    Raises
    ------
    InputError
        The box's total load is not known, it has no built-in amplifier although that
        one was asked for, or the amplifier has no output of the mode asked for.
    """
    if amplifier is None:
        return built_in_match(enclosure, supply_voltage_v, head_unit)
    if enclosure.load_ohm is None:
        raise InputError(
            "the total load is not known",
            item=enclosure.id,
            field="load_ohm",
            allowed="ohms from the supplier; an ohmmeter at the terminals reads 80 to 95 % of it",
        )
    table = outputs([amplifier])
    ranges = power_ranges([enclosure])
    pairs = match_table(
        enclosure.load_ohm,
        ranges.low_w,
        ranges.high_w,
        table,
        supply_voltage_v=supply_voltage_v,
        range_estimated=ranges.estimated,
    )
    return _record(enclosure, amplifier, table, pairs, (head_unit, _best(table, pairs, mode)))


def _best(table: OutputTable, pairs: MatchTable, mode: OutputMode | None) -> int:
    """Return the output asked for, or the one that passes with most power.

    Of equal ones that with the fewest channels; if none passes, the one that comes
    nearest.
    """
    if mode is not None:
        if mode not in table.modes:
            raise InputError(
                "the amplifier has no such output",
                field="mode",
                value=mode,
                allowed=", ".join(table.modes),
            )
        return table.modes.index(mode)
    order = np.lexsort(
        (table.channels_used, -pairs.margin_db[0], -pairs.used_w[0], ~pairs.passes[0])
        if pairs.passes[0].any()
        else (table.channels_used, -pairs.margin_db[0])
    )
    return int(order[0])


def _record(
    enclosure: Enclosure,
    amplifier: Amplifier,
    table: OutputTable,
    pairs: MatchTable,
    chosen: tuple[HeadUnit, int],
) -> PowerMatch:
    head_unit, best = chosen
    available, used = float(pairs.available_w[0, best]), float(pairs.used_w[0, best])
    voltage = float(pairs.voltage_limit_v[0, best])
    load = float(pairs.load_ohm[0])
    gain = gain_range(
        voltage, head_unit, amplifier, rated_voltage_v=float(table.voltage_v[best, -1])
    )
    plays = used > 0
    notes = [*table.notes[best], *_range_notes(enclosure, pairs)]
    if not pairs.sure[0, best] and not pairs.range_estimated[0]:
        notes.append(f"no rating near {load:g} ohm: worked out from the nearest one")
    if plays:
        notes += [gain.text, _margin_text(available, used, float(pairs.below_top_db[0, best]))]
    return PowerMatch(
        mode=table.modes[best],
        load_ohm=load,
        wiring=_wiring(enclosure, table.modes[best], load),
        pairs=1 if enclosure.terminals is None else enclosure.terminals.pairs,
        pair_ohm=None if enclosure.terminals is None else enclosure.terminals.load_ohm,
        available_w=available,
        used_w=used,
        gain_voltage_v=voltage,
        zone=ZONES[int(pairs.zone_index[0, best])],
        below_top_db=float(pairs.below_top_db[0, best]),
        verdict=pairs.verdict(0, best),
        current_limit_a=float(pairs.current_limit_a[0, best]) if plays else None,
        gain_db=gain.gain_db if plays else None,
        set_up=set_up_steps(voltage, head_unit) if plays else (),
        notes=tuple(notes),
        cautions=(_COIL_CAUTION, *signal_cautions(head_unit, amplifier)),
    )


def _wiring(enclosure: Enclosure, mode: OutputMode, load_ohm: float) -> str:
    """Tell how the box's own terminals are joined, where it has several, and the output."""
    if enclosure.terminals is None:
        return _JOIN[mode]
    return f"{joining_text(enclosure.terminals, load_ohm)} {_JOIN[mode]}"


def _range_notes(enclosure: Enclosure, pairs: MatchTable) -> list[str]:
    if not pairs.range_estimated[0]:
        return []
    low, high = float(pairs.power_low_w[0]), float(pairs.power_high_w[0])
    return [
        f"power range of the box not fully stated: {low:.0f} to {high:.0f} W RMS taken from "
        f"cones of {enclosure.driver.size_m * 1000:.0f} mm (estimate; ask the supplier)"
    ]


def _margin_text(available_w: float, used_w: float, below_top_db: float) -> str:
    headroom = 10 * np.log10(available_w / used_w)
    text = f"clipping margin of the amplifier with the gain set: {headroom:.1f} dB"
    if below_top_db > 0:
        text += (
            f"; the box could take {below_top_db:.1f} dB more, which would be heard as "
            f"{_heard(below_top_db)}"
        )
    return text


def _heard(difference_db: float) -> str:
    """Say what a difference in level means to a listener (common practice, no source)."""
    if difference_db < 1.0:
        return "next to nothing"
    if difference_db < 3.0:
        return "a small step"
    return "a clear step" if difference_db < 6.0 else "much louder"

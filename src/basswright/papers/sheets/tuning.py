"""The tuning sheet: gain with a meter, filters, polarity and delay, equaliser."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from basswright.papers.blocks import (
    Blanks,
    Block,
    Checklist,
    Column,
    Figure,
    Figures,
    Heading,
    KeyFigures,
    Notice,
    Paper,
    Points,
    Table,
    Text,
)
from basswright.papers.pen import Pen
from basswright.records.tuning import FilterFamily

#: Levels at which test tones are usually recorded [dB re full scale].
TONE_LEVELS_DBFS: Final = (0.0, -5.0, -10.0)


_Corner = Callable[[float, float, FilterFamily | None], str]


def tone_voltage_v(gain_voltage_v: float, level_dbfs: float) -> float:
    """Return the voltage that a tone below full scale must show [V RMS].

    Parameters
    ----------
    gain_voltage_v : float
        Voltage that a tone at full scale must show [V RMS].
    level_dbfs : float
        Level of the tone [dB re full scale].

    Notes
    -----
    A tone at x dBFS shows 10^(x/20) of the voltage at full scale.
    """
    return float(gain_voltage_v * 10.0 ** (level_dbfs / 20.0))


def tuning(pen: Pen) -> Paper:
    """Write the tuning sheet."""
    say, system = pen.say, pen.facts.system
    blocks: list[Block] = [
        pen.job_facts(),
        Notice(
            title=say("tuning.before_title"),
            items=(*pen.list("tuning.before"), *pen.sentences(pen.facts.tuning.cautions)),
        ),
        Heading(text=say("tuning.gain")),
        *(_gain(pen) if system.amplifier else _gain_built_in(pen)),
        Heading(text=say("tuning.filters")),
        _settings(pen),
        Heading(text=say("tuning.equaliser")),
        *_equaliser(pen),
    ]
    if pen.facts.tuning.notes:
        notes = pen.sentences(pen.facts.tuning.notes)
        blocks += [Heading(text=say("tuning.notes")), Points(items=notes)]
    blocks += [
        Heading(text=say("tuning.done")),
        Blanks(labels=pen.list("tuning.done_labels")),
        Heading(text=say("tuning.expected")),
        pen.response(say("tuning.response_caption"), 76),
        _small_charts(pen),
        *_estimates(pen),
    ]
    return pen.paper("tuning", tuple(blocks), box=system.box, car=pen.facts.head.car)


def _gain(pen: Pen) -> list[Block]:
    say, write, settings = pen.say, pen.write, pen.facts.tuning
    system = pen.facts.system
    key = KeyFigures(
        items=(
            (
                write.voltage(settings.gain_voltage_v),
                say("tuning.gain_value"),
                say("tuning.gain_value_note"),
            ),
            (
                write.frequency(settings.tone_hz),
                say("tuning.gain_tone"),
                say("tuning.gain_tone_note"),
            ),
            (
                write.power(system.power_w),
                say("tuning.gain_power"),
                say("tuning.gain_power_note", load=write.load(system.load_ohm)),
            ),
        )
    )
    table = Table(
        columns=(
            Column(head=say("tuning.gain_table_tone"), width=1.0),
            Column(head=say("tuning.gain_table_voltage"), width=1.0),
            Column(head=say("tuning.as_set"), width=1.0, write_in=True),
        ),
        rows=tuple(
            (
                say("tuning.gain_dbfs", level=_signed(pen, level)),
                write.voltage(tone_voltage_v(settings.gain_voltage_v, level), 2),
                "",
            )
            for level in sorted({*TONE_LEVELS_DBFS, settings.tone_level_dbfs}, reverse=True)
        ),
    )
    return [key, table, Checklist(items=pen.list("tuning.gain_steps"), numbered=True)]


def _gain_built_in(pen: Pen) -> list[Block]:
    return [
        Text(text=pen.say("tuning.gain_built_in")),
        Checklist(items=pen.list("tuning.gain_built_in_steps"), numbered=True),
    ]


def _signed(pen: Pen, level: float) -> str:
    return (
        "0" if level == 0 else f"\N{MINUS SIGN}{pen.write.number(abs(level), int(level % 1 != 0))}"
    )


def _settings(pen: Pen) -> Table:
    say, write, settings = pen.say, pen.write, pen.facts.tuning

    def corner(frequency_hz: float, slope_db: float, family: FilterFamily | None) -> str:
        slope = write.quantity(slope_db, "dB")
        value = say("tuning.filter_value", frequency=write.frequency(frequency_hz), slope=slope)
        return value if family is None else f"{value}, {say(f'tuning.family_{family}')}"

    def delay(delay_s: float | None) -> str:
        return say("tuning.delay_free") if delay_s is None else write.milliseconds(delay_s)

    front = settings.front_high_pass_hz
    low_pass = corner(
        settings.low_pass_hz, settings.low_pass_db_per_octave, settings.low_pass_family
    )
    polarity = settings.polarity or "try-both"
    rows = (
        ("low_pass", low_pass),
        ("infrasonic", _infrasonic(pen, corner)),
        ("front_high_pass", say("tuning.front_free") if front is None else write.frequency(front)),
        ("polarity", say(f"tuning.polarity_{polarity}")),
        ("bass_delay", delay(settings.bass_delay_s)),
        ("front_delay", delay(settings.front_delay_s)),
        ("volume", say("tuning.volume_value")),
    )
    return Table(
        columns=(
            Column(head=say("tuning.setting"), width=0.9),
            Column(head=say("tuning.to_set"), width=1.2),
            Column(head=say("tuning.as_set"), width=0.7, write_in=True),
        ),
        rows=tuple((say(f"tuning.{name}"), value, "") for name, value in rows),
    )


def _infrasonic(pen: Pen, corner: _Corner) -> str:
    settings = pen.facts.tuning
    if settings.infrasonic_hz is not None:
        return corner(
            settings.infrasonic_hz, settings.infrasonic_db_per_octave, settings.infrasonic_family
        )
    system = pen.facts.system
    if system.box_kind == "closed":
        return pen.say("tuning.infrasonic_none")
    return pen.say("tuning.infrasonic_unknown" if system.tuning_hz is None else "tuning.off")


def _equaliser(pen: Pen) -> list[Block]:
    say, write, settings = pen.say, pen.write, pen.facts.tuning
    if not settings.bands:
        limit = write.frequency(pen.facts.promise.low_limit_hz)
        return [Text(text=say("tuning.equaliser_none", frequency=limit))]
    return [
        Table(
            columns=(
                Column(head=say("tuning.eq_band")),
                Column(head=say("tuning.eq_frequency"), align="right", width=1.0),
                Column(head=say("tuning.eq_gain"), align="right", width=1.0),
                Column(head=say("tuning.eq_q"), align="right", width=1.0),
                Column(head=say("tuning.as_set"), width=1.2, write_in=True),
            ),
            rows=tuple(
                (
                    str(index),
                    write.frequency(band.frequency_hz),
                    write.signed(band.gain_db, "dB"),
                    write.number(band.Q, 2),
                    "",
                )
                for index, band in enumerate(settings.bands, start=1)
            ),
        )
    ]


def _estimates(pen: Pen) -> list[Block]:
    estimates = pen.facts.tuning.estimates
    if not estimates:
        return []
    return [
        Heading(text=pen.say("tuning.estimates")),
        Points(items=pen.sentences(estimates)),
    ]


def _small_charts(pen: Pen) -> Figures:
    return Figures(
        items=tuple(
            Figure(
                figure=name,
                caption=pen.say(f"tuning.{name}_caption"),
                alt=pen.say(f"tuning.{name}_alt"),
                height_mm=44,
            )
            for name in ("excursion", "impedance")
        )
    )

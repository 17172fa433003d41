"""The acceptance record: what was promised, what was measured, who signed."""

from __future__ import annotations

from basswright.papers.blocks import (
    Blanks,
    Block,
    Checklist,
    Column,
    Heading,
    Notice,
    Paper,
    Signatures,
    Table,
    Text,
)
from basswright.papers.pen import Pen
from basswright.papers.prints import limit_name


def acceptance(pen: Pen) -> Paper:
    """Write the acceptance record."""
    say, facts = pen.say, pen.facts
    blocks: tuple[Block, ...] = (
        pen.job_facts(),
        Text(text=say("acceptance.lead")),
        Heading(text=say("acceptance.promise")),
        _promise(pen),
        Heading(text=say("acceptance.electrical")),
        _electrical(pen),
        Heading(text=say("acceptance.bands")),
        _bands(pen),
        Heading(text=say("acceptance.checks")),
        Checklist(items=pen.list("acceptance.checks_list"), columns=2),
        Heading(text=say("acceptance.instruments")),
        Blanks(labels=pen.list("acceptance.instrument_labels")),
        Heading(text=say("acceptance.verdict_open")),
        *_verdict(pen),
        Heading(text=say("acceptance.sign")),
        Signatures(
            items=(
                (say("acceptance.sign_customer"), say("acceptance.sign_under")),
                (say("acceptance.sign_workshop"), say("acceptance.sign_under")),
            )
        ),
    )
    return pen.paper("acceptance", blocks, box=facts.system.box, car=facts.head.car)


def _promise(pen: Pen) -> Table:
    say, write, promise = pen.say, pen.write, pen.facts.promise
    measured = pen.facts.measured
    level, low = measured.level_db, measured.low_limit_hz
    share = write.share(promise.certainty_share)
    return Table(
        columns=(
            Column(head=say("acceptance.what"), width=1.3),
            Column(head=f"{say('acceptance.promised')} ({share})"),
            Column(head=say("acceptance.expected"), align="right"),
            Column(head=say("acceptance.measured"), width=0.6, write_in=True),
            Column(head=say("acceptance.kept"), width=0.3, write_in=True),
        ),
        rows=(
            (
                say("acceptance.level"),
                say("acceptance.at_least", value=write.level(promise.sure_level_db)),
                write.level(promise.level_db),
                "" if level is None else write.level(level),
                _answer(pen, None if level is None else level >= promise.sure_level_db),
            ),
            (
                say("acceptance.low"),
                say("acceptance.at_most", value=pen.low_limit(promise.sure_low_limit_hz)),
                pen.low_limit(promise.low_limit_hz),
                "" if low is None else write.frequency(low),
                _answer(pen, None if low is None else low <= promise.sure_low_limit_hz),
            ),
        ),
    )


def _answer(pen: Pen, kept: bool | None) -> str:
    if kept is None:
        return ""
    return pen.say("acceptance.bullet_yes" if kept else "acceptance.bullet_no")


def _electrical(pen: Pen) -> Table:
    say, write, supply, measured = pen.say, pen.write, pen.facts.supply, pen.facts.measured

    def voltage(value: float | None, digits: int) -> str:
        return "" if value is None else write.voltage(value, digits)

    drain = measured.standing_drain_a
    peak = f"{write.current(supply.peak_current_a)} / {write.current(supply.average_current_a)}"
    rows = (
        (
            "gain",
            write.voltage(pen.facts.tuning.gain_voltage_v, 2),
            voltage(measured.gain_voltage_v, 2),
        ),
        (
            "drop",
            say("acceptance.at_most", value=write.voltage(supply.drop_v, 2)),
            voltage(measured.drop_v, 2),
        ),
        (
            "amplifier_voltage",
            say("acceptance.at_least", value=write.voltage(supply.amplifier_voltage_v, 1)),
            voltage(measured.amplifier_voltage_v, 1),
        ),
        ("running", write.voltage(supply.running_voltage_v), ""),
        ("peak", peak, ""),
        ("idle", write.signed(supply.idle_balance_a, "A", 0), ""),
        (
            "drain",
            say("acceptance.at_most", value=write.current(supply.standing_drain_a)),
            "" if drain is None else write.current(drain),
        ),
    )
    shown = rows if pen.facts.system.amplifier else rows[1:]
    return Table(
        columns=(
            Column(head=say("acceptance.what"), width=1.3),
            Column(head=say("acceptance.expected"), width=0.8),
            Column(head=say("acceptance.measured"), width=0.6, write_in=True),
        ),
        rows=tuple((say(f"acceptance.{name}"), *values) for name, *values in shown),
    )


def _bands(pen: Pen) -> Table:
    say, write, promise = pen.say, pen.write, pen.facts.promise
    margins = {band.frequency_hz: band.margin_db for band in pen.facts.measured.bands}
    return Table(
        columns=(
            Column(head=say("acceptance.band")),
            Column(head=say("acceptance.band_expected"), align="right"),
            Column(head=say("acceptance.band_range"), align="right"),
            Column(head=say("acceptance.band_limit"), width=1.0),
            Column(head=say("acceptance.measured"), width=0.6, write_in=True),
        ),
        rows=tuple(
            (
                write.frequency(band.frequency_hz),
                write.level(band.level_db),
                f"{write.number(band.low_db, 1)} – {write.level(band.high_db)}",
                limit_name(band.limit, pen.words),
                _margin(pen, margins.get(band.frequency_hz)),
            )
            for band in promise.bands
        ),
        note=say("acceptance.cabin", model=pen.told(promise.cabin_model).rstrip(".")),
    )


def _margin(pen: Pen, margin_db: float | None) -> str:
    if margin_db is None:
        return ""
    return pen.say("acceptance.band_margin", margin=pen.write.signed(margin_db, "dB"))


def _verdict(pen: Pen) -> list[Block]:
    say, measured = pen.say, pen.facts.measured
    if measured.kept is None:
        return [
            Checklist(items=pen.list("acceptance.verdict_options"), columns=2),
            Blanks(labels=pen.list("acceptance.remark_labels"), columns=1),
        ]
    title = say("acceptance.verdict_kept" if measured.kept else "acceptance.verdict_not_kept")
    return [
        Notice(
            title=title,
            items=pen.sentences(measured.remarks),
            level="note" if measured.kept else "caution",
        )
    ]

"""The customer's own sheet: what to expect, engine off, ears, care, the promise."""

from __future__ import annotations

import math
from typing import Final

from basswright.papers.blocks import (
    Block,
    Column,
    Heading,
    KeyFigures,
    Notice,
    Paper,
    Points,
    Table,
    Text,
)
from basswright.papers.hearing import TABLE_DBA, niosh_daily_s, who_weekly_s
from basswright.papers.pen import Pen
from basswright.papers.prints import limit_name

#: Lowest notes, equal temperament with A4 = 440 Hz (ISO 16): C0, A0, B0, E1.
REACHES: Final = (
    (16.35, "organ"),
    (27.50, "piano"),
    (30.87, "five"),
    (41.20, "four"),
)

#: Where deep bass is judged on this sheet [Hz].
_DEEP_HZ: Final = 40.0


def reach(low_limit_hz: float) -> str:
    """Return which instrument's lowest note a low limit reaches."""
    return next((name for note_hz, name in REACHES if low_limit_hz <= note_hz), "drum")


def customer(pen: Pen) -> Paper:
    """Write the customer's sheet."""
    say, facts = pen.say, pen.facts
    head = facts.head
    ask = "customer.contact" if head.workshop else "customer.contact_unnamed"
    blocks: tuple[Block, ...] = (
        Text(text=say("customer.lead"), lead=True),
        Heading(text=say("customer.expect")),
        _key_figures(pen),
        Points(items=_plain_words(pen)),
        pen.response(say("customer.response_caption"), 74),
        Heading(text=say("customer.promise")),
        _promise(pen),
        Heading(text=say("customer.engine")),
        Text(text=_engine_off(pen)),
        Heading(text=say("customer.hearing_title")),
        Text(text=say("customer.hearing"), keep=True),
        _hearing(pen),
        Notice(
            title=say("customer.hearing_title"),
            items=(_bass_reading(pen), say("customer.hearing_road")),
        ),
        Heading(text=say("customer.care")),
        Points(items=pen.list("customer.care_list")),
        Text(text=say(ask, workshop=head.workshop, number=head.number)),
    )
    return pen.paper("customer", blocks, box=facts.system.box, car=head.car)


def _key_figures(pen: Pen) -> KeyFigures:
    write, promise = pen.write, pen.facts.promise
    figures = (
        ("level", write.level(promise.sure_level_db)),
        ("low", pen.low_limit(promise.sure_low_limit_hz)),
        ("engine_off", write.duration(promise.engine_off_s)),
        ("luggage", write.volume(promise.luggage_left_m3)),
    )
    return KeyFigures(
        items=tuple(
            (value, pen.say(f"customer.{name}"), pen.say(f"customer.{name}_note"))
            for name, value in figures
        )
    )


def _plain_words(pen: Pen) -> tuple[str, ...]:
    say, write, promise = pen.say, pen.write, pen.facts.promise
    difference = promise.sure_level_db - promise.wished_level_db
    if abs(difference) < 0.5:
        loudness = say("customer.as_loud")
    else:
        key = "customer.louder" if difference > 0 else "customer.softer"
        loudness = say(key, difference=write.level(abs(difference)))
    loudest = max(promise.bands, key=lambda band: band.level_db)
    deep = min(promise.bands, key=lambda band: abs(band.frequency_hz - _DEEP_HZ))
    where = say(
        "customer.loudest_at",
        frequency=write.frequency(loudest.frequency_hz),
        limit=limit_name(deep.limit, pen.words),
    )
    return say(f"customer.reach_{reach(promise.sure_low_limit_hz)}"), loudness, where


def _promise(pen: Pen) -> Table:
    say, write, promise = pen.say, pen.write, pen.facts.promise
    share = write.share(promise.certainty_share)
    return Table(
        columns=(
            Column(head=say("customer.promise_what"), width=1.0),
            Column(head=say("customer.promise_sure", share=share), align="right"),
            Column(head=say("customer.promise_expected"), align="right"),
            Column(head=say("customer.promise_wished"), align="right"),
        ),
        rows=(
            (
                say("customer.promise_level"),
                write.level(promise.sure_level_db),
                write.level(promise.level_db),
                write.level(promise.wished_level_db),
            ),
            (
                say("customer.promise_low"),
                pen.low_limit(promise.sure_low_limit_hz),
                pen.low_limit(promise.low_limit_hz),
                write.frequency(promise.wished_low_limit_hz),
            ),
            (
                say("customer.promise_luggage"),
                write.volume(promise.luggage_left_m3),
                write.volume(promise.luggage_left_m3),
                write.volume(promise.luggage_wished_m3),
            ),
        ),
        note=say("customer.promise_text"),
    )


def _engine_off(pen: Pen) -> str:
    duration_s, standing_s = pen.facts.promise.engine_off_s, pen.facts.supply.standing_s
    if duration_s < 60:
        text = pen.say("customer.engine_none")
    else:
        text = pen.say("customer.engine_text", duration=pen.write.duration(duration_s))
    if standing_s is not None:
        days = pen.write.number(math.floor(standing_s / 86400))
        text = f"{text} {pen.say('customer.parked', days=days)}"
    return text


def _hearing(pen: Pen) -> Table:
    say, write = pen.say, pen.write
    days, weeks = niosh_daily_s(TABLE_DBA), who_weekly_s(TABLE_DBA)

    def a_day(duration_s: float) -> str:
        if duration_s >= 24 * 3600:
            return say("customer.hearing_unlimited")
        return write.duration(duration_s)

    return Table(
        columns=(
            Column(head=say("customer.hearing_level"), width=0.5),
            Column(head=say("customer.hearing_day"), align="right", width=1.0),
            Column(head=say("customer.hearing_week"), align="right", width=1.2),
        ),
        rows=tuple(
            (
                say("customer.hearing_dba", level=write.number(level)),
                a_day(float(day)),
                write.duration(float(week)),
            )
            for level, day, week in zip(TABLE_DBA, days, weeks, strict=True)
        ),
    )


def _bass_reading(pen: Pen) -> str:
    from basswright.sound.loudness import a_weighting_db

    level_db = pen.facts.promise.level_db
    weighted = level_db + float(a_weighting_db(_DEEP_HZ))
    return pen.say(
        "customer.hearing_bass",
        level=pen.write.level(level_db),
        frequency=pen.write.frequency(_DEEP_HZ),
        weighted=pen.write.number(weighted),
    )

"""The quote: what it is, what it does, what it costs, until when."""

from __future__ import annotations

from basswright.papers.blocks import (
    Block,
    Column,
    Facts,
    Heading,
    KeyFigures,
    Paper,
    Points,
    Signatures,
    Table,
    Text,
)
from basswright.papers.facts import Alternative
from basswright.papers.pen import Pen, joined
from basswright.records.system import PriceLine


def quote(pen: Pen) -> Paper:
    """Write the quote."""
    head, say = pen.facts.head, pen.say
    blocks: list[Block] = [
        pen.job_facts(with_validity=True),
        Text(text=say("quote.lead"), lead=True),
        _key_figures(pen),
        Heading(text=say("quote.system")),
        Facts(rows=pen.system_rows()),
    ]
    if pen.facts.system.reasons:
        reasons = pen.sentences(pen.facts.system.reasons)
        blocks += [Heading(text=say("quote.why")), Points(items=reasons)]
    blocks += [Heading(text=say("quote.prices")), _prices(pen)]
    blocks += _alternatives(pen)
    blocks += _pictures(pen)
    blocks += [
        Heading(text=say("quote.terms")),
        Points(items=pen.list("quote.terms_list", valid_until=pen.write.day(head.valid_until))),
        Heading(text=say("quote.order")),
        Text(text=say("quote.order_text", number=head.number, revision=head.revision), keep=True),
        Signatures(
            items=(
                (say("quote.sign_customer"), say("quote.sign_under")),
                (say("quote.sign_workshop"), say("quote.sign_under")),
            )
        ),
    ]
    return pen.paper("quote", tuple(blocks), title=head.title)


def _pictures(pen: Pen) -> list[Block]:
    caption = pen.say("quote.response_caption")
    return [Heading(text=pen.say("quote.pictures")), pen.response(caption, 66)]


def _key_figures(pen: Pen) -> KeyFigures:
    say, write = pen.say, pen.write
    quoted, promise = pen.facts.quote, pen.facts.promise
    share = write.share(promise.certainty_share)
    open_lines = "_open" if quoted.on_request else ""
    lost = write.volume(pen.facts.fitting.luggage_lost_m3)
    return KeyFigures(
        items=(
            (write.money(quoted.total), say("quote.price"), say(f"quote.price_note{open_lines}")),
            (
                write.level(promise.sure_level_db),
                say("quote.level"),
                say("quote.level_note", share=share),
            ),
            (
                pen.low_limit(promise.sure_low_limit_hz),
                say("quote.low"),
                say("quote.low_note", share=share),
            ),
            (
                write.volume(promise.luggage_left_m3),
                say("quote.luggage"),
                say("quote.luggage_note", lost=lost),
            ),
        )
    )


def _prices(pen: Pen) -> Table:
    say = pen.say
    return Table(
        columns=(
            Column(head=say("quote.what"), width=1.0),
            Column(head=say("quote.part"), width=0.55),
            Column(head=say("quote.count"), align="right"),
            Column(head=say("quote.each"), align="right"),
            Column(head=say("quote.total"), align="right"),
        ),
        rows=tuple(_price_row(pen, line) for line in pen.facts.quote.lines),
        foot=_sums(pen),
        note=_price_note(pen),
    )


def _price_row(pen: Pen, line: PriceLine) -> tuple[str, ...]:
    write = pen.write
    whole = abs(line.count - round(line.count)) < 0.005
    number = write.number(line.count, 0 if whole else 2)
    count = joined(number, line.unit)
    if line.each == 0 and line.kind == "part":
        request = pen.say("quote.on_request")
        return line.what, line.part_id, count, request, request
    what = pen.told(line.what) if line.kind == "labour" else line.what
    return what, line.part_id, count, write.money(line.each), write.money(line.total)


def _sums(pen: Pen) -> tuple[tuple[str, str], ...]:
    say, write, quoted = pen.say, pen.write, pen.facts.quote
    total = "quote.grand_total_open" if quoted.on_request else "quote.grand_total"
    hours = write.hours(quoted.labour_h)
    labour = say("quote.labour_total", hours=hours, rate=write.money(quoted.hourly_rate))
    return (
        (say("quote.parts_total"), write.money(quoted.parts_total)),
        (labour, write.money(quoted.labour_total)),
        (say("quote.net_total"), write.money(quoted.net_total)),
        (say("quote.tax", share=write.share(quoted.tax_share)), write.money(quoted.tax)),
        (say(total), write.money(quoted.total)),
    )


def _price_note(pen: Pen) -> str:
    say, write, quoted = pen.say, pen.write, pen.facts.quote
    budget, left = write.money(quoted.budget), quoted.budget - quoted.total
    amount = write.money(abs(left))
    if abs(left) < 0.005:
        note = say("quote.budget_met", budget=budget)
    elif left > 0:
        note = say("quote.budget_inside", amount=amount, budget=budget)
    else:
        note = say("quote.budget_over", amount=amount, budget=budget)
    if quoted.on_request:
        note = f"{say('quote.on_request_note', count=quoted.on_request)} {note}"
    return note


def _alternatives(pen: Pen) -> list[Block]:
    say, write, others = pen.say, pen.write, pen.facts.quote.alternatives
    if not others:
        return []
    return [
        Heading(text=say("quote.alternatives")),
        Table(
            columns=(
                Column(head=say("quote.alternative"), width=1.0),
                Column(head=say("quote.gives"), width=0.75),
                Column(head=say("quote.level"), align="right"),
                Column(head=say("quote.low"), align="right"),
                Column(head=say("quote.luggage"), align="right"),
                Column(head=say("quote.price"), align="right"),
            ),
            rows=tuple(
                (
                    other.name,
                    _gives(pen, other),
                    write.level(other.level_db),
                    pen.low_limit(other.low_limit_hz),
                    "" if other.luggage_left_m3 is None else write.volume(other.luggage_left_m3),
                    write.money(other.price),
                )
                for other in others
            ),
            note=say("quote.alternatives_note"),
        ),
    ]


def _gives(pen: Pen, other: Alternative) -> str:
    """Tell in what another system is best of all, and what it costs more or less."""
    say, difference = pen.say, other.price - pen.facts.quote.total
    told = [say(f"quote.corner_{corner.replace(' ', '-')}") for corner in other.corners]
    if abs(difference) >= 1:
        word = "dearer" if difference > 0 else "cheaper"
        told.append(say(f"quote.{word}", amount=pen.write.money(abs(difference))))
    return ", ".join(told)

"""What each choice costs and brings, as tables on a terminal."""

from __future__ import annotations

from rich.console import Console
from rich.table import Table

from basswright.cli.show import hertz
from basswright.quantities import litres
from basswright.records.tradeoffs import Group, PowerStep, Tradeoffs


def tradeoffs(console: Console, found: Tradeoffs) -> None:
    """Show the sentences first, then the figures behind them."""
    for sentence in found.sentences:
        console.print(f"  • {sentence}")
    console.print(_dimensions(found))
    console.print(_groups("Cone size, with the loudest within the budget", found.cones, found))
    console.print(_groups("Kind of box, with the loudest within the budget", found.kinds, found))
    console.print(_power(found))
    if found.loads:
        console.print(_loads(found))


def _table(title: str, first: str, *columns: str) -> Table:
    table = Table(box=None, pad_edge=False, header_style="bold", title_justify="left")
    table.title = title
    table.add_column(first)
    for column in columns:
        table.add_column(column, justify="right")
    return table


def _dimensions(found: Tradeoffs) -> Table:
    more = found.dimensions[0].more_mm if found.dimensions else ()
    table = _table(
        "Room: what keeps boxes out", "", "boxes", *(f"let in by +{mm:.0f} mm" for mm in more)
    )
    for each in found.dimensions:
        table.add_row(each.name, str(each.leaves_out), *map(str, each.lets_in))
    return table


def _groups(title: str, groups: tuple[Group, ...], found: Tradeoffs) -> Table:
    table = _table(title, "", "go in", "surely dB", "from Hz", "takes", found.currency)
    for each in groups:
        table.add_row(each.name, f"{each.go_in} of {each.boxes}", *_best(each))
    return table


def _best(group: Group) -> tuple[str, ...]:
    if group.sure_level_db is None or group.sure_low_limit_hz is None:
        return ("-",) * 4
    return (
        f"{group.sure_level_db:.1f}",
        hertz(group.sure_low_limit_hz),
        litres(group.luggage_lost_m3 or 0.0),
        f"{group.price or 0.0:,.0f}",
    )


def _power(found: Tradeoffs) -> Table:
    table = _table(
        "Power into the box of the chosen system",
        "",
        "change",
        "as heard",
        "from Hz",
        "current",
        "cable and fuse",
        "and",
        f"more {found.currency}",
    )
    for step in found.power:
        feed = step.feed.replace(" cable", "").replace(" fuse", "") or "none on offer is safe"
        price = "-" if step.extra_price is None else f"{step.extra_price:+,.0f}"
        table.add_row(
            f"{step.power_w:.0f} W",
            f"{step.change_db:+.1f} dB",
            f"{step.times_as_loud:.2f} times",
            hertz(step.sure_low_limit_hz),
            f"{step.peak_current_a:.0f} A",
            feed,
            ", ".join(_besides(step)),
            price,
        )
    return table


def _besides(step: PowerStep) -> list[str]:
    beyond = ["too much for the box"] if step.beyond_range else []
    return beyond + ([step.upgrade] if step.upgrade else [])


def _loads(found: Tradeoffs) -> Table:
    table = _table("The amplifier into other total loads", "load", "power", "change")
    for step in found.loads:
        change = "not allowed" if step.change_db is None else f"{step.change_db:+.1f} dB"
        mark = " (this box)" if step.own else ""
        table.add_row(f"{step.load_ohm:.3g} ohm{mark}", f"{step.power_w:.0f} W", change)
    return table

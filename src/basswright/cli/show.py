"""Results as tables and text on a terminal."""

from __future__ import annotations

from rich.console import Console, Group
from rich.panel import Panel
from rich.table import Table
from rich.text import Text

from basswright.quantities import litres
from basswright.records.comparison import Comparison
from basswright.records.options import Nearest, Options
from basswright.records.system import Option, Prediction

LOWEST_SHOWN_HZ = 16.0
#: A low limit from here upwards means that the level is held nowhere.
NOT_HELD_FROM_HZ = 79.4
#: The first so many options come with their reasons.
WITH_REASONS = 3
#: A supply that is short by this much does not exist at all.
NO_SUPPLY_FROM_A = 1000.0


def name_of(option: Option) -> str:
    """Return how a system is called in one line."""
    box = f"{option.enclosure.maker} {option.enclosure.model}"
    if option.amplifier is None:
        return f"{box} (amplifier built in)"
    return f"{box} + {option.amplifier.maker} {option.amplifier.model}"


def at_load(option: Option) -> str:
    """Tell the load; what an amplifier built in works into is its maker's affair."""
    return " built in" if option.amplifier is None else f" at {option.match.load_ohm:.3g} ohm"


def hertz(value: float) -> str:
    """Write a low limit; the bottom of the grid means "or lower", its top "nowhere"."""
    if value >= NOT_HELD_FROM_HZ:
        return "> 63"
    return f"≤ {LOWEST_SHOWN_HZ:.0f}" if value <= LOWEST_SHOWN_HZ else f"{value:.0f}"


def options(console: Console, found: Options) -> None:
    """Show the options, what each rule left out, and what a concession would bring."""
    console.print(
        f"{found.boxes} boxes and {found.amplifiers} amplifiers make {found.systems:,} systems; "
        f"these are the best for this car.",
        style="dim",
    )
    if not found.wish_met:
        _nearest(console, found)
    boxes = [option.enclosure.id for option in found.options]
    besides = next((k for k, box in enumerate(boxes) if box in boxes[:k]), len(boxes))
    for place, option in enumerate(found.options):
        if place == besides:
            console.print("[bold]Besides, best in one thing[/bold], with a box from above")
        console.print(_option_lines(option, found.currency))
        if option.rank <= WITH_REASONS:
            for reason in option.reasons:
                console.print(f"       - {reason}")
    console.print(_rules_table(found))
    for line in found.doubtful:
        console.print(line, markup=False)
    if found.refused:
        console.print("[bold]Left out: data sheets that contradict themselves[/bold]")
        for refused in found.refused:
            console.print(f"  • {refused}")
    if found.concessions:
        console.print("[bold]What a small change would bring[/bold]")
        for concession in found.concessions:
            console.print(f"  • {concession.text}")
    if found.readings:
        console.print("[bold]Readings that the best options hang on[/bold]")
        for reading in found.readings:
            console.print(f"  • {reading.text}")
    if found.estimates:
        console.print("[bold]Estimated, not measured[/bold] (measure to narrow the band)")
        for estimate in found.estimates:
            console.print(f"  • {estimate}", style="dim")


def _nearest(console: Console, found: Options) -> None:
    lines = [_short_by(near) for near in found.nearest]
    if found.nearest and not found.options:
        lines.insert(0, f"none of them may be offered; {found.nearest[0].enclosure} lacks least:")
    body = "\n".join(lines) or "no box goes in or has an amplifier; see what each rule leaves out"
    console.print(
        Panel(body, title="No system meets every wish; these come nearest", border_style="yellow")
    )


def _short_by(near: Nearest) -> str:
    if not near.unit:
        return f"not {near.title}"
    if near.unit == "A" and near.short_by >= NO_SUPPLY_FROM_A:
        return f"not {near.title}: the catalogue has no cable, fuse and holder that would"
    return f"{near.title}: short by {near.short_by:.1f} {near.unit}"


def _option_lines(option: Option, currency: str) -> Text:
    goals, match = option.goals, option.match
    fit = next((v for v in option.verdicts if v.rule == "space"), None)
    figures = [
        f"surely {goals.sure_level_db:.1f} dB",
        f"from {hertz(goals.sure_low_limit_hz)} Hz",
        f"{match.used_w:.0f} W{at_load(option)}",
        f"{litres(goals.luggage_left_m3)} luggage left",
    ]
    if fit is not None:
        figures.insert(3, f"{fit.margin:.0f} mm to spare")
    text = Text()
    text.append(f"{option.rank:3d}  {name_of(option)}", "bold")
    text.append(f"  {goals.price:,.0f} {currency}\n", "bold cyan")
    text.append(f"     score {option.score:.0f}: {', '.join(figures)}")
    tags = list(option.named)
    if option.equal_to:
        tags.append(f"as good as {len(option.equal_to)} more, as far as can be told")
    if tags:
        text.append(f"\n     {', '.join(tags)}", "green")
    return text


def _rules_table(found: Options) -> Table:
    table = Table(box=None, pad_edge=False, header_style="bold", title_justify="left")
    table.title = "What was left out"
    table.add_column("rule")
    table.add_column("boxes it alone leaves out", justify="right")
    table.add_column("in all", justify="right")
    for count in found.rules:
        if count.in_all:
            table.add_row(count.title, str(count.alone), str(count.in_all))
    return table


def system(console: Console, option: Option, prediction: Prediction, currency: str) -> None:
    """Show one system in depth."""
    console.print(f"[bold]{name_of(option)}[/bold]")
    console.print("; ".join(option.reasons))
    console.print(Group(_verdicts_table(option), _gaps(option), _electric(option)))
    for note in (*option.match.notes, *option.supply.notes):
        console.print(f"  • {note}", style="dim")
    console.print(_response_table(prediction))
    console.print(f"cabin: {prediction.cabin_model}", style="dim")
    console.print(_price_table(option, currency))
    for caution in dict.fromkeys((*option.match.cautions, *option.supply.cautions)):
        console.print(f"caution: {caution}", style="yellow")


def comparison(console: Console, both: Comparison) -> None:
    """Show two systems side by side."""
    table = Table(box=None, pad_edge=False, header_style="bold")
    for heading in ("", both.first, both.second):
        table.add_column(heading)
    for row in both.differences:
        table.add_row(row.what, row.first, row.second)
    for hz, gain, times in zip(both.heard_hz, both.louder_db, both.times_as_loud, strict=True):
        table.add_row(f"at {hz:g} Hz", "", f"{gain:+.1f} dB, {times:.2f} times as loud")
    console.print(table)
    console.print(both.sentence)


def _verdicts_table(option: Option) -> Table:
    table = Table(box=None, pad_edge=False, header_style="bold")
    for heading in ("rule", "", "margin", "what decides", "what would help"):
        table.add_column(heading)
    for verdict in option.verdicts:
        mark = Text("passes", "green") if verdict.passes else Text("fails", "bold red")
        if verdict.certainty != "sure":
            mark = Text(verdict.certainty, "yellow")
        relief = verdict.relief
        table.add_row(
            verdict.rule,
            mark,
            f"{verdict.margin:.4g} {verdict.unit}",
            verdict.limit,
            "" if relief is None else f"{relief.what}: {relief.amount:.4g} {relief.unit}",
        )
    return table


def _gaps(option: Option) -> Table:
    table = Table(box=None, pad_edge=False, header_style="bold")
    table.add_column(f"air around the box ({option.placement.orientation})")
    table.add_column("mm", justify="right")
    table.add_column("to")
    for gap in option.placement.gaps:
        table.add_row(gap.side, f"{gap.gap_m * 1000:.0f}", gap.surface)
    return table


def _electric(option: Option) -> Table:
    match, plan = option.match, option.supply
    table = Table(box=None, pad_edge=False, show_header=False)
    table.add_column(style="dim")
    table.add_column()
    rows = [
        ("amplifier", f"{match.used_w:.0f} W{at_load(option)}, {match.mode}"),
        ("joined", match.wiring),
        ("gain", f"{match.gain_voltage_v:.1f} V RMS at the terminals"),
        ("cable", f"{plan.cable.size} {plan.cable.series}, {plan.cable_length_m:.1f} m"),
        ("fuse", f"{plan.fuse.rating_a:.0f} A, {plan.fuse_position}"),
        ("current", f"{plan.peak_current_a:.0f} A peak, {plan.average_current_a:.0f} A with music"),
        ("at the amplifier", f"{plan.amplifier_voltage_v:.2f} V, {plan.drop_v:.2f} V lost"),
        ("engine idling", f"{plan.idle_balance_a:+.0f} A left over"),
        ("engine off", f"{plan.engine_off_s / 60:.0f} min of music"),
    ]
    for row in rows:
        table.add_row(*row)
    return table


def _response_table(prediction: Prediction) -> Table:
    table = Table(box=None, pad_edge=False, header_style="bold")
    for heading in ("Hz", "loudest clean dB", "90 % band", "limited by", "cabin dB"):
        table.add_column(heading, justify="right" if heading != "limited by" else "left")
    shown = (20.0, 25.0, 31.5, 40.0, 50.0, 63.0, 80.0)
    for wanted in shown:
        i = int(abs(prediction.frequency_hz - wanted).argmin())
        table.add_row(
            f"{wanted:g}",
            f"{prediction.loudest_db[i]:.1f}",
            f"{prediction.loudest_low_db[i]:.0f} to {prediction.loudest_high_db[i]:.0f}",
            prediction.limits[int(prediction.limit_index[i])],
            f"{prediction.cabin_gain_db[i]:+.1f}",
        )
    return table


def _price_table(option: Option, currency: str) -> Table:
    table = Table(box=None, pad_edge=False, header_style="bold")
    table.add_column("item")
    table.add_column("count", justify="right")
    table.add_column(currency, justify="right")
    for line in option.lines:
        table.add_row(line.what, f"{line.count:.4g} {line.unit}".strip(), f"{line.total:,.2f}")
    table.add_row("in all, tax included", "", f"{option.goals.price:,.2f}", style="bold")
    return table

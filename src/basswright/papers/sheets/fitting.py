"""The fitting sheet: tools, order of work, placement, wiring, fixing, cautions."""

from __future__ import annotations

from typing import Final

from basswright.papers.blocks import (
    Beside,
    Blanks,
    Block,
    Checklist,
    Column,
    Facts,
    Figures,
    Heading,
    Notice,
    Paper,
    Points,
    Table,
)
from basswright.papers.facts import Doubt, Forces, Run
from basswright.papers.pen import Pen, sentence
from basswright.papers.restraint import tightening_torque_nm

#: Farthest apart that clips may hold a cable [m]. Common practice, no source.
CLIP_M: Final = 0.45


def fitting(pen: Pen) -> Paper:
    """Write the fitting sheet."""
    say, facts = pen.say, pen.facts.fitting
    size = next((run.size for run in facts.runs if run.purpose == "feed"), "")
    blocks: list[Block] = [
        Facts(
            rows=(
                *pen.job_facts().rows[:2],
                *pen.system_rows(),
                (say("fitting.time"), pen.write.hours(facts.labour_h)),
                *pen.job_facts().rows[2:],
            )
        ),
        Notice(title=say("fitting.before_title"), items=pen.list("fitting.before"), level="danger"),
        *_cautions(pen),
        Heading(text=say("fitting.tools")),
        Checklist(items=pen.list("fitting.tools_list", size=size), columns=3),
        Heading(text=say("fitting.order")),
        Checklist(items=_order(pen), numbered=True),
        Heading(text=say("fitting.done")),
        Blanks(labels=pen.list("fitting.done_labels"), columns=4),
        *_placement(pen),
        *_around_the_box(pen),
        *_drilling(pen),
        *_wiring(pen),
        *_views(pen),
    ]
    head = pen.facts.head
    return pen.paper("fitting", tuple(blocks), box=pen.facts.system.box, car=head.car)


def _cautions(pen: Pen) -> list[Block]:
    blocks: list[Block] = []
    facts = pen.facts.fitting
    if facts.cautions:
        cautions = pen.sentences(facts.cautions)
        blocks.append(Notice(title=pen.say("fitting.cautions"), items=cautions))
    if facts.doubts:
        doubts = tuple(_doubt(pen, doubt) for doubt in facts.doubts)
        blocks.append(Notice(title=pen.say("fitting.doubts_title"), items=doubts))
    return blocks


def _doubt(pen: Pen, doubt: Doubt) -> str:
    rule, amount = sentence(pen.told(doubt.rule)), pen.amount(doubt.margin, doubt.unit)
    if doubt.rule == doubt.limit:
        return pen.say("fitting.doubt_same", rule=rule, amount=amount)
    key = {"mm": "fitting.doubt", "dB": "fitting.doubt_power"}.get(doubt.unit, "fitting.doubt_near")
    return pen.say(key, rule=rule, limit=pen.told(doubt.limit), amount=amount)


def _order(pen: Pen) -> tuple[str, ...]:
    steps = list(pen.list("fitting.order_list"))
    if not pen.facts.system.amplifier:
        steps[6] = pen.say("fitting.order_built_in")
        steps[7] = pen.say("fitting.order_built_in_join")
    return tuple(steps)


def _placement(pen: Pen) -> list[Block]:
    say, write, facts = pen.say, pen.write, pen.facts.fitting
    return [
        Heading(text=say("fitting.placement")),
        Facts(
            rows=(
                (say("fitting.placement_stands"), pen.told(facts.orientation)),
                *_held_up(pen),
                (say("fitting.placement_binding"), pen.told(facts.binding)),
                (say("fitting.placement_way_in"), pen.told(facts.way_in)),
                (say("fitting.placement_lost"), write.volume(facts.luggage_lost_m3)),
                *_amplifier_place(pen),
            )
        ),
    ]


def _held_up(pen: Pen) -> list[tuple[str, str]]:
    support = pen.facts.fitting.support
    return [(pen.say("fitting.placement_support"), pen.told(support))] if support else []


def _amplifier_place(pen: Pen) -> list[tuple[str, str]]:
    where = pen.facts.fitting.amplifier_place
    if where == "":
        return []
    told = pen.say("fitting.placement_no_amplifier") if where is None else pen.told(where)
    return [(pen.say("fitting.placement_amplifier"), told)]


def _around_the_box(pen: Pen) -> list[Block]:
    """Return the air around the box beside what holds it, or that alone."""
    *holding, notes = _fixing(pen)
    if not pen.facts.fitting.gaps:
        return [*holding, notes]
    gaps = (Heading(text=pen.say("fitting.gaps")), _gaps(pen))
    return [Beside(left=gaps, right=tuple(holding)), notes]


def _drilling(pen: Pen) -> list[Block]:
    items = (*pen.list("fitting.drilling"), pen.say("fitting.blocked"))
    return [Notice(title=pen.say("fitting.drilling_title"), items=items)]


def _views(pen: Pen) -> list[Block]:
    views = ("plan", "side", "rear")
    drawings = tuple(figure for view in views for figure in pen.drawing(view, 64))
    return [Heading(text=pen.say("fitting.drawings")), *pen.rows(drawings)] if drawings else []


def _gaps(pen: Pen) -> Table:
    say = pen.say
    return Table(
        columns=(
            Column(head=say("fitting.gap_side")),
            Column(head=say("fitting.gap_to"), width=1.0),
            Column(head=say("fitting.gap_air"), align="right"),
            Column(head=say("fitting.gap_measured"), width=0.5, write_in=True),
        ),
        rows=tuple(
            (_side(pen, gap.side), pen.told(gap.surface), pen.write.length(gap.gap_m), "")
            for gap in pen.facts.fitting.gaps
        ),
    )


def _side(pen: Pen, side: str) -> str:
    key = f"fitting.side_{side}"
    return pen.say(key) if pen.words.has(key) else side


def _wiring(pen: Pen) -> list[Block]:
    say, facts = pen.say, pen.facts.fitting
    rows = [
        (say("fitting.cable"), facts.cable),
        (
            say("fitting.fuse"),
            f"{pen.write.current(facts.fuse_a)}; {facts.fuse}",
        ),
        (say("fitting.fuse_position"), pen.told(facts.fuse_position)),
        (say("fitting.coils"), pen.told(facts.wiring)),
    ]
    if facts.upgrades:
        rows.append((say("fitting.upgrades"), "; ".join(facts.upgrades)))
    supply = pen.facts.supply
    if supply.short_circuit_a is not None:
        rows.append((say("fitting.short_circuit"), pen.write.current(supply.short_circuit_a)))
    if supply.heat_w is not None:
        heat = say("fitting.heat_value", power=pen.write.power(supply.heat_w))
        rows.append((say("fitting.heat"), heat))
    ground = next((run.length_m for run in facts.runs if run.purpose == "ground"), None) or 0.0
    return [
        Heading(text=say("fitting.wiring")),
        Figures(items=pen.drawing("wiring", 80)),
        Facts(rows=tuple(rows), columns=1),
        _runs(pen),
        *_beside_charging(
            pen,
            Heading(text=say("fitting.ground_title")),
            Points(
                items=pen.list(
                    "fitting.ground_rules",
                    length=pen.write.distance(ground),
                    clip=pen.write.length(CLIP_M),
                )
            ),
        ),
    ]


def _beside_charging(pen: Pen, *rules: Block) -> list[Block]:
    charging = _charging(pen)
    if not charging:
        return list(rules)
    return [Beside(left=tuple(charging), right=rules, share=0.44)]


def _charging(pen: Pen) -> list[Block]:
    say, write, balances = pen.say, pen.write, pen.facts.supply.balances
    if not balances:
        return []
    return [
        Heading(text=say("fitting.charging")),
        Table(
            columns=(
                Column(head=say("fitting.situation"), width=1.0),
                Column(head=say("fitting.situation_alternator"), align="right", width=0.62),
                Column(head=say("fitting.situation_car"), align="right", width=0.58),
                Column(head=say("fitting.situation_left"), align="right", width=0.45),
            ),
            rows=tuple(
                (
                    pen.told(balance.situation),
                    write.current(balance.alternator_a),
                    write.current(balance.base_load_a),
                    write.signed(balance.balance_a, "A", 0),
                )
                for balance in balances
            ),
        ),
    ]


def _runs(pen: Pen) -> Table:
    say = pen.say
    return Table(
        columns=(
            Column(head=say("fitting.wire")),
            Column(head=say("fitting.wire_from"), width=1.4),
            Column(head=say("fitting.wire_to"), width=1.5),
            Column(head=say("fitting.wire_size")),
            Column(head=say("fitting.wire_length"), align="right"),
            Column(head=say("fitting.wire_fuse"), align="right"),
            Column(head=say("fitting.wire_colour"), width=0.6, write_in=True),
        ),
        rows=tuple(_run_row(pen, run) for run in pen.facts.fitting.runs),
        note=say("fitting.terminals_note"),
    )


def _run_row(pen: Pen, run: Run) -> tuple[str, ...]:
    say, write = pen.say, pen.write
    spare = pen.loudspeaker_size() if run.purpose == "loudspeaker" else say("fitting.any_size")
    start: str = run.purpose
    if run.purpose == "signal":
        start = "signal_speaker" if run.from_terminal else "signal_line"
    return (
        say(f"fitting.{run.purpose}"),
        _terminal(say(f"fitting.{start}_from"), run.from_terminal),
        _terminal(say(f"fitting.{run.purpose}_to"), run.to_terminal),
        run.size or spare,
        say("fitting.as_laid") if run.length_m is None else write.distance(run.length_m),
        "" if run.fuse_a is None else write.current(run.fuse_a),
        "",
    )


def _terminal(where: str, number: str) -> str:
    return f"{where} ({number})" if number else where


def _fixing(pen: Pen) -> list[Block]:
    say, write, facts = pen.say, pen.write, pen.facts.fitting
    rows = [(say("fitting.fixing_part"), facts.fixing or say("fitting.fixing_none"))]
    if facts.fixing_force_n is not None:
        rows.append((say("fitting.fixing_force"), write.strength(facts.fixing_force_n)))
    notes: list[str] = []
    table: list[Block] = []
    if facts.forces is None:
        notes.append(say("fitting.force_unknown"))
    else:
        table.append(_forces(pen, facts.forces))
        if facts.fixing_force_n is not None and facts.fixing_force_n < facts.forces.crash_n:
            notes.append(say("fitting.force_short"))
    torque = say(
        "fitting.torque",
        m6=write.torque(tightening_torque_nm("M6")),
        m8=write.torque(tightening_torque_nm("M8")),
    )
    return [
        Heading(text=say("fitting.fixing")),
        Facts(rows=tuple(rows), columns=1),
        *table,
        Points(items=(*notes, torque, say("fitting.torque_eyes"))),
    ]


def _forces(pen: Pen, loads: Forces) -> Table:
    say, g = pen.say, pen.write.number(loads.crash_g)
    rows = (
        ("forward", loads.forward_n),
        ("sideways", loads.sideways_n),
        ("rearward", loads.rearward_n),
        ("crash", loads.crash_n),
    )
    return Table(
        columns=(
            Column(head=say("fitting.force_what"), width=1.0),
            Column(head=say("fitting.force"), align="right"),
        ),
        rows=tuple(
            (say(f"fitting.force_{name}", g=g), pen.write.force(force_n)) for name, force_n in rows
        ),
        note=say("fitting.force_note", g=g),
    )

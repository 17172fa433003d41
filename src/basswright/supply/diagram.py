"""Draws the feed: battery, fuse, cable, amplifier, ground, with the standard's symbols."""

from __future__ import annotations

from html import escape
from typing import Any, Final

from basswright.records.electrics import Cable
from basswright.records.system import SupplyPlan

#: Terminals after DIN 72552, printed beside the conductors.
TERMINALS: Final = {
    "30": "battery plus, direct",
    "31": "body, battery minus",
    "75": "switched by the radio (turn-on)",
}
_FONT: Final = "sans-serif"


def cable_text(cable: Cable, length_m: float) -> str:
    """Return size, metal and length of a cable run for a drawing.

    Parameters
    ----------
    cable : Cable
    length_m : float
        Shown to a tenth [m].

    Returns
    -------
    str
    """
    size = f"{cable.size} mm²" if cable.series == "mm2" else f"{cable.size} {cable.series}"
    metal = {"copper": "copper", "tinned-copper": "tinned copper"}.get(
        cable.material, "copper-clad aluminium"
    )
    return f"{size} {metal}, {length_m:.1f} m"


def wiring_diagram(plan: SupplyPlan, *, amplifier_name: str = "Amplifier") -> str:
    """Draw the feed of a plan.

    Parameters
    ----------
    plan : SupplyPlan
    amplifier_name : str
        Any text; markup and formula signs are drawn as they are or left out.

    Returns
    -------
    str
        SVG in black on transparent, symbols as in IEC 60617, terminals after DIN 72552, text
        as text.
    """
    drawing, elm = _drawing()
    second = plan.battery is not None and plan.battery.role == "second"
    with_fuse = f"{plan.fuse.rating_a:g} A\n{_family(plan)}"
    drawing += elm.Ground()
    drawing += elm.Label().at((-0.9, -0.5)).label("31", fontsize=11)
    drawing += elm.BatteryCell().at((0, 0)).up().length(3).reverse()
    drawing += elm.Label().at((-1.5, 1.4)).label(_battery(plan), fontsize=10)
    drawing += elm.Dot()
    drawing += elm.Label().at((-0.45, 3.3)).label("30", fontsize=11)
    drawing += elm.FuseIEC().at((0, 3)).right().length(3).label(with_fuse, loc="top")
    drawing += elm.Label().at((1.5, 2.2)).label("at most 450 mm\nfrom the battery", fontsize=9)
    length = 6.5
    drawing += (
        elm.Line()
        .at((3, 3))
        .right()
        .length(length)
        .label(cable_text(plan.cable, plan.cable_length_m), loc="top")
    )
    end = 3 + length
    if second:
        _second_battery(drawing, elm, end, plan)
        end += 3
    _amplifier(drawing, elm, end, plan, amplifier_name)
    svg: bytes = drawing.get_imagedata("svg")
    return svg.decode("utf-8")


def _drawing() -> tuple[Any, Any]:
    import schemdraw
    import schemdraw.elements as elm

    schemdraw.svgconfig.text = "text"
    drawing = schemdraw.Drawing(canvas="svg", show=False)
    drawing.config(unit=3, fontsize=11, font=_FONT, lw=1.5)
    return drawing, elm


def _family(plan: SupplyPlan) -> str:
    return {
        "blade": "blade",
        "maxi-blade": "blade, type E",
        "strip-sf30": "strip SF30",
        "strip-sf51": "strip SF51",
        "high-current": "high-current strip",
    }[plan.fuse.family]


def _battery(plan: SupplyPlan) -> str:
    if plan.battery is not None and plan.battery.role == "replace":
        return f"new battery,\n{plan.battery.capacity_ah:g} Ah"
    return "battery,\nas in the car"


def _second_battery(drawing: Any, elm: Any, at: float, plan: SupplyPlan) -> None:
    """Draw the second battery with its own fuse, tapped off the far end of the cable."""
    battery = plan.battery
    text = "" if battery is None else f"second battery\n{battery.capacity_ah:g} Ah, 30a"
    drawing += elm.Dot().at((at, 3))
    drawing += (
        elm.FuseIEC()
        .at((at, 3))
        .down()
        .length(1.6)
        .label(f"{plan.fuse.rating_a:g} A", loc="bottom")
    )
    drawing += elm.BatteryCell().at((at, 1.4)).down().length(1.4).label(text, loc="bottom")
    drawing += elm.Ground().at((at, 0))
    drawing += elm.Label().at((at - 0.8, -0.5)).label("31a", fontsize=11)
    drawing += elm.Line().at((at, 3)).right().length(3)


def _amplifier(drawing: Any, elm: Any, at: float, plan: SupplyPlan, name: str) -> None:
    box = elm.Rect(corner1=(0, 0), corner2=(4, 3.2)).at((at, 0.9))
    drawing += box
    drawing += elm.Label().at((at + 2.1, 1.9)).label(_wrapped(_plain(name), 22), fontsize=10)
    drawing += elm.Label().at((at + 0.35, 2.85)).label("+", fontsize=13)
    drawing += elm.Label().at((at + 0.8, 1.05)).label("−", fontsize=13)
    drawing += elm.Line().at((at + 0.8, 0.9)).down().length(0.9)
    drawing += elm.GroundChassis().at((at + 0.8, 0))
    drawing += elm.Label().at((at + 0.1, -0.1)).label("31", fontsize=11)
    drawing += (
        elm.Label()
        .at((at + 3.3, -0.1))
        .label(f"{cable_text(plan.cable, plan.ground_length_m)}\nto bare body metal", fontsize=9)
    )
    drawing += elm.Line().at((at + 4, 3)).right().length(1.2)
    drawing += elm.Label().at((at + 4.6, 3.25)).label("75", fontsize=11)
    drawing += elm.Label().at((at + 6.1, 2.95)).label("turn-on\nfrom the radio", fontsize=9)


def _plain(text: str) -> str:
    """Return a text that the drawing neither reads as markup nor as mathematics."""
    printable = "".join(sign for sign in text if sign.isprintable() and sign != "$")
    return escape(printable, quote=False)


def _wrapped(text: str, width: int) -> str:
    lines: list[str] = [""]
    for word in text.split():
        if lines[-1] and len(lines[-1]) + 1 + len(word) > width:
            lines.append("")
        lines[-1] = f"{lines[-1]} {word}".strip()
    return "\n".join(lines)

"""Draws how the terminals of amplifier, box and coils are joined."""

from __future__ import annotations

from html import escape
from typing import Any, Final

from basswright.drive.coils import CoilWiring, Group, Network
from basswright.drive.wirings import terminal_wiring
from basswright.records.amplifier import OutputMode
from basswright.records.enclosure import Terminals
from basswright.records.system import PowerMatch

_FONT: Final = "sans-serif"
_COIL_WIDTH: Final = 3.0
_COIL_HEIGHT: Final = 1.5
_RAIL: Final = 0.5
#: Half the distance of a loudspeaker symbol's two leads.
_HALF: Final = 0.25

#: Mode -> the amplifier's terminals from top to bottom, and which two are used.
_TERMINALS: Final[dict[OutputMode, tuple[tuple[str, ...], int, int]]] = {
    "single": (("+", "−"), 0, 1),
    "per-channel": (("1 +", "1 −", "2 +", "2 −"), 0, 1),
    "bridged": (("1 +", "1 −", "2 +", "2 −"), 0, 3),
}


def wiring_diagram(
    match: PowerMatch, *, amplifier_name: str = "Amplifier", box_name: str = "Bass box"
) -> str:
    """Draw how an amplifier's output is joined to the box.

    Parameters
    ----------
    match : PowerMatch
    amplifier_name, box_name : str
        Any text; markup and formula signs are drawn as they are or left out.

    Returns
    -------
    str
        SVG; the terminals that stay free are drawn without a lead.
    """
    names, plus, minus = _TERMINALS[match.mode]
    drawing, elm = _drawing()
    height = 1.0 * len(names) + 1.2
    drawing += elm.Rect(corner1=(0, 0), corner2=(4.5, height)).at((0, 0))
    drawing += elm.Label().at((1.9, height / 2)).label(_lines(amplifier_name, 16), fontsize=10)
    places = [height - 1.1 - index for index in range(len(names))]
    for name, y in zip(names, places, strict=True):
        drawing += elm.Dot(open=True).at((4.5, y))
        drawing += elm.Label().at((4.05, y - 0.07)).label(name, fontsize=10)
    middle = (places[plus] + places[minus]) / 2
    if match.pairs > 1 and match.pair_ohm is not None:
        half = _box_of_pairs(drawing, elm, middle, box_name, match)
    else:
        half = _HALF
        _box(drawing, elm, middle, box_name, match)
    for terminal, y in ((plus, middle + half), (minus, middle - half)):
        _lead(drawing, elm, places[terminal], y)
    return _svg(drawing)


def _box(drawing: Any, elm: Any, middle: float, name: str, match: PowerMatch) -> None:
    drawing += elm.Rect(corner1=(0, 0), corner2=(5, 3.2)).at((8, middle - 1.6))
    drawing += elm.Speaker().at((8.9, middle + _HALF)).anchor("in1").right()
    for y, up, sign in ((middle + _HALF, 0.15, "+"), (middle - _HALF, -0.5, "−")):
        drawing += elm.Line().at((8, y)).to((8.9, y))
        drawing += elm.Dot(open=True).at((8, y))
        drawing += elm.Label().at((8.4, y + up)).label(sign, fontsize=11)
    drawing += elm.Label().at((11.5, middle + 0.3)).label(_lines(name, 16), fontsize=10)
    drawing += elm.Label().at((11.5, middle - 1.1)).label(f"{match.load_ohm:g} Ω", fontsize=10)


def _box_of_pairs(drawing: Any, elm: Any, middle: float, name: str, match: PowerMatch) -> float:
    """Draw a box whose pairs of terminals are joined; return how far its leads lie apart."""
    terminals = Terminals(pairs=match.pairs, load_ohm=match.pair_ohm or match.load_ohm)
    wiring = terminal_wiring(terminals, match.load_ohm)
    wide, high = _extent(wiring.network)
    left, half = 9.0, high / 2 + 0.4
    right = left + wide
    drawing += elm.Rect(corner1=(0, 0), corner2=(wide + 3.0, 2 * half + 2.2)).at(
        (8, middle - half - 1.5)
    )
    _network(drawing, elm, wiring.network, (left, middle), iter(wiring.power_share))
    drawing += elm.Line().at((8, middle + half)).to((left - 0.5, middle + half))
    drawing += elm.Line().at((left - 0.5, middle + half)).to((left - 0.5, middle))
    drawing += elm.Line().at((left - 0.5, middle)).to((left, middle))
    drawing += elm.Line().at((right, middle)).to((right + 0.5, middle))
    drawing += elm.Line().at((right + 0.5, middle)).to((right + 0.5, middle - half))
    drawing += elm.Line().at((right + 0.5, middle - half)).to((8, middle - half))
    for y, up, sign in ((middle + half, 0.15, "+"), (middle - half, -0.5, "−")):
        drawing += elm.Dot(open=True).at((8, y))
        drawing += elm.Label().at((8.3, y + up)).label(sign, fontsize=11)
    text = _lines(f"{name}, {match.load_ohm:.3g} Ω", 34)
    drawing += elm.Label().at((8 + (wide + 3) / 2, middle - half - 1.1)).label(text, fontsize=10)
    return half


def _lead(drawing: Any, elm: Any, from_y: float, to_y: float) -> None:
    bend = 6.2
    drawing += elm.Line().at((4.5, from_y)).to((bend, from_y))
    drawing += elm.Line().at((bend, from_y)).to((bend, to_y))
    drawing += elm.Line().at((bend, to_y)).to((8, to_y))


def coil_diagram(wiring: CoilWiring) -> str:
    """Draw how coils are joined between the two terminals of a box.

    Parameters
    ----------
    wiring : CoilWiring

    Returns
    -------
    str
        SVG; each coil shows its impedance [ohm], its plus side and its share of the power.
    """
    drawing, elm = _drawing()
    width, _ = _extent(wiring.network)
    drawing += elm.Dot(open=True).at((0, 0)).label("+", loc="left")
    drawing += elm.Line().at((0, 0)).to((0.7, 0))
    _network(drawing, elm, wiring.network, (0.7, 0.0), iter(wiring.power_share))
    drawing += elm.Line().at((0.7 + width, 0)).to((1.4 + width, 0))
    drawing += elm.Dot(open=True).at((1.4 + width, 0)).label("−", loc="right")
    drawing += (
        elm.Label()
        .at((0.7 + width / 2, -_extent(wiring.network)[1] / 2 - 0.5))
        .label(f"total load {wiring.load_ohm:.3g} Ω", fontsize=11)
    )
    return _svg(drawing)


def _extent(network: Network) -> tuple[float, float]:
    """Return width and height that a network takes in a drawing."""
    if not isinstance(network, Group):
        return _COIL_WIDTH, _COIL_HEIGHT
    sizes = [_extent(part) for part in network.parts]
    if network.join == "series":
        return sum(w for w, _ in sizes), max(h for _, h in sizes)
    return max(w for w, _ in sizes) + 2 * _RAIL, sum(h for _, h in sizes)


def _network(
    drawing: Any, elm: Any, network: Network, at: tuple[float, float], shares: Any
) -> None:
    x, y = at
    if not isinstance(network, Group):
        text = f"{network:g} Ω, {next(shares) * 100:.3g} %"
        drawing += elm.ResistorIEC().at(at).right().length(_COIL_WIDTH).label(text, fontsize=9)
        drawing += elm.Label().at((x + 0.65, y - 0.3)).label("+", fontsize=9)
        return
    width, height = _extent(network)
    if network.join == "series":
        for part in network.parts:
            _network(drawing, elm, part, (x, y), shares)
            x += _extent(part)[0]
        return
    top = y + height / 2
    rows = []
    for part in network.parts:
        part_width, part_height = _extent(part)
        row = top - part_height / 2
        rows.append(row)
        drawing += elm.Line().at((x, row)).to((x + _RAIL, row))
        _network(drawing, elm, part, (x + _RAIL, row), shares)
        drawing += elm.Line().at((x + _RAIL + part_width, row)).to((x + width, row))
        top -= part_height
    for rail in (x, x + width):
        drawing += elm.Line().at((rail, max(*rows, y))).to((rail, min(*rows, y)))


def _drawing() -> tuple[Any, Any]:
    import schemdraw
    import schemdraw.elements as elm

    schemdraw.svgconfig.text = "text"
    drawing = schemdraw.Drawing(canvas="svg", show=False)
    drawing.config(unit=3, fontsize=11, font=_FONT, lw=1.5)
    return drawing, elm


def _svg(drawing: Any) -> str:
    svg: bytes = drawing.get_imagedata("svg")
    return svg.decode("utf-8")


def _lines(text: str, width: int) -> str:
    """Return a text in lines, free of what the drawing would read as markup."""
    printable = "".join(sign for sign in text if sign.isprintable() and sign != "$")
    lines = [""]
    for word in printable.split():
        if lines[-1] and len(lines[-1]) + 1 + len(word) > width:
            lines.append("")
        lines[-1] = f"{lines[-1]} {word}".strip()
    return escape("\n".join(lines), quote=False)

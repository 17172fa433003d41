"""Invented makers, plainly so, each with its own habits."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, kw_only=True)
class Maker:
    """One invented maker.

    `price_factor` scales its prices; `silence` is how readily it leaves figures off
    its sheets (1 is usual, 0.3 tells nearly all); `series` names its lines.
    """

    name: str
    price_factor: float
    silence: float
    series: tuple[str, ...]


def _maker(name: str, price_factor: float, silence: float, *series: str) -> Maker:
    return Maker(name=f"Demo {name}", price_factor=price_factor, silence=silence, series=series)


BOX_MAKERS: Final = (
    _maker("Rumbleturnip", 0.78, 1.5, "Swede", "Radish"),
    _maker("Wobblegoose", 0.85, 1.3, "Gander", "Gosling"),
    _maker("Thrumbumble", 0.90, 1.2, "Hive", "Nectar"),
    _maker("Quakepudding", 0.95, 1.0, "Custard", "Suet"),
    _maker("Oomphkettle", 1.00, 1.0, "Spout", "Whistle"),
    _maker("Growlteapot", 1.00, 1.1, "Saucer", "Cosy"),
    _maker("Lowmoo & Daughters", 1.05, 0.8, "Heifer", "Barn"),
    _maker("Hushbadger", 1.10, 0.9, "Sett", "Burrow"),
    _maker("Boomhedgehog", 1.15, 0.7, "Prickle", "Leafpile"),
    _maker("Deepmarmalade", 1.25, 0.6, "Peel", "Rind"),
    _maker("Velvetwalrus", 1.45, 0.5, "Tusk", "Floe"),
    _maker("Gently Thundering", 2.10, 0.3, "Cloud", "Drizzle"),
)

AMPLIFIER_MAKERS: Final = (
    _maker("Wattweasel", 0.80, 1.4, "Nip", "Dash"),
    _maker("Ampersandwich", 0.90, 1.1, "Rye", "Club"),
    _maker("Joulejelly", 1.00, 1.0, "Wobble", "Mould"),
    _maker("Voltvole", 1.05, 0.9, "Meadow", "Tunnel"),
    _maker("Currentbun", 1.15, 0.8, "Glaze", "Crumb"),
    _maker("Ohmlette", 1.30, 0.5, "Whisk", "Skillet"),
    _maker("Surgeprawn", 1.50, 0.3, "Tide", "Shoal"),
)

PART_MAKERS: Final = (
    _maker("Strandspaniel", 0.85, 1.0, "Lead"),
    _maker("Fuseferret", 1.00, 1.0, "Run"),
    _maker("Coppercrumpet", 1.15, 1.0, "Toast"),
)

"""The loads that a box with several pairs of terminals can be wired to."""

from __future__ import annotations

from typing import Final

from basswright.drive.coils import CoilWiring, coil_loads
from basswright.errors import InputError
from basswright.records.enclosure import Driver, Enclosure, Terminals

#: A stated load may differ this much from what the terminals make (rounded figures).
_ROUNDED_SHARE: Final = 0.12
#: Resistance of a coil over its nominal load (common practice, no source).
_COIL_SHARE: Final = 0.875


def terminal_loads(terminals: Terminals) -> tuple[float, ...]:
    """Return every load at which all pairs take the same power, ascending [ohm].

    n pairs of Z in equal rows, m in series and n / m rows in parallel, make Z m^2 / n:
    two pairs Z/2 and 2 Z, four pairs Z/4, Z and 4 Z.
    """
    count = terminals.pairs
    rows = [m for m in range(1, count + 1) if count % m == 0]
    return tuple(float(f"{terminals.load_ohm * m * m / count:.12g}") for m in rows)


def loads_of(enclosure: Enclosure) -> tuple[float, ...]:
    """Return the loads that a box can be wired to, the stated one first [ohm].

    Empty where no load is known. A box with an amplifier of its own has one load. With
    several pairs of terminals and no stated load, all in parallel comes first.

    Raises
    ------
    InputError
        The stated load is none of those that the terminals make.
    """
    stated, terminals = enclosure.load_ohm, enclosure.terminals
    if terminals is None or enclosure.amplifier is not None:
        return () if stated is None else (stated,)
    loads = terminal_loads(terminals)
    if stated is None:
        return loads
    nearest = min(loads, key=lambda load: abs(load / stated - 1))
    if abs(nearest / stated - 1) > _ROUNDED_SHARE:
        raise InputError(
            f"no wiring of {terminals.pairs} pairs of {terminals.load_ohm:g} ohm gives that load",
            item=enclosure.id,
            field="load_ohm",
            value=stated,
            allowed=", ".join(f"{load:.3g}" for load in loads) + " ohm",
        )
    return (stated, *(load for load in loads if load != nearest))


def as_wired(enclosure: Enclosure, load_ohm: float) -> Enclosure:
    """Return a box joined to another of its loads.

    Radiation does not change: at the same power the coils carry the same current each.
    What is told of the coils goes with the load, Re and Le as its ratio r, Bl as its
    square root; where cones are joined otherwise, each cone stays as it was.
    """
    stated = enclosure.load_ohm
    if stated == load_ohm:
        return enclosure
    if stated is None:
        return enclosure.model_copy(update={"load_ohm": load_ohm})
    ratio = load_ohm / stated
    driver = enclosure.driver
    if not _by_cones(driver, stated, ratio):
        driver = _rewound(driver, ratio)
    return enclosure.model_copy(update={"load_ohm": load_ohm, "driver": driver})


def terminal_wiring(terminals: Terminals, load_ohm: float) -> CoilWiring:
    """Return how the pairs are joined to a load, for drawing: the plainest such wiring."""
    found = coil_loads([terminals.load_ohm] * terminals.pairs, equal_only=True)
    return min(found, key=lambda each: (abs(each.load_ohm / load_ohm - 1), len(each.text)))


def joining_text(terminals: Terminals, load_ohm: float) -> str:
    """Tell a fitter how the pairs are joined to a load."""
    wiring = terminal_wiring(terminals, load_ohm)
    pairs, each = terminals.pairs, terminals.load_ohm
    made = f"{wiring.load_ohm:.3g} ohm in all"
    rows = round((wiring.load_ohm * pairs / each) ** 0.5)
    if rows == 1:
        how = "in parallel: every + to +, every - to -"
    elif rows == pairs:
        how = (
            "in series: - of the first to + of the next; + of the first and - of the last lead out"
        )
    else:
        how = f"{rows} each in series, - of one to + of the next, and these rows in parallel"
    return f"Join the {pairs} pairs of terminals of the box ({each:g} ohm each) {how}; {made}."


def _by_cones(driver: Driver, stated_ohm: float, ratio: float) -> bool:
    """Tell whether joining whole cones in another way makes that ratio of loads."""
    if driver.count == 1 or driver.Re_ohm is None:
        return False
    rows = [m for m in range(1, driver.count + 1) if driver.count % m == 0]
    wanted = stated_ohm * _COIL_SHARE * driver.count / driver.Re_ohm
    now = min(rows, key=lambda m: abs(m * m / wanted - 1))
    return any(abs((m / now) ** 2 / ratio - 1) < 0.25 for m in rows)


def _rewound(driver: Driver, ratio: float) -> Driver:
    powers = {"Re_ohm": ratio, "Le_henry": ratio, "Bl_tm": ratio**0.5}
    told = {name: getattr(driver, name) for name in powers}
    scaled = {name: value * powers[name] for name, value in told.items() if value is not None}
    return driver.model_copy(update=scaled)

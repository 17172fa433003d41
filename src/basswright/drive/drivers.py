"""Drivers with one, two or four coils each, joined to one load."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import chain

from basswright.drive.coils import CoilWiring, Group, Network, coil_loads
from basswright.errors import InputError

COILS_OF_A_DRIVER = (1, 2, 4)
MOST_DRIVERS = 8


def driver_loads(
    coil_ohm: float, *, coils: int, drivers: int, equal_only: bool = True
) -> tuple[CoilWiring, ...]:
    """List every wiring of equal drivers, the coils of each joined in the same way.

    Parameters
    ----------
    coil_ohm : float
        Nominal impedance of one coil, 4 for a "2x4 ohm" driver [ohm].
    coils : int
        Coils of each driver: 1, 2 or 4.
    drivers : int
        1 to 8.
    equal_only : bool
        Leave out wirings in which drivers get unequal power.

    Returns
    -------
    tuple of CoilWiring
        By load; each load with its plainest wirings first. Coils of one driver that
        get unequal power are never listed: they would work against its suspension
        and heat it on one side.

    Raises
    ------
    InputError
        Another number of coils or drivers.

    References
    ----------
    .. [1] As :func:`~basswright.drive.coils.network_ohm`.
    """
    if coils not in COILS_OF_A_DRIVER:
        raise InputError("a driver has 1, 2 or 4 coils", field="coils", value=coils)
    if not 1 <= drivers <= MOST_DRIVERS:
        raise InputError("1 to 8 drivers can be joined", field="drivers", value=drivers)
    found: list[CoilWiring] = []
    for inner in coil_loads([coil_ohm] * coils, equal_only=True):
        for outer in coil_loads([inner.load_ohm] * drivers, equal_only=equal_only):
            found.append(_nested(inner, outer, coils, drivers))
    return tuple(sorted(found, key=lambda w: (not w.equal, round(w.load_ohm, 9), len(w.text))))


def _nested(inner: CoilWiring, outer: CoilWiring, coils: int, drivers: int) -> CoilWiring:
    """Put the wiring of a driver's coils in the place of each driver."""
    texts = [
        f"each driver: {inner.text}" if coils > 1 else "",
        f"drivers: {outer.text}" if drivers > 1 else "",
    ]
    return replace(
        outer,
        coil_ohm=inner.coil_ohm * drivers,
        power_share=tuple(
            chain.from_iterable(
                (share * part for part in inner.power_share) for share in outer.power_share
            )
        ),
        text="; ".join(text for text in texts if text) or inner.text,
        network=_filled(outer.network, inner.network),
    )


def _filled(outer: Network, inner: Network) -> Network:
    if not isinstance(outer, Group):
        return inner
    return Group(outer.join, tuple(_flat(outer.join, outer.parts, inner)))


def _flat(join: str, parts: tuple[Network, ...], inner: Network) -> Iterator[Network]:
    """Yield the parts with coils put in; a series within a series becomes one."""
    for part in parts:
        filled = _filled(part, inner)
        if isinstance(filled, Group) and filled.join == join:
            yield from filled.parts
        else:
            yield filled

"""Every safe set of cable, return, fuse and holder, and the peak current that it carries."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from basswright.errors import InputError
from basswright.records.car import Charging
from basswright.records.electrics import Cable, Fuse, FuseHolder
from basswright.records.snapshot import Snapshot
from basswright.supply.ampacity import ampacity_a
from basswright.supply.conductors import resistance_20c_ohm_per_m, resistance_ohm_per_m
from basswright.supply.fuses import fuse_resistance_ohm, short_circuit_a
from basswright.supply.rules import SupplyRules

#: Body between the ground point and the battery's strap [ohm] (common practice).
BODY_OHM: Final = 0.5e-3
#: Lugs, terminals and the fuse holder's contacts together [ohm] (common practice).
JOINTS_OHM: Final = 0.9e-3

FEED_LIMITS: Final[tuple[str, ...]] = (
    "voltage drop of cable and return",
    "rating of the fuse that protects the cable",
    "no fuse on offer that the cable carries and that breaks the battery's short circuit",
)


@dataclass(frozen=True, kw_only=True)
class Feed:
    """One safe way from the battery to the amplifier.

    Attributes
    ----------
    cable : Cable
        For feed and return alike.
    fuse : Fuse
    holder : FuseHolder
    fuse_count : int
        One at the battery, another one where a second battery stands at the far end.
    cable_ohm : float
        Feed and return cable, warm [ohm].
    loop_ohm : float
        Cable, return, body, joints and fuse [ohm].
    capacity_a : float
        Greatest peak current: fuse rating or voltage drop, whichever is less [A].
    limit_index : int
        Which of :data:`FEED_LIMITS` decides.
    ampacity_a, short_circuit_a : float
        What the cable may carry for good, and a short right behind the fuse [A].
    price : float
        In the catalogue's currency.
    """

    cable: Cable
    fuse: Fuse
    holder: FuseHolder
    fuse_count: int
    cable_ohm: float
    loop_ohm: float
    capacity_a: float
    limit_index: int
    ampacity_a: float
    short_circuit_a: float
    price: float


def cable_ohm(charging: Charging, cable: Cable, *, conductor_c: float) -> float:
    """Return the resistance of feed and return cable, as laid [ohm].

    Parameters
    ----------
    charging : Charging
        Its `cable_route_m` and `ground_route_m`.
    cable : Cable
    conductor_c : float
        Temperature of the conductor [°C].

    Returns
    -------
    float
        Resistance there and back [ohm].

    Raises
    ------
    InputError
        The size does not exist in its series.

    References
    ----------
    .. [1] As :func:`~basswright.supply.conductors.resistance_ohm_per_m`.
    """
    length = charging.cable_route_m + charging.ground_route_m
    return resistance_ohm_per_m(cable, conductor_c) * length


def rest_ohm(fuse_rating_a: float) -> float:
    """Return the resistance of the rest of the loop: body, joints and fuse [ohm].

    Parameters
    ----------
    fuse_rating_a : float
        Above 0 [A].

    Returns
    -------
    float
        0.5 mohm of body, 0.9 mohm of joints (common practice, no source) and the fuse
        [ohm].
    """
    return BODY_OHM + JOINTS_OHM + fuse_resistance_ohm(fuse_rating_a)


@dataclass(frozen=True, kw_only=True)
class UsableCable:
    """A cable with what it may carry and how much it resists, worked out once.

    Attributes
    ----------
    cable : Cable
    ampacity_a : float
        In an engine bay [A].
    cold_ohm_per_m : float
        At 20 °C [ohm/m].
    """

    cable: Cable
    ampacity_a: float
    cold_ohm_per_m: float


def usable_cables(
    snapshot: Snapshot, rules: SupplyRules
) -> tuple[tuple[UsableCable, ...], tuple[InputError, ...]]:
    """Return the cables that can be judged, and what is wrong with the others.

    Parameters
    ----------
    snapshot : Snapshot
    rules : SupplyRules
        Copper-clad aluminium is left out without a word where it allows copper only.

    Returns
    -------
    cables : tuple of UsableCable
        With ampacity [A] and resistance [ohm/m].
    wrong : tuple of InputError
        One for each cable whose size or insulation is not known.
    """
    found: list[UsableCable] = []
    wrong: list[InputError] = []
    for cable in snapshot.cables:
        if rules.copper_only and cable.material == "copper-clad-aluminium":
            continue
        try:
            found.append(
                UsableCable(
                    cable=cable,
                    ampacity_a=ampacity_a(cable),
                    cold_ohm_per_m=resistance_20c_ohm_per_m(cable),
                )
            )
        except InputError as error:
            wrong.append(error.at(item=cable.id))
    return tuple(found), tuple(wrong)


def feeds(
    charging: Charging,
    snapshot: Snapshot,
    rules: SupplyRules,
    *,
    cca_a: float,
    fuse_count: int = 1,
) -> tuple[Feed, ...]:
    """List every safe set that is worth buying, cheapest and weakest first.

    A set is safe when the fuse is rated no higher than the cable's derated ampacity
    and breaks the short-circuit current of the strongest battery, and the holder takes
    the fuse. A set is left out when another one carries as much for less.

    Parameters
    ----------
    charging : Charging
    snapshot : Snapshot
    rules : SupplyRules
    cca_a : float
        Cold-cranking current of the strongest battery [A].
    fuse_count : int
        Fuses and holders that the feed takes.

    Returns
    -------
    tuple of Feed
        Ascending in price and in the peak current carried [A].

    Notes
    -----
    Greatest peak: min(fuse rating, allowed drop / R), R there and back and warm.

    References
    ----------
    .. [1] 33 CFR 183.455, Overcurrent protection: general (rating of the fuse against the
       ampacity, and place of the fuse; from memory). The fuse's rating is held to the
       ampacity itself here, without that rule's tolerance.
    """
    found: list[Feed] = []
    holders = {fuse.id: cheapest_holder(fuse, snapshot.fuse_holders) for fuse in snapshot.fuses}
    for wire in usable_cables(snapshot, rules)[0]:
        conductor = cable_ohm(charging, wire.cable, conductor_c=rules.conductor_c)
        for fuse in snapshot.fuses:
            holder = holders[fuse.id]
            if holder is None or fuse.rating_a > wire.ampacity_a:
                continue
            short = short_circuit_a(cca_a, wire.cold_ohm_per_m, fuse.rating_a)
            if fuse.breaking_a < short:
                continue
            by_drop = rules.drop_limit_v / conductor
            length = charging.cable_route_m + charging.ground_route_m
            found.append(
                Feed(
                    cable=wire.cable,
                    fuse=fuse,
                    holder=holder,
                    fuse_count=fuse_count,
                    cable_ohm=conductor,
                    loop_ohm=conductor + rest_ohm(fuse.rating_a),
                    capacity_a=min(by_drop, fuse.rating_a),
                    limit_index=0 if by_drop < fuse.rating_a else 1,
                    ampacity_a=wire.ampacity_a,
                    short_circuit_a=short,
                    price=wire.cable.price * length + fuse_count * (fuse.price + holder.price),
                )
            )
    return _worth_buying(found)


def _worth_buying(found: list[Feed]) -> tuple[Feed, ...]:
    """Return the sets that no cheaper one equals, in order of price and strength."""
    kept: list[Feed] = []
    for feed in sorted(found, key=lambda f: (f.price, -f.capacity_a)):
        if not kept or feed.capacity_a > kept[-1].capacity_a:
            kept.append(feed)
    return tuple(kept)


def cheapest_holder(fuse: Fuse, holders: tuple[FuseHolder, ...]) -> FuseHolder | None:
    """Return the cheapest holder that takes a fuse, None where there is none.

    Parameters
    ----------
    fuse : Fuse
    holders : tuple of FuseHolder

    Returns
    -------
    FuseHolder or None
        Of the fuse's family, for its rating [A] or more.
    """
    fitting = [h for h in holders if h.family == fuse.family and h.largest_a >= fuse.rating_a]
    return min(fitting, key=lambda h: (h.price, h.id), default=None)

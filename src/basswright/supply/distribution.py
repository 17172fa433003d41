"""Several amplifiers behind one main fuse: a fuse for every step to a thinner cable."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from pydantic import Field

from basswright.errors import InputError
from basswright.records.base import Record
from basswright.records.car import Charging
from basswright.records.electrics import Cable, Fuse, FuseHolder
from basswright.records.snapshot import Snapshot
from basswright.records.system import SupplyPlan
from basswright.supply.battery import FULL_VOLTAGE_V, warm_resistance_ohm
from basswright.supply.conductors import resistance_20c_ohm_per_m, resistance_ohm_per_m
from basswright.supply.feed import UsableCable, cheapest_holder, usable_cables
from basswright.supply.fuses import SHORT_PATH_OHM
from basswright.supply.plan import plan
from basswright.supply.rules import SupplyRules

#: Part of the allowed voltage drop that the branches may take; the main cable the rest.
BRANCH_DROP_SHARE: Final = 0.2


class BranchLoad(Record):
    """One amplifier at the end of its own cable from the distribution block.

    Attributes
    ----------
    name : str
    peak_a, average_a : float
        Sine at the power used, and programme [A].
    length_m : float
        Block to amplifier and on to its ground [m].
    """

    name: str = Field(min_length=1, max_length=80)
    peak_a: float = Field(gt=0, le=600)
    average_a: float = Field(gt=0, le=600)
    length_m: float = Field(gt=0, le=10, description="block to amplifier and on to its ground")


class Branch(Record):
    """The cable and fuse of one amplifier.

    Attributes
    ----------
    load : BranchLoad
    cable : Cable
    fuse : Fuse or None
        None where the main fuse protects this cable already.
    holder : FuseHolder or None
    ampacity_a : float
        What the cable may carry for good [A].
    drop_v : float
        At the peak current [V].
    short_circuit_a : float
        At the block, into the body [A].
    """

    load: BranchLoad
    cable: Cable
    fuse: Fuse | None = Field(description="None: the main fuse protects this cable already")
    holder: FuseHolder | None
    ampacity_a: float
    drop_v: float
    short_circuit_a: float = Field(description="at the block, into the body")


class Distribution(Record):
    """One main feed, a block, and a branch for each amplifier.

    Attributes
    ----------
    main : SupplyPlan
    branches : tuple of Branch
    price : float
        Main feed and branches, in the catalogue's currency.
    """

    main: SupplyPlan
    branches: tuple[Branch, ...]
    price: float


def distribute(
    charging: Charging,
    snapshot: Snapshot,
    loads: Sequence[BranchLoad],
    *,
    rules: SupplyRules | None = None,
) -> Distribution:
    """Plan the feed of several amplifiers from one battery cable.

    The main cable and its fuse carry the sum of all peaks [A]. Each branch gets the
    cheapest cable that stays within its part of the voltage drop [V]; its fuse is rated no
    higher than that cable may carry, and is left out only where the main fuse already is.

    Parameters
    ----------
    charging : Charging
    snapshot : Snapshot
        What can be bought.
    loads : sequence of BranchLoad
        One or more.
    rules : SupplyRules, optional

    Returns
    -------
    Distribution
        Branches in the order of `loads`.

    Raises
    ------
    InputError
        No load was given, or no main feed or branch on offer is safe.

    Notes
    -----
    A fifth of the allowed drop is kept for the branches (common practice, no source). A
    short at the block is V / (Ri + R main + 1 mohm), the battery's warm resistance and the
    cold main cable; a branch fuse must break it.

    References
    ----------
    .. [1] ABYC E-11, AC and DC electrical systems on boats (a fuse wherever the conductor's
       ampacity falls; from memory).
    """
    if not loads:
        raise InputError("no amplifier to feed", field="loads")
    rules = rules or SupplyRules()
    allowed_v = rules.drop_limit_v * BRANCH_DROP_SHARE
    main = plan(
        charging,
        snapshot,
        peak_a=sum(load.peak_a for load in loads),
        average_a=sum(load.average_a for load in loads),
        rules=rules.model_copy(update={"drop_limit_v": rules.drop_limit_v - allowed_v}),
    )
    short = _short_at_block_a(charging, main)
    wires = usable_cables(snapshot, rules)[0]
    branches = tuple(
        _branch(load, main, (wires, snapshot), rules, allowed_v=allowed_v, short_a=short)
        for load in loads
    )
    extra = sum(_price(branch) for branch in branches)
    return Distribution(main=main, branches=branches, price=(main.price or 0.0) + extra)


def _short_at_block_a(charging: Charging, main: SupplyPlan) -> float:
    """Return the current of a short at the far end of the main cable, cold [A]."""
    cca = charging.battery_cca_a
    if main.battery is not None:
        cca = max(cca, main.battery.cca_a)
    cable = resistance_20c_ohm_per_m(main.cable) * main.cable_length_m
    return FULL_VOLTAGE_V / (float(warm_resistance_ohm(cca)) + cable + SHORT_PATH_OHM)


def _branch(
    load: BranchLoad,
    main: SupplyPlan,
    parts: tuple[tuple[UsableCable, ...], Snapshot],
    rules: SupplyRules,
    *,
    allowed_v: float,
    short_a: float,
) -> Branch:
    wires, snapshot = parts
    found: list[Branch] = []
    for wire in wires:
        ohm_per_m = resistance_ohm_per_m(wire.cable, rules.conductor_c)
        drop = load.peak_a * ohm_per_m * load.length_m
        if drop > allowed_v or wire.ampacity_a < load.peak_a:
            continue
        for fuse, holder in _protections(wire, load, main, snapshot, short_a):
            found.append(
                Branch(
                    load=load,
                    cable=wire.cable,
                    fuse=fuse,
                    holder=holder,
                    ampacity_a=wire.ampacity_a,
                    drop_v=drop,
                    short_circuit_a=short_a,
                )
            )
    if not found:
        raise InputError(
            "no cable and fuse on offer is safe for this branch",
            item=load.name,
            field="peak_a",
            value=f"{load.peak_a:.0f} A over {load.length_m:g} m",
            allowed="a shorter branch, a stronger cable, or a fuse below its ampacity",
        )
    return min(found, key=_price)


def _protections(
    wire: UsableCable, load: BranchLoad, main: SupplyPlan, snapshot: Snapshot, short_a: float
) -> list[tuple[Fuse | None, FuseHolder | None]]:
    """Return what can protect a branch: nothing where the main fuse does, else a fuse."""
    if main.fuse.rating_a <= wire.ampacity_a:
        return [(None, None)]
    return [
        (fuse, holder)
        for fuse in snapshot.fuses
        if load.peak_a <= fuse.rating_a <= wire.ampacity_a and fuse.breaking_a >= short_a
        if (holder := cheapest_holder(fuse, snapshot.fuse_holders)) is not None
    ]


def _price(branch: Branch) -> float:
    parts = [part.price for part in (branch.fuse, branch.holder) if part is not None]
    return branch.cable.price * branch.load.length_m + sum(parts)

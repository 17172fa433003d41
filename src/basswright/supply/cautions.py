"""What to mind when working on a car's supply."""

from __future__ import annotations

from typing import Final

from basswright.records.car import Charging
from basswright.records.electrics import Cable
from basswright.supply.fuses import POSITION_TEXT
from basswright.supply.upgrades import Upgrade

#: Printed with every supply plan; makers' waiting times differ from 10 s to 10 min.
SUPPLY_CAUTIONS: Final[tuple[str, ...]] = (
    "Follow the vehicle maker's instructions and local codes where they differ; electrical work "
    "on high-voltage (orange) vehicles is for licensed people only and is not covered here.",
    "Ignition off; read fault codes and note radio code first. Battery negative off first, on "
    "last. Wait the maker's time before touching anything near restraint parts; if unknown, "
    "10 minutes. No ordinary ohmmeter on restraint wiring (as a rule yellow).",
    f"Main fuse {POSITION_TEXT}. Leave it out while working; put it in last.",
    "Every step to a thinner cable needs its own fuse, no higher than that cable may carry.",
    "Grommet where the cable passes sheet metal, sleeve where it may rub, held every 300 to "
    "450 mm, away from heat, steering, pedals, fuel and brake lines, airbags and their looms.",
    "Ground at bare, clean, sealed body metal near the amplifier, same size as the feed; where "
    "the negative post carries a battery sensor, never at the post itself.",
    "Before drilling look on both sides: fuel tank, lines, looms, airbags, spare-wheel well.",
    "Ampacity after 33 CFR 183.425 (boats, one conductor in free air, engine-space factor): "
    "there is no open table for car audio cable.",
    "Tighten all joints again after the first drive; a warm joint is a bad joint.",
)
#: A sound car may be left parked for this long and still starts (common practice, no source).
SHORT_STAND_S: Final = 7 * 86400.0
_CLAD: Final = (
    "Copper-clad aluminium: use lugs and terminals made for it, never bare strands under a "
    "screw, and look at every joint again within weeks."
)
_AGM: Final = (
    "The new battery is of another kind than the car's own: check that the alternator's "
    "regulation suits it and, with a battery sensor, code it to the car."
)
_LITHIUM: Final = (
    "A lithium battery needs its own management, a charger or regulator made for it, and must "
    "not be charged below freezing: follow its maker."
)
_SECOND: Final = (
    "A second battery needs a fuse at both ends of the cable, a vented case if it is not sealed, "
    "fastening that holds in a crash, and a relay that parts it from the starter battery."
)
_ALTERNATOR: Final = (
    "A stronger alternator needs a charge cable and fuse to suit, the right belt and pulley, and, "
    "on cars that steer it by a data bus, a regulator that the car knows."
)


def cautions(charging: Charging, upgrade: Upgrade, cable: Cable) -> tuple[str, ...]:
    """Return the cautions of a supply with its cable and the upgrade that it needs.

    Parameters
    ----------
    charging : Charging
        The car's own system; only the kind of its battery counts.
    upgrade : Upgrade
    cable : Cable

    Returns
    -------
    tuple of str
        The general ones, then those of the parts chosen.
    """
    found = list(SUPPLY_CAUTIONS)
    if cable.material == "copper-clad-aluminium":
        found.append(_CLAD)
    if upgrade.battery is not None:
        if upgrade.battery.kind != charging.battery_kind:
            found.append(_AGM)
        if upgrade.battery.kind == "lithium":
            found.append(_LITHIUM)
        if upgrade.battery.role == "second":
            found.append(_SECOND)
    if upgrade.alternator is not None:
        found.append(_ALTERNATOR)
    return tuple(found)


def parked_cautions(charging: Charging, parked_s: float | None) -> tuple[str, ...]:
    """Return a caution where the parked car empties its battery within days.

    Parameters
    ----------
    charging : Charging
    parked_s : float or None
        Until the car may not start [s]; None where it draws nothing.

    Returns
    -------
    tuple of str
        One caution below a week, else none.
    """
    if parked_s is None or parked_s >= SHORT_STAND_S:
        return ()
    return (
        f"The parked car draws {charging.standing_drain_a:.2g} A: after about "
        f"{parked_s / 3600:.0f} h it may not start, whatever is fitted. Find that drain first.",
    )

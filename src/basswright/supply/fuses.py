"""Which fuse protects a cable, and whether it can break the battery's short circuit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from basswright.records.electrics import Fuse, FuseFamily
from basswright.supply.battery import FULL_VOLTAGE_V, warm_resistance_ohm

#: Within this length of cable from the battery the fuse must sit [m] (18 in; car-audio
#: practice, no standard; ABYC E-11 asks for 178 mm where the cable is not sheathed).
POSITION_M: Final = 0.45
POSITION_TEXT: Final = (
    "within 450 mm of the battery's positive post, within 180 mm if the cable is not in conduit"
)
#: Clamps, lugs and body in the way of a short circuit right behind the fuse [ohm]
#: (common practice, no source).
SHORT_PATH_OHM: Final = 1.0e-3
#: Voltage across a fuse at its rating, cold [V] (from memory).
FUSE_DROP_V: Final = 0.06
#: Continuous current over the rating, in a warm engine bay (common practice, no source).
CONTINUOUS_SHARE: Final = 0.7


@dataclass(frozen=True, kw_only=True)
class FuseSeries:
    """The published ratings of one family of fuses.

    Attributes
    ----------
    standard : str
    ratings_a : tuple of float
        Ascending [A].
    breaking_a : float
        Least current that every fuse of the series breaks [A].
    rated_voltage_v : float
        Highest voltage at which it breaks that [V].
    """

    standard: str
    ratings_a: tuple[float, ...]
    breaking_a: float
    rated_voltage_v: float


#: Scopes after the parts of ISO 8820; lists of ratings from memory.
SERIES: Final[dict[FuseFamily, FuseSeries]] = {
    "blade": FuseSeries(
        standard="ISO 8820-3, types C and F",
        ratings_a=(1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 35, 40),
        breaking_a=1000,
        rated_voltage_v=32,
    ),
    "maxi-blade": FuseSeries(
        standard="ISO 8820-3, type E",
        ratings_a=(20, 25, 30, 35, 40, 50, 60, 70, 80, 100),
        breaking_a=1000,
        rated_voltage_v=32,
    ),
    "strip-sf30": FuseSeries(
        standard="ISO 8820-5, SF30",
        ratings_a=(30, 40, 50, 60, 70, 80, 100, 125, 150, 200),
        breaking_a=2000,
        rated_voltage_v=32,
    ),
    "strip-sf51": FuseSeries(
        standard="ISO 8820-5, SF51",
        ratings_a=(60, 80, 100, 125, 150, 175, 200, 225, 250, 300, 350, 400, 450, 500),
        breaking_a=2000,
        rated_voltage_v=32,
    ),
    "high-current": FuseSeries(
        standard="SAE J1888",
        ratings_a=(
            *(35, 40, 50, 60, 80, 100, 130, 150, 175, 200, 225, 250, 275, 300, 325, 350),
            *(400, 500, 600, 675, 750),
        ),
        breaking_a=6000,
        rated_voltage_v=32,
    ),
}


def fuse_resistance_ohm(rating_a: float) -> float:
    """Return the cold resistance of a fuse [ohm].

    Parameters
    ----------
    rating_a : float
        Above 0 [A].

    Returns
    -------
    float
        60 mV at its rating (from memory) [ohm].

    References
    ----------
    .. [1] ISO 8820, Road vehicles, Fuse-links (limits of the voltage drop at the rated
       current; the figure here is a typical one, from memory).
    """
    return FUSE_DROP_V / rating_a


def short_circuit_a(cca_a: float, cable_ohm_per_m: float, fuse_rating_a: float) -> float:
    """Return the current of a short to the body right behind the fuse [A].

    Parameters
    ----------
    cca_a : float
        Cold-cranking current of the battery, above 0 [A].
    cable_ohm_per_m : float
        Of the cable up to the fuse, at 20 °C [ohm/m].
    fuse_rating_a : float
        Above 0 [A].

    Returns
    -------
    float
        Prospective current [A].

    Notes
    -----
    12.65 V / (Ri + 0.45 m of cable + fuse + 1 mohm): a full warm battery behind its inner
    resistance, and 1 mohm of clamps, lugs and body (common practice, no source). Everything
    that would make it smaller is left out, so that the fuse is asked for more.

    References
    ----------
    .. [1] Ohm's law; EN 50342-1 for the battery's resistance
       (:func:`~basswright.supply.battery.warm_resistance_ohm`).
    """
    loop = (
        float(warm_resistance_ohm(cca_a))
        + cable_ohm_per_m * POSITION_M
        + fuse_resistance_ohm(fuse_rating_a)
        + SHORT_PATH_OHM
    )
    return FULL_VOLTAGE_V / loop


def fuse_problems(fuse: Fuse) -> tuple[str, ...]:
    """List what does not agree with the published series of the fuse's family.

    Parameters
    ----------
    fuse : Fuse
        Its rating [A] and breaking capacity [A].

    Returns
    -------
    tuple of str
        Empty where both agree.

    References
    ----------
    .. [1] ISO 8820-3 (blade fuses) and ISO 8820-5 (bolted strips), Road vehicles, Fuse-links;
       SAE J1888, High current time lag electric fuses. Ratings from memory.
    """
    series = SERIES[fuse.family]
    found: list[str] = []
    if fuse.rating_a not in series.ratings_a:
        found.append(f"{fuse.rating_a:g} A is not a rating of {series.standard}; check the family")
    if fuse.breaking_a < series.breaking_a and fuse.family != "high-current":
        found.append(
            f"breaking capacity {fuse.breaking_a:g} A is below the {series.breaking_a:g} A "
            f"of {series.standard}; ask for the data sheet"
        )
    return tuple(found)

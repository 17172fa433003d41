"""Every way to join coils in series and parallel, the load and who gets how much."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations_with_replacement, groupby, product
from typing import Literal

from basswright.errors import InputError

MOST_COILS = 8
#: Mixed coils beyond this give tens of thousands of wirings that nobody would build.
MOST_MIXED_COILS = 6


@dataclass(frozen=True)
class Group:
    """Coils, or groups of them, joined in one way.

    Attributes
    ----------
    join : "series" or "parallel"
    parts : tuple of Network
        Coils [ohm] and groups of the other kind.
    """

    join: Literal["series", "parallel"]
    parts: tuple[Network, ...]


#: One coil [ohm], or a group of coils.
Network = float | Group
_Counts = tuple[int, ...]


@dataclass(frozen=True, kw_only=True)
class CoilWiring:
    """One wiring of all the coils.

    Attributes
    ----------
    load_ohm : float
        Total nominal load [ohm].
    coil_ohm, power_share : tuple of float
        Each coil in the order of the wiring [ohm], and its share of the power [-].
    equal : bool
        Whether every coil gets the same power; otherwise one of them limits the rest.
    text : str
        The wiring in plain words.
    network : Network
        The same as a tree, for drawing.
    """

    load_ohm: float
    coil_ohm: tuple[float, ...]
    power_share: tuple[float, ...]
    equal: bool
    text: str
    network: Network


def coil_loads(coils_ohm: Sequence[float], *, equal_only: bool = False) -> tuple[CoilWiring, ...]:
    """List every series and parallel wiring of some coils.

    Parameters
    ----------
    coils_ohm : sequence of float
        Nominal impedance of each coil, 0.1 to 64: two dual 4 ohm drivers are
        ``[4, 4, 4, 4]`` [ohm].
    equal_only : bool
        Leave out wirings in which the coils get unequal power.

    Returns
    -------
    tuple of CoilWiring
        Those with equal power first, then by load.

    Raises
    ------
    InputError
        No coil, more than 8, more than 6 different ones, or one without resistance.

    Notes
    -----
    Four equal coils Z give Z/4, Z and 4 Z with equal power; n equal ones give 1, 2, 4,
    9, 22, 53 ... different loads in all. Bridges, which are neither series nor parallel, are
    left out.

    References
    ----------
    .. [1] The On-Line Encyclopedia of Integer Sequences, A048211 (resistances of n equal
       resistors in series and parallel).
    .. [2] Z. A. Lomnicki, "Two-terminal series-parallel networks", Advances in Applied
       Probability 4, 1972, pp. 109-150 (from memory).
    """
    _check(coils_ohm)
    kinds = sorted(Counter(float(ohm) for ohm in coils_ohm).items())
    values = tuple(ohm for ohm, _ in kinds)
    counts = tuple(count for _, count in kinds)
    found = [_wiring(network) for network in _networks(values, counts)]
    kept = [wiring for wiring in found if wiring.equal or not equal_only]
    return tuple(sorted(kept, key=lambda w: (not w.equal, w.load_ohm, w.text)))


def network_ohm(network: Network) -> float:
    """Return the load of a network [ohm].

    Parameters
    ----------
    network : Network
        A coil [ohm], or a group.

    Returns
    -------
    float
        Sums in series, reciprocal sums in parallel [ohm].

    References
    ----------
    .. [1] Kirchhoff's laws, as in any handbook of circuits.
    """
    if isinstance(network, float):
        return network
    parts = [network_ohm(part) for part in network.parts]
    return sum(parts) if network.join == "series" else 1 / sum(1 / part for part in parts)


def _check(coils_ohm: Sequence[float]) -> None:
    if not 1 <= len(coils_ohm) <= MOST_COILS:
        raise InputError(
            "wirings are worked out for 1 to 8 coils", field="coils", value=len(coils_ohm)
        )
    if any(not 0.1 <= ohm <= 64 for ohm in coils_ohm):
        raise InputError("not a coil", field="coils", value=list(coils_ohm), allowed="0.1-64 ohm")
    if len(set(coils_ohm)) > 1 and len(coils_ohm) > MOST_MIXED_COILS:
        raise InputError(
            "different coils can be joined up to six at a time",
            field="coils",
            value=list(coils_ohm),
            allowed="equal coils, or up to 6 different ones",
        )


def _wiring(network: Network) -> CoilWiring:
    coils, shares = zip(*_shares(network, 1.0), strict=True)
    return CoilWiring(
        load_ohm=network_ohm(network),
        coil_ohm=coils,
        power_share=shares,
        equal=max(shares) - min(shares) < 1e-9,
        text=_text(network),
        network=network,
    )


def _shares(network: Network, share: float) -> Iterator[tuple[float, float]]:
    """Yield (coil, power share): in series power goes with R, in parallel with 1/R."""
    if isinstance(network, float):
        yield network, share
        return
    weights = [network_ohm(part) for part in network.parts]
    if network.join == "parallel":
        weights = [1 / weight for weight in weights]
    for part, weight in zip(network.parts, weights, strict=True):
        yield from _shares(part, share * weight / sum(weights))


def _text(network: Network) -> str:
    if isinstance(network, float):
        return f"{network:g} ohm"
    parts = []
    for part, same in groupby(network.parts, key=_text):
        count = len(list(same))
        inner = part if part.endswith("ohm") else f"({part})"
        parts.append(f"{count} x {inner}" if count > 1 else inner)
    return f"{' and '.join(parts)} in {network.join}"


@lru_cache(maxsize=4096)
def _networks(values: tuple[float, ...], counts: _Counts) -> tuple[Network, ...]:
    """Return every network of a multiset of coils, each structure once."""
    if sum(counts) == 1:
        return (values[counts.index(1)],)
    return _joined("series", values, counts) + _joined("parallel", values, counts)


@lru_cache(maxsize=4096)
def _joined(
    join: Literal["series", "parallel"], values: tuple[float, ...], counts: _Counts
) -> tuple[Network, ...]:
    """Return the networks whose outermost joint is of one kind."""
    found: list[Network] = []
    for blocks in _partitions(counts, counts):
        if len(blocks) < 2:
            continue
        choices = [
            tuple(combinations_with_replacement(_parts(join, values, block), len(list(same))))
            for block, same in groupby(blocks)
        ]
        for choice in product(*choices):
            found.append(Group(join, tuple(part for parts in choice for part in parts)))
    return tuple(found)


def _parts(
    join: Literal["series", "parallel"], values: tuple[float, ...], counts: _Counts
) -> tuple[Network, ...]:
    """Return what may stand inside a group: a coil, or a group of the other kind."""
    if sum(counts) == 1:
        return (values[counts.index(1)],)
    return _joined("parallel" if join == "series" else "series", values, counts)


def _partitions(counts: _Counts, most: _Counts) -> Iterator[tuple[_Counts, ...]]:
    """Yield every split of a multiset into blocks, largest block (as a tuple) first."""
    if not any(counts):
        yield ()
        return
    for block in product(*(range(count, -1, -1) for count in counts)):
        if any(block) and block <= most:
            rest = tuple(count - taken for count, taken in zip(counts, block, strict=True))
            for more in _partitions(rest, block):
                yield (block, *more)

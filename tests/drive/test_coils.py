"""Coil wirings against published counts and a brute-force circuit solution."""

from __future__ import annotations

from itertools import count

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from basswright.drive.coils import Group, Network, coil_loads
from basswright.errors import InputError

#: Different loads of n equal resistors in series and parallel (OEIS A048211).
DIFFERENT_LOADS = (1, 2, 4, 9, 22, 53, 131, 337)
#: Series-parallel networks with n unlabelled edges (OEIS A000084).
NETWORKS = (1, 2, 4, 10, 24, 66, 180, 522)


@pytest.mark.parametrize("coils", range(1, 9))
def test_every_wiring_is_found_once(coils: int) -> None:
    """The published numbers of networks and of different loads."""
    found = coil_loads([1.0] * coils)
    assert len(found) == len({wiring.text for wiring in found}) == NETWORKS[coils - 1]
    assert len({round(wiring.load_ohm, 9) for wiring in found}) == DIFFERENT_LOADS[coils - 1]


@pytest.mark.parametrize(
    ("coils", "loads"),
    [
        ([4.0] * 2, {2.0, 8.0}),
        ([2.0] * 2, {1.0, 4.0}),
        ([1.0] * 2, {0.5, 2.0}),
        ([4.0] * 4, {1.0, 4.0, 16.0}),
        ([2.0] * 4, {0.5, 2.0, 8.0}),
        ([4.0] * 6, {0.667, 2.667, 6.0, 24.0}),
        ([2.0] * 8, {0.25, 1.0, 4.0, 16.0}),
    ],
)
def test_loads_of_the_usual_sets_with_equal_power(coils: list[float], loads: set[float]) -> None:
    """Z s/p for s p coils: every coil carries the same power."""
    found = coil_loads(coils, equal_only=True)
    assert {round(wiring.load_ohm, 3) for wiring in found} == loads


def _edges(network: Network, a: int, b: int, nodes: count[int]) -> list[tuple[int, int, float]]:
    """Return the resistors of a network between two nodes."""
    if not isinstance(network, Group):
        return [(a, b, network)]
    if network.join == "parallel":
        return [edge for part in network.parts for edge in _edges(part, a, b, nodes)]
    ends = [a, *(next(nodes) for _ in network.parts[1:]), b]
    return [
        edge
        for part, start, end in zip(network.parts, ends, ends[1:], strict=False)
        for edge in _edges(part, start, end, nodes)
    ]


@given(st.lists(st.sampled_from([1.0, 2.0, 4.0, 8.0]), min_size=1, max_size=5))
def test_loads_and_shares_solve_the_circuit(coils: list[float]) -> None:
    """Nodal analysis (conductance matrix) of every wiring gives the same."""
    for wiring in coil_loads(coils):
        edges = _edges(wiring.network, 0, 1, count(2))
        size = 1 + max(max(a, b) for a, b, _ in edges)
        matrix = np.zeros((size, size))
        for a, b, ohm in edges:
            matrix[[a, b], [a, b]] += 1 / ohm
            matrix[[a, b], [b, a]] -= 1 / ohm
        inner = [node for node in range(size) if node != 1]
        volts = np.zeros(size)
        volts[inner] = np.linalg.solve(matrix[np.ix_(inner, inner)], np.eye(size)[0][inner])
        assert wiring.load_ohm == pytest.approx(volts[0])
        powers = [(volts[a] - volts[b]) ** 2 / ohm for a, b, ohm in edges]
        assert wiring.power_share == pytest.approx([p / sum(powers) for p in powers])
        assert wiring.equal == (max(wiring.power_share) - min(wiring.power_share) < 1e-9)


def test_unequal_sharing_is_told_apart() -> None:
    """Two in series beside one: 1/6, 1/6 and 2/3 of the power."""
    found = next(w for w in coil_loads([4.0] * 3) if round(w.load_ohm, 3) == 2.667)
    assert not found.equal
    assert sorted(found.power_share) == pytest.approx([1 / 6, 1 / 6, 2 / 3])
    assert "in parallel" in found.text


@pytest.mark.parametrize("coils", [[], [4.0] * 9, [0.0], [1.0, 2.0, 4.0, 8.0, 1.0, 2.0, 4.0]])
def test_what_cannot_be_joined_is_refused(coils: list[float]) -> None:
    """No coil, too many, a short, or too many different ones."""
    with pytest.raises(InputError):
        coil_loads(coils)


def test_coils_are_named_as_they_are_and_odd_ones_refused() -> None:
    """0.1 to 64 ohm; each coil of a wiring comes back."""
    found = coil_loads([0.1, 64.0])
    assert all(sorted(wiring.coil_ohm) == [0.1, 64.0] for wiring in found)
    for ohm in (0.0999, 64.1):
        with pytest.raises(InputError, match="not a coil"):
            coil_loads([ohm, 4.0])

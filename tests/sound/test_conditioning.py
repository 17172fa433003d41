"""Belief after the figures against Bayes' theorem in closed form, and what draws must hold."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import norm

from basswright.sound.conditioning import conditioned, proposals, resampled
from basswright.sound.figures import Linear

RNG = np.random.default_rng(4)
MEAN = RNG.normal(size=(2, 4))
SPREAD = RNG.uniform(0.1, 0.6, size=(2, 4))
FIGURES = [
    Linear(row=row, value=value, spread=spread)
    for row, value, spread in zip(
        RNG.normal(size=(3, 4)),
        np.array([[0.3, -0.2], [1.1, np.nan], [np.nan, 0.4]]),
        RNG.uniform(0.05, 0.2, size=(3, 2)),
        strict=True,
    )
]


@pytest.mark.parametrize("box", [0, 1])
def test_conditioning_is_bayes_theorem(box: int) -> None:
    """Precision adds: P^-1 = D^-1 + sum of h h^T / r, and so does precision times mean."""
    precision = np.diag(SPREAD[box] ** -2)
    weighted = precision @ MEAN[box]
    for figure in FIGURES:
        if not np.isnan(figure.value[box]):
            precision = precision + np.outer(figure.row, figure.row) / figure.spread[box] ** 2
            weighted = weighted + figure.row * figure.value[box] / figure.spread[box] ** 2
    mean, covariance = conditioned(MEAN, SPREAD, FIGURES)
    assert covariance[box] == pytest.approx(np.linalg.inv(precision), abs=1e-12)
    assert mean[box] == pytest.approx(np.linalg.solve(precision, weighted))


def test_nothing_known_leaves_the_prior() -> None:
    """A figure that no sheet states changes nothing, and the arguments stay as they are."""
    silent = Linear(row=np.ones(4), value=np.full(2, np.nan), spread=np.ones(2))
    before = MEAN.copy()
    mean, covariance = conditioned(MEAN, SPREAD, [silent])
    assert np.array_equal(mean, MEAN)
    assert covariance[1] == pytest.approx(np.diag(SPREAD[1] ** 2))
    conditioned(MEAN, SPREAD, FIGURES)
    assert np.array_equal(before, MEAN)


def test_proposals_fill_every_layer_once() -> None:
    """A Latin hypercube: of 64 draws one lies in each 64th of every unknown's distribution
    (McKay, Beckman and Conover 1979), whatever its shift, and their moments follow."""
    covariance = np.broadcast_to(np.diag(SPREAD[0] ** 2), (2, 4, 4))
    states = proposals(MEAN, covariance, ids=["a", "b"], count=64, seed=3)
    assert states.shape == (2, 64, 4)
    uniform = norm.cdf((states - MEAN[:, None]) / SPREAD[0])
    for box in range(2):
        for unknown in range(4):
            column = np.sort(uniform[box, :, unknown])
            assert np.diff(column) == pytest.approx(1 / 64, abs=1e-6)
    assert not np.allclose(uniform[0], uniform[1])
    other = proposals(MEAN, covariance, ids=["a", "b"], count=64, seed=4)
    assert not np.allclose(states, other)


def test_proposals_are_correlated_as_the_belief_is() -> None:
    """The sample covariance of many draws is the one asked for."""
    factor = RNG.normal(size=(4, 4)) * 0.3
    covariance = (factor @ factor.T)[None]
    states = proposals(MEAN[:1], covariance, ids=["a"], count=4096, seed=0)
    assert np.cov(states[0].T) == pytest.approx(covariance[0], abs=0.02)
    assert states[0].mean(axis=0) == pytest.approx(MEAN[0], abs=2e-3)


def test_resampling_keeps_weights_to_within_one_draw() -> None:
    """Systematic resampling: a draw of weight w is taken w n times, rounded up or down
    (Douc, Cappe and Moulines 2005); the first row is the weighted mean."""
    states = np.arange(8.0)[None, :, None]
    weight = np.array([[0.30, 0.02, 0.18, 0.0, 0.25, 0.05, 0.10, 0.10]])
    with np.errstate(divide="ignore"):
        logs = np.log(weight) + 7.0
    kept = resampled(states, logs, count=20, order=states[..., 0])
    assert kept.shape == (1, 21, 1)
    assert kept[0, 0, 0] == pytest.approx(np.sum(weight * np.arange(8)))
    taken = np.bincount(kept[0, 1:, 0].astype(int), minlength=8)
    assert np.all(np.abs(taken - 20 * weight[0]) < 1)
    assert np.all(np.diff(kept[0, 1:, 0]) >= 0)


def test_resampling_of_equal_weights_takes_every_kth_from_the_middle() -> None:
    """Eight equal draws, four wanted: one of each pair along the order, half a step in."""
    states = np.arange(8.0)[None, :, None]
    kept = resampled(states, np.zeros((1, 8)), count=4, order=-states[..., 0])
    assert kept[0, 1:, 0].tolist() == [7.0, 5.0, 3.0, 1.0]
    assert resampled(states, np.zeros((1, 8)), count=0, order=states[..., 0]).shape == (1, 1, 1)

"""Flat surfaces in a cloud of points: found by random samples, fitted by least squares.

References
----------
.. [1] M. A. Fischler, R. C. Bolles, "Random sample consensus", Communications of the ACM
   24 (1981), pp. 381-395.
.. [2] P. J. Rousseeuw, C. Croux, "Alternatives to the median absolute deviation",
   Journal of the American Statistical Association 88 (1993), pp. 1273-1283.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from basswright.space.arrays import Bools, Floats

_TRIES = 400
_THINNED = 4000
_LEAST_FLAT_M = 0.008
_SEARCHED_M = 0.02
_TIMES_NOISE = 3.0
_LEAST_OUT_M = 0.02
_OUT_TIMES_NOISE = 5.0
_FROM_MAD = 1.4826  # standard deviation of normal errors per median absolute deviation
_STRAIGHT = 0.003  # a direction is taken as square to an axis within this


@dataclass(frozen=True, kw_only=True)
class Spread:
    """How far points scatter about the surfaces of a scan.

    Attributes
    ----------
    noise_m : float
        Standard deviation square to a flat surface.
    flat_m : float
        A point this near to a flat surface lies on it.
    out_m : float
        A point this far from a flat surface belongs to something else.
    """

    noise_m: float

    @property
    def flat_m(self) -> float:
        """Reach of a flat surface [m]."""
        return max(_LEAST_FLAT_M, _TIMES_NOISE * self.noise_m)

    @property
    def out_m(self) -> float:
        """What stands out further is something else [m]."""
        return max(_LEAST_OUT_M, _OUT_TIMES_NOISE * self.noise_m)


def spread_of(points: Floats) -> Spread:
    """Take the noise of a scan from the points about its largest flat surface."""
    rng = np.random.default_rng(0)
    normal, offset = _best_sample(_thinned(points, rng), rng, _SEARCHED_M / 2)
    for _ in range(3):
        away = points @ normal - offset
        normal, offset = fitted(points[np.abs(away) < _SEARCHED_M])
    away = points @ normal - offset
    near = away[np.abs(away) < 3 * _SEARCHED_M]
    noise = _FROM_MAD * float(np.median(np.abs(near - np.median(near))))
    return Spread(noise_m=noise)


def largest_flat(
    points: Floats, rng: np.random.Generator, flat_m: float
) -> tuple[Floats, float, Bools]:
    """Return unit normal and offset of the flat surface with the most points, and these."""
    normal, offset = _best_sample(_thinned(points, rng), rng, flat_m)
    for _ in range(4):
        near = np.abs(points @ normal - offset) < flat_m
        if near.sum() < 3:
            break
        normal, offset = fitted(points[near])
    return normal, offset, np.abs(points @ normal - offset) < flat_m


def shared_out(
    points: Floats, normals: Floats, offsets: Floats, spread: Spread
) -> tuple[Floats, Floats]:
    """Fit flat surfaces anew, each to the points that are nearer to it than to the others."""
    normals, offsets = normals.copy(), offsets.copy()
    for _ in range(3):
        away = np.abs(points @ normals.T - offsets)
        own = away.argmin(axis=1)
        near = away.min(axis=1) < spread.flat_m
        for k in range(len(offsets)):
            mine = points[near & (own == k)]
            if len(mine) < 12:
                continue
            normal, offset = fitted(mine)
            sign = 1.0 if normal @ normals[k] > 0 else -1.0
            normals[k], offsets[k] = sign * normal, sign * offset
    return normals, offsets


def fitted(points: Floats) -> tuple[Floats, float]:
    """Return unit normal and offset of the plane through points, by least squares."""
    middle = points.mean(axis=0)
    own = points - middle
    _, axes = np.linalg.eigh(own.T @ own)
    return axes[:, 0], float(axes[:, 0] @ middle)


def straightened(
    points: Floats,
    flats: tuple[Floats, Floats],
    spread: Spread,
    straight: float = _STRAIGHT,
) -> tuple[Floats, Floats]:
    """Drop the parts of normals that noise may have made, and fit the offsets anew."""
    normals, offsets = flats[0].copy(), flats[1].copy()
    away = np.abs(points @ normals.T - offsets)
    own, near = away.argmin(axis=1), away.min(axis=1) < spread.flat_m
    for k, normal in enumerate(flats[0]):
        mine = points[near & (own == k)]
        kept = np.where(np.abs(normal) < straight, 0.0, normal)
        if len(mine):
            normals[k] = kept / np.linalg.norm(kept)
            offsets[k] = np.median(mine @ normals[k])
    return normals, offsets


def _thinned(points: Floats, rng: np.random.Generator) -> Floats:
    if len(points) <= _THINNED:
        return points
    return points[rng.choice(len(points), _THINNED, replace=False)]


def _best_sample(points: Floats, rng: np.random.Generator, flat_m: float) -> tuple[Floats, float]:
    triples = points[rng.integers(0, len(points), (_TRIES, 3))]
    normal = np.cross(triples[:, 1] - triples[:, 0], triples[:, 2] - triples[:, 0])
    size = np.linalg.norm(normal, axis=1)
    good = size > 1e-9
    if not good.any():
        return np.array([0.0, 0.0, 1.0]), float(points[0, 2])
    normal = normal[good] / size[good, None]
    offset = (normal * triples[good, 0]).sum(axis=1)
    count = (np.abs(points @ normal.T - offset) < flat_m).sum(axis=0)
    best = int(count.argmax())
    return normal[best], float(offset[best])

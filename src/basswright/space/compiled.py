"""How the hot loops of this package are compiled.

Compiled functions keep to plain loops over scalars: slices, array expressions and
library calls inside them each cost a second or two the first time they run. A compiled
function is optimised again inside each compiled caller, so that what has one caller is
better made a part of it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar, cast

from numba import njit

_Function = TypeVar("_Function", bound=Callable[..., Any])

_OPTIONS: dict[str, Any] = {"nogil": True, "error_model": "numpy"}
_BARE: dict[str, Any] = {"no_cpython_wrapper": True, "no_cfunc_wrapper": True}

_njit = njit(cache=True, **_OPTIONS)
_inner = njit(cache=True, **_OPTIONS, **_BARE)
_part = njit(inline="always", **_OPTIONS)


def compiled(function: _Function) -> _Function:
    """Compile a function at its first call and keep the result on disk."""
    return cast(_Function, _njit(function))


def part(function: _Function) -> _Function:
    """Make a function a part of every compiled one that calls it."""
    return cast(_Function, _part(function))


def inner(function: _Function) -> _Function:
    """Compile a function that only compiled ones call."""
    return cast(_Function, _inner(function))

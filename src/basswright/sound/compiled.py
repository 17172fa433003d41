"""How hot loops are compiled: by numba, without the GIL, kept between runs."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar, cast

from numba import njit

F = TypeVar("F", bound=Callable[..., Any])

#: Only what keeps results within rounding: fused multiply-add, one division for several.
_FAST = {"contract", "arcp", "nsz"}


def compiled(function: F) -> F:
    """Compile a loop over arrays; the first call of a machine takes a second or so."""
    return cast(F, njit(cache=True, nogil=True, fastmath=_FAST, error_model="numpy")(function))


def inlined(function: F) -> F:
    """Compile a piece of such a loop so that it becomes part of its caller."""
    return cast(F, njit(inline="always", nogil=True, fastmath=_FAST, error_model="numpy")(function))

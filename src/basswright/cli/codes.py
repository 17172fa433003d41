"""Exit codes, the same for every command."""

from __future__ import annotations

from basswright import errors

DONE = 0
UNEXPECTED = 1
BAD_INPUT = 2
WISH_NOT_MET = 3
NOT_FOUND = 4
REFUSED = 5


def of(error: errors.BasswrightError) -> int:
    """Return the exit code that tells a script what kind of error this was."""
    if isinstance(error, errors.NotFoundError | errors.EmptyStoreError):
        return NOT_FOUND
    if isinstance(error, errors.InputError | errors.InputErrors):
        return BAD_INPUT
    return REFUSED

"""The one door of the terminal: runs a command, turns our errors into one message."""

from __future__ import annotations

import json
import os
import sys
from typing import Any

from basswright import errors
from basswright.cli import codes


def main() -> None:
    """Run the command line and leave with its exit code."""
    use_one_thread_for_small_matrices()
    from basswright.cli.commands import app

    try:
        app(standalone_mode=True)
    except errors.BasswrightError as error:
        _tell(error)
        raise SystemExit(codes.of(error)) from None
    except OSError as error:
        place = f"{error.filename}: " if error.filename else ""
        _tell(errors.BasswrightError(f"{place}{error.strerror or error}"))
        raise SystemExit(codes.REFUSED) from None
    except KeyboardInterrupt:
        sys.stderr.write("stopped\n")
        raise SystemExit(130) from None


def use_one_thread_for_small_matrices() -> None:
    """Keep the linear algebra library from splitting small matrices among threads.

    Ours are many and small: split, they take several times as long. A user's own
    setting is left alone; it has to stand before numpy is loaded.
    """
    for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
        os.environ.setdefault(name, "1")


def _tell(error: errors.BasswrightError) -> None:
    if "--json" in sys.argv:
        sys.stderr.write(json.dumps(as_data(error), ensure_ascii=False) + "\n")
    else:
        sys.stderr.write(f"basswright: {error}\n")


def as_data(error: errors.BasswrightError) -> dict[str, Any]:
    """Return an error as plain data, for ``--json`` and for other front ends."""
    data: dict[str, Any] = {"error": type(error).__name__, "message": str(error)}
    if isinstance(error, errors.InputErrors):
        data["problems"] = [as_data(each) for each in error.errors]
    if isinstance(error, errors.InputError):
        data |= {
            "item": error.item,
            "field": error.field,
            "read": None if error.value is None else str(error.value),
            "allowed": error.allowed,
        }
    return data

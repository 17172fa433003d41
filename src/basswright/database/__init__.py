"""Where is it kept? One database for catalogue and jobs: engine, tables, migrations."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sqlalchemy import Engine

__all__ = ["connect"]


def connect(url: str | None = None) -> Engine:
    """Open the database, make or upgrade its tables, and return the engine.

    See :func:`basswright.database.engine.connect`.
    """
    from basswright.database.engine import connect as connect_

    return connect_(url)

"""What several packages' tests need: empty databases of either sort."""

from tests.databases import database_url, engine, postgresql

__all__ = ["database_url", "engine", "postgresql"]

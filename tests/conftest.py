"""What several packages' tests need: one thread for small matrices, empty databases.

The threads have to be set before numpy is loaded.
"""

from basswright.cli.main import use_one_thread_for_small_matrices

use_one_thread_for_small_matrices()

from tests.databases import database_url, engine, postgresql  # noqa: E402

__all__ = ["database_url", "engine", "postgresql"]

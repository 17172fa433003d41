"""What several packages' tests need: one thread for small matrices, empty databases.

The threads have to be set before numpy is loaded. Properties have no time limit: a busy
machine is not a fault of the code.
"""

from hypothesis import settings

from basswright.cli.main import use_one_thread_for_small_matrices

use_one_thread_for_small_matrices()
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")

from tests.databases import database_url, engine, postgresql  # noqa: E402

__all__ = ["database_url", "engine", "postgresql"]

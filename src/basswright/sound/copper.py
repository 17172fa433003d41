"""What copper coils do when they get hot."""

from __future__ import annotations

from typing import Final

#: Rise of the resistance of annealed copper [1/K] at 20 degrees (IACS).
COPPER_PER_K: Final = 0.00393
#: Rise of the coils at the rated power [K] (common practice, no source).
RATED_RISE_K: Final = 175.0
#: Resistance of the coils at their rated power over that of cold ones.
HOT_OVER_COLD: Final = 1 + COPPER_PER_K * RATED_RISE_K

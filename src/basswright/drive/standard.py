"""The conditions under which ANSI/CTA-2006 rates the continuous power of an amplifier."""

from __future__ import annotations

from typing import Final

#: Supply of the amplifier [V].
STANDARD_SUPPLY_V: Final = 14.4
#: Greatest THD+N.
STANDARD_DISTORTION_SHARE: Final = 0.01

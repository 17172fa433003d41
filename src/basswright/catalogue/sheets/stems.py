"""Settles heads of columns by words in them, where neither a list nor likeness does."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

from basswright.catalogue.sheets.targets import DIMENSION_ORDERS
from basswright.catalogue.sheets.words import stem_rules, stem_text

#: How sure such a guess is, of 100; a net price goes before one that does not say, and
#: both before a retail price.
SCORE: Final = 90.0
NET_SCORE: Final = 91.0
GROSS_SCORE: Final = 86.5
GROSS_NOTE: Final = "a retail or gross price, as it seems; the sheet has no net price"

_THREE = re.compile(r"\b(\w+)\s*[x×*/]\s*(\w+)\s*[x×*/]\s*(\w+)\b", re.I)
_JOINED = re.compile(r"\b([bwldthpagsf])x([bwldthpagsf])x([bwldthpagsf])\b", re.I)
#: Initials of width, height and depth, by language.
_LETTERS: Final = ("whd", "bht", "lhp", "lap", "bhd", "aaf", "ahf", "swg", "lhd", "lhf", "aap")


def dimension_order(head: str) -> str | None:
    """Return the order of three sides that a head names, such as "dwh"; None if it does not.

    Length x width x height is read as the box lies: the length is its width.
    """
    found = _THREE.search(head) or _JOINED.search(head)
    if found is None:
        return None
    initials = "".join(word[0].casefold() for word in found.groups())
    if sorted(initials) == sorted("lwh"):
        return initials.replace("w", "d").replace("l", "w")
    if initials in ("aaf", "aap"):
        return "whd"
    for letters in _LETTERS:
        if sorted(initials) == sorted(letters) and len(set(letters)) == 3:
            return initials.translate(str.maketrans(letters, "whd"))
    return None


def stem_target(kind: str, name: str, known: Mapping[str, object]) -> tuple[str | None, float]:
    """Return the target that a plain name tells by a word in it, and how sure that is."""
    price = _price(name) if "price" in known else 0.0
    if price:
        return "price", price
    for target, pattern in stem_rules(kind):
        if target in known and pattern.search(name):
            return target, SCORE
    return None, 0.0


def is_gross(name: str) -> bool:
    """Tell whether a plain head names a retail or gross price."""
    return _has("gross_words", name) and not _has("net_words", name)


def is_total(text: str) -> bool:
    """Tell whether a cell opens a line of totals."""
    return bool(re.match(rf"(?:{stem_text('totals')})\b", text.strip().casefold()))


def _price(name: str) -> float:
    """Return how surely a plain name is that of a price; 0 if it is none."""
    words = name.split()
    alone = len(words) <= 2 and not re.search(r"gewicht|weight|vol|poids|peso|waga|mass", name)
    net, gross = _has("net_words", name), _has("gross_words", name)
    if not (re.search(rf"\b(?:{stem_text('price_words')})", name) or (alone and (net or gross))):
        return 0.0
    return NET_SCORE if net else GROSS_SCORE if gross else SCORE


def _has(words: str, name: str) -> bool:
    return bool(re.search(rf"\b(?:{stem_text(words)})\b", name))


def order_target(order: str) -> str:
    """Return the name of the target for three sides in an order."""
    return DIMENSION_ORDERS[order]

"""What a new set of things changes in the catalogue: added, changed, dearer, the same."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field


@dataclass(frozen=True, kw_only=True)
class PriceChange:
    """A thing that was known already and has another price now."""

    kind: str
    id: str
    old: float
    new: float


@dataclass(frozen=True, kw_only=True)
class Changes:
    """What was done to the catalogue, by ids."""

    added: tuple[str, ...] = ()
    changed: tuple[str, ...] = ()
    removed: tuple[str, ...] = ()
    same: int = 0
    prices: tuple[PriceChange, ...] = ()

    def __add__(self, other: Changes) -> Changes:
        return Changes(
            added=self.added + other.added,
            changed=self.changed + other.changed,
            removed=self.removed + other.removed,
            same=self.same + other.same,
            prices=self.prices + other.prices,
        )


@dataclass(frozen=True, kw_only=True)
class Kept:
    """One row of the store, or one that is about to become one."""

    id: str
    name_key: str
    price: float
    content: str


@dataclass(frozen=True, kw_only=True)
class Plan:
    """Rows to insert and to rewrite, and the changes that this makes."""

    insert: list[Kept] = field(default_factory=list)
    rewrite: list[Kept] = field(default_factory=list)
    changes: Changes = field(default_factory=Changes)


def plan(kind: str, kept: Mapping[str, Kept], new: Sequence[Kept]) -> Plan:
    """Compare new rows with the kept ones (by id) and say what has to be written."""
    insert: list[Kept] = []
    rewrite: list[Kept] = []
    prices: list[PriceChange] = []
    same = 0
    for row in new:
        old = kept.get(row.id)
        if old is None:
            insert.append(row)
        elif old.content == row.content:
            same += 1
        else:
            rewrite.append(row)
            if old.price != row.price:
                prices.append(PriceChange(kind=kind, id=row.id, old=old.price, new=row.price))
    changes = Changes(
        added=tuple(row.id for row in insert),
        changed=tuple(row.id for row in rewrite),
        same=same,
        prices=tuple(prices),
    )
    return Plan(insert=insert, rewrite=rewrite, changes=changes)

"""What each box is judged by before an amplifier is chosen."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from basswright.choose.systems import Boxes
from basswright.records.electrics import Fixing
from basswright.records.enclosure import Enclosure
from basswright.records.placement import FitTable
from basswright.records.shapes import outer_volume_m3
from basswright.records.verdict import VerdictTable
from basswright.records.wish import Wish

#: A box that fails more rules of its own than this is in no answer.
MOST_FAILURES = 2
#: Deceleration that a fixing has to hold a box against [m/s2]: 20 g, printed by motoring
#: clubs for a stop from 50 km/h (see the page on space).
HELD_AGAINST_M_PER_S2 = 20 * 9.81
#: Mass of a box of which the sheet tells none, by outer volume [kg/m3] (common practice,
#: no source).
TYPICAL_DENSITY_KG_PER_M3 = 220.0


@dataclass(frozen=True, kw_only=True)
class BoxFacts:
    """What a catalogue tells of n boxes, as columns.

    Attributes
    ----------
    kind : ndarray of str, shape (n,)
    built_in : ndarray of bool, shape (n,)
    price : ndarray, shape (n,)
        Box and the fixing that holds it, without tax [money].
    contradicts : ndarray of bool, shape (n,)
        Boxes whose data sheet contradicts itself.
    """

    kind: NDArray[np.str_]
    built_in: NDArray[np.bool_]
    price: NDArray[np.float64]
    contradicts: NDArray[np.bool_]


def box_facts(
    enclosures: Sequence[Enclosure],
    fixings: Sequence[Fixing],
    *,
    contradicting: Collection[str] = (),
) -> BoxFacts:
    """Return the columns that the rules on boxes need; `contradicting` are ids of boxes."""
    price = [each.price + fixing_price(each, fixings) for each in enclosures]
    return BoxFacts(
        kind=np.array([each.kind for each in enclosures], dtype=np.str_),
        built_in=np.array([each.amplifier is not None for each in enclosures], dtype=bool),
        price=np.array(price, dtype=float),
        contradicts=np.array([each.id in contradicting for each in enclosures], dtype=bool),
    )


def judge_boxes(
    facts: BoxFacts,
    fit: FitTable,
    *,
    wish: Wish,
    hours: float,
    sight_mm: NDArray[np.float64] | None = None,
) -> Boxes:
    """Judge every box by the rules that concern it alone.

    Parameters
    ----------
    facts : BoxFacts
        Of n boxes.
    fit : FitTable
        Of the same n boxes.
    wish : Wish
    hours : float
        Work that every box makes [h].
    sight_mm : ndarray, shape (n,), optional
        Air under the luggage cover, negative where a box is seen that may not be.
    """
    left = np.maximum(fit.luggage_space_m3 - fit.luggage_lost_m3, 0.0)
    kind_ok = np.isin(facts.kind, wish.box_kinds)
    wanted = {"either": (True, True), "only": (True, False), "never": (False, True)}
    with_amplifier, without = wanted[wish.built_in_amplifier]
    built_in_ok = np.where(facts.built_in, with_amplifier, without)
    return Boxes(
        price=facts.price,
        hours=np.full(facts.price.size, hours),
        luggage_left_m3=left,
        luggage_space_m3=fit.luggage_space_m3,
        margins={
            "box kind": np.where(kind_ok, 0.0, -1.0),
            "built-in amplifier": np.where(built_in_ok, 0.0, -1.0),
            "space": _signed(fit.fit),
            "opening": _signed(fit.opening),
            "luggage": (left - wish.luggage_keep_m3) * 1000,
            "out of sight": np.zeros(left.size) if sight_mm is None else sight_mm,
            "data sheet": np.where(
                facts.contradicts & (wish.doubtful_sheets == "leave out"), -1.0, 0.0
            ),
        },
    )


def _signed(verdict: VerdictTable) -> NDArray[np.float64]:
    """Return margins whose sign agrees with the verdict to the last bit."""
    margin: NDArray[np.float64] = np.where(
        verdict.passes, np.maximum(verdict.margin, 0.0), np.minimum(verdict.margin, -1e-3)
    )
    return margin


def mass_kg(enclosure: Enclosure) -> float:
    """Return the mass of a box, estimated from its outer size where the sheet is silent."""
    if enclosure.mass_kg is not None:
        return enclosure.mass_kg
    return TYPICAL_DENSITY_KG_PER_M3 * outer_volume_m3(enclosure.shape)


def fixing_for(enclosure: Enclosure, fixings: Sequence[Fixing]) -> Fixing | None:
    """Return the cheapest fixing that holds the box, or the strongest if none does."""
    if not fixings:
        return None
    force = mass_kg(enclosure) * HELD_AGAINST_M_PER_S2
    strong = [each for each in fixings if each.rated_force_n >= force]
    if strong:
        return min(strong, key=lambda each: (each.price, each.id))
    return max(fixings, key=lambda each: (each.rated_force_n, each.id))


def fixing_price(enclosure: Enclosure, fixings: Sequence[Fixing]) -> float:
    """Return what holding the box down costs, without tax."""
    fixing = fixing_for(enclosure, fixings)
    return 0.0 if fixing is None else fixing.price


def may_be_answers(boxes: Boxes) -> NDArray[np.intp]:
    """Return the rows of the boxes that fail at most two rules of their own."""
    failures = sum((margin < -1e-9).astype(np.intp) for margin in boxes.margins.values())
    return np.flatnonzero(failures <= MOST_FAILURES)


def rows_of(boxes: Boxes, rows: NDArray[np.intp]) -> Boxes:
    """Return some of the boxes."""
    return replace(
        boxes,
        price=boxes.price[rows],
        hours=boxes.hours[rows],
        luggage_left_m3=boxes.luggage_left_m3[rows],
        margins={name: margin[rows] for name, margin in boxes.margins.items()},
    )


def rows_of_fit(fit: FitTable, rows: NDArray[np.intp]) -> FitTable:
    """Return the fit of some of the boxes."""
    return replace(
        fit,
        fit=_rows_of_verdict(fit.fit, rows),
        opening=_rows_of_verdict(fit.opening, rows),
        orientation_index=fit.orientation_index[rows],
        cone_m=fit.cone_m[rows],
        luggage_lost_m3=fit.luggage_lost_m3[rows],
    )


def _rows_of_verdict(verdict: VerdictTable, rows: NDArray[np.intp]) -> VerdictTable:
    return replace(
        verdict,
        passes=verdict.passes[rows],
        margin=verdict.margin[rows],
        limit_index=verdict.limit_index[rows],
        sure=verdict.sure[rows],
    )

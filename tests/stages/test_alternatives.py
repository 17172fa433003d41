"""The quote names other systems: the best in something first, then the next in order."""

from __future__ import annotations

from basswright.records.system import Option
from basswright.stages.alternatives import MOST, alternatives
from tests.papers.samples import vented


def option(box: str, *, price: float = 1000.0, named: tuple[str, ...] = ()) -> Option:
    plain = vented().option
    return plain.model_copy(
        update={
            "id": f"{box}--amp",
            "enclosure": plain.enclosure.model_copy(update={"id": box, "model": box}),
            "goals": plain.goals.model_copy(update={"price": price}),
            "named": named,
        }
    )


def test_systems_that_are_best_in_something_come_before_the_next_in_order():
    chosen, second, third = option("a"), option("b", price=900), option("c", price=950)
    loud = option("d", price=1400, named=("loudest",))
    cheap = option("e", price=400, named=("cheapest", "easiest to fit"))
    told = alternatives((chosen, second, third, loud, cheap), chosen)
    assert [other.price for other in told] == [400, 900, 1400]
    assert told[0].corners == ("cheapest", "easiest to fit")
    assert told[1].corners == ()


def test_neither_the_chosen_box_nor_one_box_twice_is_named():
    chosen = option("a", named=("lowest",))
    same = option("a", price=700, named=("cheapest",))
    twice = (option("b", named=("loudest",)), option("b", price=10))
    found = alternatives((chosen, same, *twice), chosen)
    assert len(found) == 1
    assert found[0].corners == ("loudest",)


def test_there_are_never_more_than_a_customer_can_weigh():
    every = [option(str(n), price=n) for n in range(9)]
    assert len(alternatives(every, every[0])) == MOST


def test_an_alternative_says_what_it_promises():
    chosen, other = option("a"), option("b", price=1234.5)
    (told,) = alternatives((chosen, other), chosen)
    goals = other.goals
    assert told.name == "Marrow & Finch b + Quillon Mono 600"
    assert (told.price, told.level_db) == (1234.5, goals.sure_level_db)
    assert (told.low_limit_hz, told.luggage_left_m3) == (
        goals.sure_low_limit_hz,
        goals.luggage_left_m3,
    )

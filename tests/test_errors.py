"""Errors carry what they are about, say it in one sentence, and travel between processes."""

from __future__ import annotations

import pickle

import pytest

from basswright import errors
from basswright.errors import BasswrightError, InputError, InputErrors, QuantityError


def test_an_input_error_says_place_value_and_what_is_allowed() -> None:
    error = InputError("not a length", item="row 12", field="width", value="9 kg", allowed="mm, cm")
    assert str(error) == "row 12, width: not a length (read: '9 kg'); allowed: mm, cm"


def test_a_place_can_be_filled_in_later_without_losing_the_rest() -> None:
    error = QuantityError("not a length", value="x", allowed="mm").at(field="width")
    placed = error.at(item="row 1")
    assert isinstance(placed, QuantityError)
    assert (placed.item, placed.field, placed.value) == ("row 1", "width", "x")
    assert placed.allowed == "mm"


def test_a_long_value_is_shortened_in_the_sentence_and_kept_in_the_error() -> None:
    error = InputError("too long", value="x" * 500)
    assert len(str(error)) < 100
    assert error.value == "x" * 500


def test_several_errors_are_listed_in_their_order() -> None:
    several = InputErrors([InputError("a", field="x"), InputError("b")], item="job.toml")
    assert str(several).splitlines() == ["job.toml: 2 problems", "  - x: a", "  - b"]
    assert str(InputErrors([InputError("a")])).startswith("1 problem\n")


def test_a_name_that_is_not_there_offers_the_nearest() -> None:
    assert str(errors.NotFoundError("job", "polo", ("solo",))) == (
        "no job called 'polo'; there is: solo"
    )


@pytest.mark.parametrize(
    "error",
    [
        InputError("a", item="b", field="c", value=1.5, allowed="d"),
        QuantityError("a", value="x"),
        InputErrors([InputError("a")], item="f"),
        errors.NotFoundError("job", "x", ("y",)),
        errors.MissingPartError("sounddevice", "sound-card"),
        errors.ConflictError("changed"),
        errors.TooLargeError("huge"),
    ],
)
def test_every_error_survives_pickling_and_is_ours(error: BasswrightError) -> None:
    again = pickle.loads(pickle.dumps(error))
    assert type(again) is type(error)
    assert str(again) == str(error)
    assert isinstance(again, BasswrightError)

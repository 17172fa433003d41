"""A box with several pairs of terminals is wired to every load that they make."""

from __future__ import annotations

from xml.etree import ElementTree

import numpy as np
import pytest

from basswright import sound
from basswright.drive import (
    as_wired,
    coil_loads,
    joining_text,
    loads_of,
    match,
    terminal_loads,
    wiring_diagram,
)
from basswright.errors import InputError
from basswright.records.car import HeadUnit
from basswright.records.enclosure import BuiltInAmplifier, Driver, Enclosure, Terminals
from tests.drive.sample import box, mono

LINE = HeadUnit(signal="line", output_v=4.0)


def _with_terminals(pairs: int, each: float, load: float | None) -> Enclosure:
    terminals = Terminals(pairs=pairs, load_ohm=each)
    return box().model_copy(update={"terminals": terminals, "load_ohm": load})


@pytest.mark.parametrize("pairs", range(2, 9))
def test_loads_are_those_of_all_wirings_with_equal_power(pairs: int) -> None:
    """The short formula equals the search over every series and parallel network."""
    every = {round(w.load_ohm, 9) for w in coil_loads([4.0] * pairs, equal_only=True)}
    assert set(np.round(terminal_loads(Terminals(pairs=pairs, load_ohm=4.0)), 9)) == every


def test_the_stated_load_comes_first() -> None:
    """Two pairs of 4 ohm are 2 or 8 ohm; without a stated load parallel comes first."""
    assert loads_of(_with_terminals(2, 4.0, 8.0)) == (8.0, 2.0)
    assert loads_of(_with_terminals(2, 4.0, None)) == (2.0, 8.0)
    assert loads_of(_with_terminals(4, 2.0, 2.0)) == (2.0, 0.5, 8.0)
    assert loads_of(box()) == (box().load_ohm,)


def test_a_load_that_the_terminals_do_not_make_is_refused() -> None:
    """Two pairs of 4 ohm never make 4 ohm."""
    with pytest.raises(InputError, match="2, 8 ohm"):
        loads_of(_with_terminals(2, 4.0, 4.0))


def test_a_box_with_its_own_amplifier_has_one_load() -> None:
    """Its maker has joined them."""
    own = {"amplifier": BuiltInAmplifier(power_w=200.0)}
    assert loads_of(_with_terminals(2, 4.0, 2.0).model_copy(update=own)) == (2.0,)


@pytest.mark.parametrize("count", [1, 2])
def test_other_wirings_radiate_alike_at_the_same_power(count: int) -> None:
    """In series at twice the voltage two pairs give what they give in parallel."""
    driver = Driver(
        size_m=0.3, count=count, fs_hz=28.0, Qes=0.5, Qms=6.0, Vas_m3=0.07, Re_ohm=3.4 * count / 2,
        Le_henry=0.0015, Sd_m2=0.05, Xmax_m=0.01, Bl_tm=12.0 * (count / 2) ** 0.5, Mms_kg=0.19,
    )  # fmt: skip
    parallel = _with_terminals(2, 4.0, 2.0).model_copy(update={"driver": driver})
    hz = np.array([25.0, 40.0, 63.0])
    levels = [
        sound.level_table(
            sound.box_models((as_wired(parallel, load),), draws=1), hz, 1.0 + 0j, lowpass_hz=None
        )
        for load in (2.0, 8.0)
    ]
    one, other = (table.per_volt_db[0, 0] for table in levels)
    np.testing.assert_allclose(other + 20 * np.log10(2.0), one, atol=1e-6)
    np.testing.assert_allclose(levels[1].own_limit_db, levels[0].own_limit_db, atol=1e-6)
    np.testing.assert_allclose(levels[1].impedance_ohm, 4 * levels[0].impedance_ohm, rtol=1e-6)


def test_the_joining_of_the_terminals_is_told() -> None:
    """Series, parallel and rows, each with the load that it makes."""
    two, four = Terminals(pairs=2, load_ohm=4.0), Terminals(pairs=4, load_ohm=2.0)
    assert "in series" in joining_text(two, 8.0)
    assert "8 ohm in all" in joining_text(two, 8.0)
    assert "in parallel" in joining_text(two, 2.0)
    assert "2 ohm in all" in joining_text(two, 2.0)
    assert "2 each in series" in joining_text(four, 2.0)


def test_match_and_drawing_show_the_chosen_wiring() -> None:
    """The text comes before the amplifier's own, the drawing has a part for each pair."""
    wired = as_wired(_with_terminals(2, 2.0, 1.0), 4.0)
    found = match(wired, mono(), supply_voltage_v=14.4, head_unit=LINE)
    assert found.load_ohm == 4.0
    assert (found.pairs, found.pair_ohm) == (2, 2.0)
    assert found.wiring.startswith("Join the 2 pairs of terminals of the box (2 ohm each)")
    words = " ".join(ElementTree.fromstring(wiring_diagram(found)).itertext())
    assert words.count("2 Ω, 50 %") == 2
    assert "4 Ω" in words

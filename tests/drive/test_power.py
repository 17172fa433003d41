"""Power at a load that the sheet does not list."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from basswright.drive import REASONS, load_reason_index, outputs, power_at_load, supply_share
from basswright.drive.power import near_rated_load
from basswright.errors import InputError
from tests.drive.sample import amplifier, mono, stereo


def test_rated_power_comes_back_at_rated_loads() -> None:
    """At rated loads and rated supply nothing is changed."""
    assert power_at_load(outputs([mono()]), [4, 2, 1], 14.4)[:, 0] == pytest.approx([300, 500, 800])


def test_between_ratings_both_limits_hold() -> None:
    """At 3 ohm: not above the voltage of 4 ohm nor the current of 2 ohm, and a straight
    load line through both, solved by hand: E R / (R + Ri) with E and Ri from the two."""
    power = power_at_load(outputs([mono()]), 3.0, 14.4)[0, 0]
    U4, J4 = np.sqrt(300 * 4), np.sqrt(300 / 4)
    U2, J2 = np.sqrt(500 * 2), np.sqrt(500 / 2)
    assert power <= U4**2 / 3
    assert power <= J2**2 * 3
    inner = (U4 - U2) / (J2 - J4)
    source = U4 + inner * J4
    assert power == pytest.approx((source / (3 + inner)) ** 2 * 3, rel=1e-12)


def test_outside_the_ratings_one_limit_remains() -> None:
    """Above: constant voltage. Below, where allowed: constant current."""
    table = outputs([amplifier({"single": {4.0: 300.0}}, lowest_load_ohm=2.0)])
    assert power_at_load(table, [8, 2], 14.4)[:, 0] == pytest.approx([150, 150])


def test_a_load_below_the_lowest_gives_nothing_and_a_reason() -> None:
    """0 W, and the reason is told; an unknown load too."""
    table = outputs([mono(), stereo()])
    load = [0.5, 1.0, np.nan]
    assert power_at_load(table, load, 14.4)[0].tolist() == [0, 0, 0]
    assert power_at_load(table, load, 14.4)[2].tolist() == [0, 0, 0]
    reason = load_reason_index(table, load)
    assert REASONS[reason[0, 0]].startswith("the load is below")
    assert reason[1, 0] == 0
    assert REASONS[reason[2, 0]] == "the load is not known"


def test_bridged_power_follows_from_the_channels() -> None:
    """Each channel sees half the load: 4 ohm bridged is twice 2 ohm a channel."""
    table = outputs([stereo()])
    assert table.modes == ("per-channel", "bridged")
    assert table.channels_used.tolist() == [1, 2]
    assert power_at_load(table, 4.0, 14.4)[0] == pytest.approx([75, 240])
    assert "worked out" in table.notes[1][-1]


@pytest.mark.parametrize(("supply_v", "left"), [(13.8, 0.918), (12.6, 0.766), (11.5, 0.638)])
def test_unregulated_power_goes_with_the_square_of_the_supply(supply_v: float, left: float) -> None:
    """Same load, from 14.4 V: P ~ V^2."""
    table = outputs([mono()])
    assert supply_share(table, supply_v)[0] == pytest.approx(left, abs=6e-4)
    assert power_at_load(table, 4.0, supply_v)[0, 0] == pytest.approx(300 * left, rel=1e-3)


def test_a_regulated_amplifier_holds_its_power() -> None:
    """Down to 11 V; and nothing gains by more than its rated supply."""
    table = outputs([mono(regulated=True), mono(rated_voltage_v=12.6)])
    assert supply_share(table, 11.5) == pytest.approx([1.0, (11.5 / 12.6) ** 2])
    assert supply_share(table, 15.0) == pytest.approx([1.0, 1.0])
    assert supply_share(table, 10.0)[0] == pytest.approx((10 / 11) ** 2)


def test_a_rating_at_ten_per_cent_is_derated_and_flagged() -> None:
    """Other conditions than ANSI/CTA-2006 are named."""
    table = outputs([mono(rated_distortion_share=0.1, rated_voltage_v=12.0)])
    assert power_at_load(table, 4.0, 14.4)[0, 0] == pytest.approx(300 * 0.8134, rel=1e-3)
    assert any("10 % distortion" in note for note in table.notes[0])
    assert any("12 V" in note for note in table.notes[0])


def test_what_a_sheet_leaves_out_is_assumed_and_said() -> None:
    """Supply, distortion and regulation."""
    silent = mono(rated_voltage_v=None, rated_distortion_share=None, regulated=None)
    notes = " ".join(outputs([silent]).notes[0])
    assert "14.4 V assumed" in notes
    assert "1 % assumed" in notes
    assert "unregulated" in notes


def test_an_amplifier_without_a_usable_rating_is_named() -> None:
    """A one-channel amplifier with a bridged rating only cannot be used."""
    odd = amplifier({"bridged": {4.0: 100.0}}, channels=1)
    with pytest.raises(InputError, match=r"amplifier, ratings: no power rating"):
        outputs([odd])


RATED = st.tuples(
    st.floats(20, 1000), st.floats(1.0, 2.0), st.floats(1.0, 2.0), st.floats(0.5, 8.0)
)


@given(RATED)
def test_power_between_two_ratings_keeps_within_them(rated: tuple[float, ...]) -> None:
    """Never above the voltage of the upper, the current of the lower, nor both powers;
    and falling voltage or rising current never shows as the load grows."""
    power_4, gain, _, _ = rated
    table = outputs([amplifier({"single": {4.0: power_4, 2.0: power_4 * gain}})])
    load = np.linspace(2, 4, 41)
    power = power_at_load(table, load, 14.4)[:, 0]
    assert np.all(power <= power_4 * gain * (1 + 1e-9))
    assert np.all(power >= power_4 * (1 - 1e-9))
    assert np.all(np.diff(np.sqrt(power * load)) >= -1e-9)
    assert np.all(np.diff(np.sqrt(power / load)) <= 1e-9)


def test_a_load_is_near_within_half_as_much_again() -> None:
    """Rated at 2 to 4 ohm: from 1.33 to 6 ohm, and never where it is not known."""
    table = outputs([amplifier({"single": {2.0: 500.0, 4.0: 300.0}}, lowest_load_ohm=1.0)])
    load = [1.32, 1.34, 3.0, 5.99, 6.02, np.nan]
    near = near_rated_load(table, load)[:, 0]
    assert near.tolist() == [False, True, True, True, False, False]


def test_the_table_of_outputs_holds_the_ratings_as_voltage_and_current() -> None:
    """300 W in 4 ohm: 34.6 V and 8.66 A; one row an output, short rows filled up."""
    table = outputs([mono(), stereo()])
    assert len(table) == 3
    assert table.load_ohm[0].tolist() == [1.0, 2.0, 4.0]
    assert table.load_ohm[1].tolist() == [2.0, 4.0, 4.0]
    assert table.voltage_v[0] == pytest.approx(np.sqrt([800.0, 1000.0, 1200.0]))
    assert table.current_a[0] == pytest.approx(np.sqrt([800.0, 250.0, 75.0]))
    assert len(outputs([])) == 0


def test_a_bridged_pair_never_goes_below_twice_a_channels_load() -> None:
    """Rated at 4 ohm bridged, channels from 4 ohm on: 8 ohm."""
    sheet = amplifier({"per-channel": {4.0: 75.0}, "bridged": {4.0: 150.0}}, lowest_load_ohm=4.0)
    assert outputs([sheet]).lowest_load_ohm.tolist() == [4.0, 8.0]

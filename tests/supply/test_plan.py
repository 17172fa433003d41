"""The plan of one system, and its drawing."""

from __future__ import annotations

import pickle
from xml.etree import ElementTree

import pytest

from basswright.errors import InputError
from basswright.records.system import SupplyPlan
from basswright.supply import ladder, plan, relief, wiring_diagram
from basswright.supply.ampacity import ampacity_a
from basswright.supply.conductors import resistance_20c_ohm_per_m, resistance_ohm_per_m
from basswright.supply.fuses import short_circuit_a
from tests.supply.sample import battery, charging, snapshot


@pytest.fixture(name="made")
def _made() -> SupplyPlan:
    return plan(charging(), snapshot(), peak_a=60.0, average_a=22.0)


def test_the_drop_counts_the_return(made: SupplyPlan) -> None:
    """Cable there and back at 50 C, 1.4 mohm of body and joints, the fuse."""
    loop = resistance_ohm_per_m(made.cable, 50.0) * 6.0 + 1.4e-3 + 0.06 / made.fuse.rating_a
    assert made.drop_v == pytest.approx(60 * loop)
    assert made.amplifier_voltage_v == pytest.approx(14.0 - 60 * loop)
    assert (made.cable_length_m, made.ground_length_m) == (5.5, 0.5)


def test_balances_are_energy_in_minus_energy_out(made: SupplyPlan) -> None:
    """Idle by night, hot: 60 A x 0.8 - 45 A - 22 A."""
    assert made.idle_balance_a == pytest.approx(60 * 0.8 - 45 - 22)
    assert made.balances[0].situation == "idle, day"
    for balance in made.balances:
        assert balance.balance_a == pytest.approx(balance.alternator_a - balance.base_load_a - 22)
    motorway = made.balances[-1]
    assert motorway.alternator_a == 120


def test_engine_off_time_is_peukerts(made: SupplyPlan) -> None:
    """0.4 of 0.85 of 70 Ah at 28 A with k = 1.25."""
    hours = 0.4 * 0.85 * 20 * (3.5 / 28) ** 1.25
    assert made.engine_off_s == pytest.approx(hours * 3600)


def test_cautions_come_with_every_plan(made: SupplyPlan) -> None:
    """Negative first, fuse near the battery, and the maker goes first."""
    text = " ".join(made.cautions)
    for words in ("vehicle maker", "negative off first", "450 mm", "own fuse", "10 minutes"):
        assert words in text


def test_a_second_battery_brings_its_own_cautions_and_fuse() -> None:
    """Fused at both ends."""
    only = snapshot(batteries=(battery(60.0, 680.0, 26.0, role="second", kind="lithium"),))
    made = plan(charging(battery_capacity_ah=40.0), only, peak_a=60.0, average_a=25.0)
    assert made.battery is not None
    text = " ".join(made.cautions)
    assert "both ends" in text
    assert "lithium" in text
    words = " ".join(ElementTree.fromstring(wiring_diagram(made)).itertext())
    assert "second battery" in words
    assert "31a" in words


def test_the_drawing_names_parts_and_terminals(made: SupplyPlan) -> None:
    """Fuse, cable with length, DIN 72552 terminals; awkward names as text."""
    svg = wiring_diagram(made, amplifier_name="A & <B> $1")
    words = " ".join(ElementTree.fromstring(svg).itertext())
    for text in ("30", "31", "75", f"{made.fuse.rating_a:g} A", "5.5 m", "450 mm", "A & <B> 1"):
        assert text in words


def test_ladder_and_plan_can_be_sent_to_another_process(made: SupplyPlan) -> None:
    """Both survive pickling and answer the same."""
    steps = ladder(charging(), snapshot())
    again = pickle.loads(pickle.dumps(steps))
    assert again.price(60.0, 22.0) == steps.price(60.0, 22.0)
    assert pickle.loads(pickle.dumps(made)) == made


def test_a_drain_that_empties_the_battery_within_days_is_cautioned() -> None:
    """2 A empties a car battery within a day; at the usual 20 mA nothing is said."""
    made = plan(charging(standing_drain_a=2.0), snapshot(), peak_a=60.0, average_a=22.0)
    assert any("may not start" in caution for caution in made.cautions)
    sound = plan(charging(standing_drain_a=0.02), snapshot(), peak_a=60.0, average_a=22.0)
    assert not any("may not start" in caution for caution in sound.cautions)


def test_a_car_that_draws_nothing_when_parked_is_planned() -> None:
    """No drain, no end: the plan is made all the same."""
    made = plan(charging(standing_drain_a=0.0), snapshot(), peak_a=60.0, average_a=22.0)
    assert not any("may not start" in caution for caution in made.cautions)


def test_a_new_battery_is_drawn_in_the_place_of_the_old_and_long_names_break(
    made: SupplyPlan,
) -> None:
    """Its capacity, and no line longer than 22 signs."""
    new = made.model_copy(update={"battery": battery(95.0, 850.0, 1.0)})
    svg = wiring_diagram(new, amplifier_name="An invented amplifier with a long name")
    lines = list(ElementTree.fromstring(svg).itertext())
    words = " ".join(lines)
    assert "new battery" in words
    assert "95 Ah" in words
    assert "An invented amplifier" in words
    assert not any("amplifier with" in line for line in lines)


def test_verdicts_and_notes_carry_their_margins(made: SupplyPlan) -> None:
    """Each by hand from the parts chosen: volts, amperes and milliohms."""
    margins = {verdict.rule: verdict.margin for verdict in made.verdicts}
    cable = resistance_ohm_per_m(made.cable, 50.0) * 6.0
    loop = cable + 1.4e-3 + 0.06 / made.fuse.rating_a
    ampacity = ampacity_a(made.cable)
    short = short_circuit_a(640.0, resistance_20c_ohm_per_m(made.cable), made.fuse.rating_a)
    assert margins["voltage drop"] == pytest.approx(0.5 - 60 * cable)
    assert margins["fuse protects the cable"] == pytest.approx(ampacity - made.fuse.rating_a)
    assert made.short_circuit_a == pytest.approx(short)
    assert margins["fuse breaking capacity"] == pytest.approx(made.fuse.breaking_a - short)
    town = 0.35 * 48 + 0.65 * 105 - 45 - 10
    idle = 48 - 45 + 3.5 * (0.4 * 0.85 * 40) ** (1 / 1.25)
    off = 3.5 * (0.4 * 0.85 * 80) ** (1 / 1.25) - 6
    assert margins["charge left in town by night"] == pytest.approx(town - 22)
    assert margins["time at idle by night"] == pytest.approx(idle - 22)
    assert margins["time with the engine off"] == pytest.approx(off - 22)
    notes = " ".join(made.notes)
    assert "programme at 33 % of full sine power" in notes
    assert f"{loop * 1000:.2f} mohm there and back at 50 C, may carry {ampacity:.0f} A" in notes
    sag = 12.65 - (22 + 45 - 48) * 0.55 * 5.1 / 640
    assert (
        f"idle, hot: 48 A; what is missing comes from the battery, whose voltage is then about "
        f"{sag:.1f} V instead of 14.0 V" in notes
    )
    assert f"engine off: up to {off:.0f} A on average" in notes
    assert made.price == pytest.approx(
        made.cable.price * 6.0 + made.fuse.price + made.fuse_holder.price
    )
    assert made.standing_s == pytest.approx(0.4 * 0.85 * 70 * 3600 / 0.025)


def test_relief_is_what_is_missing_and_none_where_nothing_is() -> None:
    """In amperes, feed first; a refusal says the same."""
    steps = ladder(charging(), snapshot())
    assert relief(steps, 60.0, 22.0) is None
    strongest = max(feed.capacity_a for found in steps.feed_lists for feed in found)
    feed = relief(steps, strongest + 100.0, 22.0)
    assert feed is not None
    assert (feed.unit, feed.amount) == ("A", pytest.approx(100.0))
    most = max(upgrade.average_limit_a for upgrade in steps.upgrade_list)
    charge = relief(steps, 60.0, most + 7.0)
    assert charge is not None
    assert charge.amount == pytest.approx(7.0)
    with pytest.raises(InputError, match=r"7 A short .*read: '60 A peak"):
        plan(charging(), snapshot(), peak_a=60.0, average_a=most + 7.0)


def test_the_currents_asked_for_are_kept(made: SupplyPlan) -> None:
    """In the plan that was made for them."""
    assert (made.peak_current_a, made.average_current_a) == (60.0, 22.0)

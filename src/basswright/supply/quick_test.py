"""A quick test of battery and alternator with a meter and a clamp, and what it tells."""

from __future__ import annotations

from typing import Final

from pydantic import Field

from basswright.records.base import Record
from basswright.records.car import Charging
from basswright.records.verdict import Relief, Verdict
from basswright.supply.battery import USABLE_SHARE, rest_share

#: Below this share of charge the battery is charged before anything is judged.
_CHARGE_FIRST_SHARE: Final = 0.75
#: Lowest voltage while cranking at about 20 C; the load test of BCI asks 9.6 V of a
#: battery at half its cold-cranking current (from memory).
_CRANKING_V: Final = 9.6
#: Regulated voltage at about 20 C: one maker's sheet, 13.9 to 14.9 V.
_REGULATED_V: Final = (13.9, 14.9)
#: Voltage with lights, heated glass and blower on, engine at about 1500 1/min (common
#: practice, no source).
_LOADED_V: Final = 13.2
#: An alternator passes with at least this share of its nominal output (maker's sheet).
_OUTPUT_SHARE: Final = 0.7
#: Standing drain commonly accepted once the car has gone to sleep [A]; above the second
#: figure something is wrong (common practice).
_DRAIN_A: Final = (0.05, 0.12)


class Readings(Record):
    """What the fitter reads; a reading that was not taken stays out.

    Attributes
    ----------
    rest_v, cranking_v, idle_v, loaded_v : float or None
        Voltage at the battery's posts: rested, lowest while starting, idling, and at
        1500 1/min with all loads on [V].
    cranking_a : float or None
        By clamp, while starting [A].
    idle_output_a, speed_output_a : float or None
        By clamp on the alternator, idling and at 2500 1/min, all loads on [A].
    base_load_a, drain_a : float or None
        What the car draws by night, and parked [A].
    """

    rest_v: float | None = Field(None, ge=4, le=16, description="after 4 h of rest or more")
    cranking_v: float | None = Field(None, ge=2, le=15, description="lowest while starting")
    cranking_a: float | None = Field(None, gt=20, le=2000, description="clamp, while starting")
    idle_v: float | None = Field(None, ge=8, le=18, description="engine idling, loads off")
    loaded_v: float | None = Field(None, ge=8, le=18, description="1500 1/min, all loads on")
    idle_output_a: float | None = Field(
        None, gt=0, le=600, description="clamp on the alternator, idling, all loads on"
    )
    speed_output_a: float | None = Field(
        None, gt=0, le=600, description="clamp on the alternator, 2500 1/min, all loads on"
    )
    base_load_a: float | None = Field(
        None, ge=0, le=200, description="clamp on the car's own loads by night"
    )
    drain_a: float | None = Field(
        None, ge=0, le=5, description="parked and locked, after the car has gone to sleep"
    )


class QuickTest(Record):
    """What the readings say, and the car's supply with them taken in.

    Attributes
    ----------
    verdicts : tuple of Verdict
    charging : Charging
        The record given, with what was measured in its place.
    charge_share : float or None
        State of charge from the rested voltage [-].
    battery_ohm : float or None
        Inner resistance from cranking [ohm].
    measured : tuple of str
        Fields of `charging` that were replaced.
    cautions : tuple of str
    """

    verdicts: tuple[Verdict, ...]
    charging: Charging
    charge_share: float | None = Field(description="state of charge from the rested voltage")
    battery_ohm: float | None = Field(description="inner resistance from cranking")
    measured: tuple[str, ...] = Field(description="fields of `charging` that were replaced")
    cautions: tuple[str, ...]


_CAUTIONS: Final = (
    "Eye protection; no sparks or flame near the battery; no rings or tools across its posts. "
    "Meter on volts for voltage: on amperes it is a short circuit. Currents only by clamp.",
    "Gear out, brake on, hands and leads away from belts and fan; exhaust to the open air.",
)


def quick_test(readings: Readings, charging: Charging) -> QuickTest:
    """Judge the readings and take them into the car's record.

    Readings with every load switched on show what the alternator gives at that moment;
    they replace the record's output only when they are above it, or when the voltage
    shows that the alternator is at its limit (below 13.2 V).

    Parameters
    ----------
    readings : Readings
    charging : Charging
        What is known of the car so far.

    Returns
    -------
    QuickTest
        Margins in the unit of each reading: [V], [A], [mA] or [%].

    Notes
    -----
    The battery's resistance is (rested - lowest voltage) / cranking current.

    References
    ----------
    .. [1] Battery Council International, load test: 9.6 V at half the cold-cranking current
       after 15 s at 21 °C (from memory). Other limits: common practice, no source.
    """
    share = None if readings.rest_v is None else float(rest_share(readings.rest_v))
    changed = _taken_in(readings, charging)
    return QuickTest(
        verdicts=tuple(_verdicts(readings, charging, share)),
        charging=charging.model_copy(update=changed),
        charge_share=share,
        battery_ohm=_battery_ohm(readings),
        measured=tuple(changed),
        cautions=_CAUTIONS,
    )


def _battery_ohm(readings: Readings) -> float | None:
    rest, low, current = readings.rest_v, readings.cranking_v, readings.cranking_a
    if rest is None or low is None or current is None or low >= rest:
        return None
    return (rest - low) / current


def _taken_in(readings: Readings, charging: Charging) -> dict[str, float]:
    changed: dict[str, float] = {}
    if readings.idle_v is not None and 12 <= readings.idle_v <= 15.5:
        changed["running_voltage_v"] = readings.idle_v
    if readings.base_load_a is not None:
        changed["base_load_a"] = readings.base_load_a
    if readings.drain_a is not None and readings.drain_a <= 2:
        changed["standing_drain_a"] = readings.drain_a
    at_limit = readings.loaded_v is not None and readings.loaded_v < _LOADED_V
    for field, read in (
        ("alternator_idle_a", readings.idle_output_a),
        ("alternator_rated_a", readings.speed_output_a),
    ):
        known = float(getattr(charging, field))
        if read is not None and (at_limit or read > known):
            changed[field] = read
    return changed


def _verdicts(readings: Readings, charging: Charging, share: float | None) -> list[Verdict]:
    found: list[Verdict] = []
    if share is not None:
        left = share - (1 - USABLE_SHARE[charging.battery_kind])
        help_ = "charge it for a day, then read again"
        found.append(_above("state of charge", share * 100, _CHARGE_FIRST_SHARE * 100, "%", help_))
        if left <= 0:
            found[-1] = found[-1].model_copy(update={"note": "the car may not start as it is"})
    if readings.cranking_v is not None:
        help_ = "charge and read again; if it stays low, a new battery or a clean joint"
        found.append(_above("voltage while starting", readings.cranking_v, _CRANKING_V, "V", help_))
    if readings.idle_v is not None:
        low, high = _REGULATED_V
        margin = min(readings.idle_v - low, high - readings.idle_v)
        help_ = "look at regulator, belt and joints (some cars lower it on purpose)"
        found.append(_verdict("regulated voltage", margin, "V", help_))
    if readings.loaded_v is not None:
        help_ = "a stronger alternator, or fewer loads"
        found.append(_above("voltage under load", readings.loaded_v, _LOADED_V, "V", help_))
    if readings.speed_output_a is not None:
        wanted = _OUTPUT_SHARE * charging.alternator_rated_a
        help_ = "repeat with more loads on; then belt, joints, alternator"
        found.append(_above("alternator output", readings.speed_output_a, wanted, "A", help_))
    if readings.drain_a is not None:
        margin = (_DRAIN_A[0] - readings.drain_a) * 1000
        verdict = _verdict("standing drain", margin, "mA", "find what stays awake, fuse by fuse")
        too_much = readings.drain_a > _DRAIN_A[1]
        note = "clearly too much" if too_much else "wait until the car sleeps before reading"
        found.append(verdict.model_copy(update={"note": note}))
    return found


def _above(rule: str, read: float, wanted: float, unit: str, help_: str) -> Verdict:
    return _verdict(rule, read - wanted, unit, help_)


def _verdict(rule: str, margin: float, unit: str, help_: str) -> Verdict:
    return Verdict(
        rule=rule,
        passes=margin >= 0,
        margin=margin,
        unit=unit,
        limit=rule,
        relief=None if margin >= 0 else Relief(what=help_, amount=-margin, unit=unit),
    )

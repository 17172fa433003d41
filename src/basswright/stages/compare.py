"""Two systems side by side: what differs, as figures and as heard."""

from __future__ import annotations

import numpy as np

from basswright.quantities import litres
from basswright.records.comparison import Comparison, Difference
from basswright.sound import loudness
from basswright.stages.system import System

#: Frequencies at which "as heard" is told.
HEARD_HZ = (25.0, 31.5, 40.0, 50.0, 63.0, 80.0)


def compare(first: System, second: System) -> Comparison:
    """Put two systems of the same job side by side.

    Parameters
    ----------
    first, second : System
        Computed on the same frequencies.

    Returns
    -------
    Comparison
    """
    one, other = first.prediction, second.prediction
    where = [int(np.abs(one.frequency_hz - hz).argmin()) for hz in HEARD_HZ]
    gain = other.loudest_db[where] - one.loudest_db[where]
    heard = loudness.times_as_loud(other.loudest_db[where], one.loudest_db[where], HEARD_HZ)
    return Comparison(
        first=first.option.id,
        second=second.option.id,
        differences=_differences(first, second),
        heard_hz=HEARD_HZ,
        louder_db=tuple(float(value) for value in gain),
        times_as_loud=tuple(float(value) for value in heard),
        sentence=_sentence(first, second, float(np.median(heard))),
    )


def _differences(first: System, second: System) -> tuple[Difference, ...]:
    currency = first.job.workshop.currency
    rows = []
    for what, told in (
        ("surely, at the ear", lambda s: f"{s.option.goals.sure_level_db:.1f} dB"),
        ("held down to", lambda s: f"{s.option.goals.sure_low_limit_hz:.0f} Hz"),
        ("price", lambda s: f"{s.option.goals.price:,.0f} {currency}"),
        ("luggage left", lambda s: litres(s.option.goals.luggage_left_m3)),
        ("air at the tightest side", lambda s: _tightest(s)),
        ("power used", lambda s: f"{s.option.match.used_w:.0f} W"),
        ("current at full power", lambda s: f"{s.option.supply.peak_current_a:.0f} A"),
        ("charging system", _upgrade),
        ("music with the engine off", lambda s: f"{s.option.supply.engine_off_s / 60:.0f} min"),
        ("work", lambda s: f"{s.option.goals.ease:.1f} h"),
    ):
        rows.append(Difference(what=what, first=told(first), second=told(second)))
    return tuple(rows)


def _tightest(system: System) -> str:
    verdict = next(v for v in system.option.placement.verdicts if v.rule == "space")
    return f"{verdict.margin:.0f} mm, {verdict.limit}"


def _upgrade(system: System) -> str:
    parts = (system.option.supply.battery, system.option.supply.alternator)
    return " and ".join(part.model for part in parts if part is not None) or "stays as it is"


def _sentence(first: System, second: System, times: float) -> str:
    currency = first.job.workshop.currency
    one, other = first.option.goals, second.option.goals
    if 0.93 < times < 1.07:
        loud = "sounds about as loud as the first"
    elif times > 1:
        loud = f"sounds about {times:.1f} times as loud as the first"
    else:
        loud = f"sounds about {times:.1f} times as loud, so quieter than the first"
    octaves = float(np.log2(one.sure_low_limit_hz / other.sure_low_limit_hz))
    deep = (
        "reaches as low"
        if abs(octaves) < 0.1
        else ("reaches lower" if octaves > 0 else "does not reach as low")
    )
    more = other.price - one.price
    cost = f"costs {abs(more):,.0f} {currency} {'more' if more >= 0 else 'less'}"
    room = other.luggage_left_m3 - one.luggage_left_m3
    space = f"leaves {litres(abs(room))} {'more' if room >= 0 else 'less'} for luggage"
    return f"The second system {loud}, {deep}, {cost} and {space}."

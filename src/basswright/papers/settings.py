"""From the settings of a system, however they were come by, to those on the papers."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from pydantic import ValidationError

from basswright.errors import InputError
from basswright.papers.facts import TuningFacts
from basswright.records.job import Job
from basswright.records.system import Option
from basswright.records.tuning import Delay, TuningSettings
from basswright.tuning.setting import CAUTIONS

#: What the papers accept as settings.
Tuning = TuningSettings | TuningFacts | Mapping[str, object] | None

#: Infrasonic corner over the tuning of the box. Common practice, no source: far enough
#: below the tuning to leave the level alone, high enough to hold the cone below it.
INFRASONIC_SHARE: Final = 0.8


def tuning_facts(job: Job, option: Option, tuning: Tuning) -> TuningFacts:
    """Return the settings that the papers show.

    Parameters
    ----------
    job : Job
    option : Option
    tuning : TuningSettings, TuningFacts, mapping or None
        None: plain settings from the match, the wish and the tuning of the box.

    Raises
    ------
    InputError
        A mapping with a key or value that cannot be used.
    """
    if isinstance(tuning, TuningFacts):
        return tuning
    if isinstance(tuning, TuningSettings):
        facts = _from_room(tuning)
    elif tuning is None:
        facts = _plain(job, option)
    else:
        facts = _from_mapping(tuning)
    match, plan = option.match, option.supply
    return facts.model_copy(
        update={
            "estimates": (*facts.estimates, *match.notes, *plan.notes),
        }
    )


def _plain(job: Job, option: Option) -> TuningFacts:
    tuned = option.enclosure.tuning_hz if option.enclosure.kind != "closed" else None
    crossover = job.wish.crossover_hz
    return TuningFacts(
        gain_voltage_v=option.match.gain_voltage_v,
        low_pass_hz=crossover,
        front_high_pass_hz=crossover,
        infrasonic_hz=None if tuned is None else float(round(INFRASONIC_SHARE * tuned)),
    )


def _from_room(tuning: TuningSettings) -> TuningFacts:
    low, high, gain = tuning.low_pass, tuning.infrasonic, tuning.gain
    corner: dict[str, Any] = {}
    if high is not None:
        corner = {
            "infrasonic_hz": high.frequency_hz,
            "infrasonic_family": high.family,
            "infrasonic_db_per_octave": float(high.slope_db_per_octave),
        }
    notes = (tuning.delay.note, *tuning.held_back)
    return TuningFacts(
        gain_voltage_v=gain.gain_voltage_v,
        tone_hz=gain.tone_hz,
        tone_level_dbfs=gain.tone_level_dbfs,
        low_pass_hz=low.frequency_hz,
        low_pass_family=low.family,
        low_pass_db_per_octave=float(low.slope_db_per_octave),
        front_high_pass_hz=low.frequency_hz,
        bands=tuning.bands,
        notes=tuple(note for note in notes if note),
        cautions=tuple(caution for caution in tuning.cautions if caution not in CAUTIONS),
        **corner,
        **_delays(tuning.delay),
    )


def _delays(delay: Delay) -> dict[str, Any]:
    if delay.how == "not known":
        return {}
    waits = {"bass": 0.0, "front": 0.0}
    if delay.on != "neither":
        waits[delay.on] = delay.delay_s
    return {
        "polarity": delay.polarity,
        "bass_delay_s": waits["bass"],
        "front_delay_s": waits["front"],
    }


def _from_mapping(tuning: Mapping[str, object]) -> TuningFacts:
    try:
        return TuningFacts.model_validate(dict(tuning))
    except ValidationError as error:
        first = error.errors()[0]
        place = ".".join(str(part) for part in first["loc"])
        raise InputError(first["msg"], field=f"tuning.{place}", value=first["input"]) from error

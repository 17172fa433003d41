"""The charts that are printed in the papers."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from basswright.papers.facts import FigureFacts, TuningFacts
from basswright.papers.language import Language, language
from basswright.papers.plotting import Axes, Band, Line, Mark, plot
from basswright.papers.strip import Strip
from basswright.records.job import Job
from basswright.records.system import Prediction

_BLUE = "#0b5d8a"
_SMALL = (350.0, 220.0)


def chart_figures(prediction: Prediction, job: Job, tuning: TuningFacts) -> tuple[FigureFacts, ...]:
    """Draw the charts of a job: level at the ear, impedance, cone travel."""
    words = language(job.workshop.language)
    return (
        FigureFacts(name="response", svg=_response(prediction, job, words)),
        FigureFacts(name="impedance", svg=_impedance(prediction, words)),
        FigureFacts(name="excursion", svg=_excursion(prediction, tuning, words)),
    )


def _response(prediction: Prediction, job: Job, words: Language) -> str:
    drawn = (
        Band(low=prediction.loudest_low_db, high=prediction.loudest_high_db, colour=_BLUE),
        Line(values=prediction.loudest_low_db, colour=_BLUE, width=0.7),
        Line(values=prediction.loudest_high_db, colour=_BLUE, width=0.7),
        Line(
            values=prediction.loudest_db,
            colour=_BLUE,
            width=2.8,
        ),
        Mark(name=words.say("chart.wished"), level=job.wish.level_db),
        Mark(name=words.say("chart.low_limit"), frequency_hz=job.wish.low_limit_hz),
    )
    top = float(np.max(prediction.loudest_high_db[_seen(prediction)]))
    ceiling = 10 * np.ceil((max(top, job.wish.level_db) + 3) / 10)
    axes = Axes(
        frequency=words.say("chart.frequency"),
        level=words.say("chart.level"),
        low=float(ceiling - 60),
        high=float(ceiling),
    )
    return plot(prediction.frequency_hz, drawn, axes=axes, strip=_limits(prediction, words))


def _limits(prediction: Prediction, words: Language) -> Strip:
    """Name what limits the level, stretch by stretch of frequency."""
    index, frequency = prediction.limit_index, prediction.frequency_hz
    edges = np.flatnonzero(np.diff(index)) + 1
    starts, stops = np.concatenate([[0], edges]), np.concatenate([edges, [len(index) - 1]])
    return Strip(
        stretches=tuple(
            (
                float(frequency[start]),
                float(frequency[stop]),
                int(index[start]),
            )
            for start, stop in zip(starts.tolist(), stops.tolist(), strict=True)
        ),
        names=tuple(limit_name(limit, words) for limit in prediction.limits),
    )


def limit_name(limit: str, words: Language) -> str:
    """Return the name of a limit in the language of the papers, or as it came."""
    key = f"limit.{limit.replace(' ', '-')}"
    return words.say(key) if words.has(key) else limit


def _impedance(prediction: Prediction, words: Language) -> str:
    magnitude: NDArray[np.float64] = np.abs(prediction.impedance_ohm)
    line = Line(values=magnitude, colour=_BLUE)
    axes = Axes(
        frequency=words.say("chart.frequency"),
        level=words.say("chart.impedance"),
        low=0.0,
        width=_SMALL[0],
        height=_SMALL[1],
    )
    return plot(prediction.frequency_hz, (line,), axes=axes)


def _excursion(prediction: Prediction, tuning: TuningFacts, words: Language) -> str:
    travel = prediction.excursion_m * 1000
    drawn: list[Line | Band | Mark] = [Line(values=travel, colour=_BLUE)]
    if tuning.infrasonic_hz is not None:
        drawn.append(Mark(name=words.say("chart.infrasonic"), frequency_hz=tuning.infrasonic_hz))
    axes = Axes(
        frequency=words.say("chart.frequency"),
        level=words.say("chart.travel"),
        low=0.0,
        width=_SMALL[0],
        height=_SMALL[1],
    )
    return plot(prediction.frequency_hz, drawn, axes=axes)


def _seen(prediction: Prediction) -> NDArray[np.bool_]:
    return (prediction.frequency_hz >= 10) & (prediction.frequency_hz <= 200)

"""The stage System: one option in depth."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

import numpy as np

from basswright import drive, sound, space, supply
from basswright.choose.amplifiers import with_known_load
from basswright.choose.ranking import Ranking, rank
from basswright.errors import NotFoundError
from basswright.records.job import Job
from basswright.records.snapshot import Snapshot
from basswright.records.system import Option, Prediction
from basswright.sound.cabin import CabinModel
from basswright.stages.assemble import Assembler
from basswright.stages.weigh import OnStep, Prepared, Weighed, no_step, weigh

#: Frequencies of the curves that a person sees: forty to a decade, 10 to 200 Hz.
CURVE_HZ = 10 ** (np.arange(40, 93) / 40)
#: Draws behind the bands of one system.
DRAWS = 100


@dataclass(frozen=True, kw_only=True)
class System:
    """One option in depth: what it is, what it does, how it looks.

    Attributes
    ----------
    job : Job
    option : Option
    prediction : Prediction
    drawings : dict of str to str
        SVG texts: "plan", "side" and "rear" of the placed box, "feed" for the supply,
        "coils" for how a separate amplifier is joined to the box.
    """

    job: Job
    option: Option
    prediction: Prediction
    drawings: dict[str, str]

    def model_dump(self, *, mode: str) -> dict[str, Any]:
        """Return everything but the drawings as plain data."""
        return {
            "job_id": self.job.id,
            "option": self.option.model_dump(mode=mode),
            "prediction": curves_as_data(self.prediction),
        }


def curves_as_data(prediction: Prediction) -> dict[str, Any]:
    """Return the curves as lists; complex ones as pairs of real and imaginary parts."""
    data: dict[str, Any] = {}
    for field in fields(prediction):
        value = getattr(prediction, field.name)
        if isinstance(value, np.ndarray) and np.iscomplexobj(value):
            value = np.stack([value.real, value.imag], axis=-1)
        data[field.name] = value.tolist() if isinstance(value, np.ndarray) else value
    return data


def system(
    job: Job, catalogue: Snapshot | Prepared, option: str, *, on_step: OnStep = no_step
) -> System:
    """Return one option in depth.

    Parameters
    ----------
    job : Job
    catalogue : Snapshot or Prepared
    option : str
        Its place in the list ("1") or its id.
    on_step : callable
        Told in a few words what comes next.

    Returns
    -------
    System

    Raises
    ------
    NotFoundError
        No such option for this job.
    """
    weighed = weigh(job, catalogue, on_step=on_step)
    return of_weighed(weighed, find(weighed, option), on_step=on_step)


def find(weighed: Weighed, option: str) -> Option:
    """Return the option of that number or id."""
    ranking, place = find_place(weighed, option)
    row = int(ranking.rows[place])
    named = ranking.named.get(row, ())
    return Assembler(weighed).option(row, rank=place + 1, named=named)


def find_place(weighed: Weighed, option: str) -> tuple[Ranking, int]:
    """Return the ranking of a job and the place in it of the option of that number or id."""
    assembler = Assembler(weighed)
    ranking = rank(weighed.systems, most=200, budget=weighed.job.wish.budget)
    ids = [assembler.id_of(int(row)) for row in ranking.rows]
    if option.isascii() and option.isdigit() and 1 <= int(option) <= len(ids):
        return ranking, int(option) - 1
    if option in ids:
        return ranking, ids.index(option)
    raise NotFoundError("option", option, (f"1 to {len(ids)}", *ids[:3]))


def _rated_current_a(option: Option) -> float:
    return float(np.sqrt(option.match.available_w / option.match.load_ohm))


def predicted(job: Job, option: Option, cabin: CabinModel) -> Prediction:
    """Return what an option does at the ear in a cabin, with its bands."""
    models = sound.box_models((with_known_load(option.enclosure),), draws=DRAWS)
    cone = np.array([option.placement.cone])
    transfer = cabin.transfer(CURVE_HZ, cone, draws=DRAWS)
    return sound.predict(
        models,
        transfer,
        CURVE_HZ,
        voltage_v=option.match.gain_voltage_v,
        current_a=option.match.current_limit_a or _rated_current_a(option),
        lowpass_hz=job.wish.crossover_hz,
        infrasonic_hz=None,
        cabin_model=f"{cabin.name}: {cabin.why}",
    )


def of_weighed(weighed: Weighed, option: Option, *, on_step: OnStep = no_step) -> System:
    """Return an option of a weighed job in depth."""
    on_step("computing curves and bands")
    job, placement = weighed.job, option.placement
    prediction = predicted(job, option, weighed.cabin)
    on_step("drawing")
    drawn = space.drawings(weighed.solid, placement, inches=job.workshop.lengths == "inch")
    drawings = {"plan": drawn.plan, "side": drawn.side, "rear": drawn.rear}
    amplifier = option.amplifier
    named = "Amplifier" if amplifier is None else f"{amplifier.maker} {amplifier.model}"
    drawings["feed"] = supply.wiring_diagram(option.supply, amplifier_name=named)
    if amplifier is not None:
        box = f"{option.enclosure.maker} {option.enclosure.model}"
        drawings["coils"] = drive.wiring_diagram(option.match, amplifier_name=named, box_name=box)
    return System(job=job, option=option, prediction=prediction, drawings=drawings)

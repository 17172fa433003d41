"""How low and how loud?

What a boxed driver does for a volt and where its limits lie, from a data sheet or from
parameters, with the band that the sheet leaves open.
"""

from basswright.sound.air import half_space_transfer
from basswright.sound.bands import band
from basswright.sound.cabin import CabinModel, cabin_for, measured_cabin
from basswright.sound.goals import LowLimit, loudest_level, low_limit
from basswright.sound.grid import octave_grid
from basswright.sound.levels import level_table
from basswright.sound.loudest import loudest_curves
from basswright.sound.loudness import times_as_loud
from basswright.sound.models import BoxModels, Chamber
from basswright.sound.prediction import loudest_of, predict
from basswright.sound.response import Response, respond, step_response
from basswright.sound.sheet_models import box_models

__all__ = [
    "BoxModels",
    "CabinModel",
    "Chamber",
    "LowLimit",
    "Response",
    "band",
    "box_models",
    "cabin_for",
    "half_space_transfer",
    "level_table",
    "loudest_curves",
    "loudest_level",
    "loudest_of",
    "low_limit",
    "measured_cabin",
    "octave_grid",
    "predict",
    "respond",
    "step_response",
    "times_as_loud",
]

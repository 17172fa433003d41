"""What the cabin makes of the bass: from a box's volume velocity to the driver's ear."""

from basswright.sound.cabin.choice import cabin_for, estimated_cabin
from basswright.sound.cabin.learned import LearnedCabin, learned_cabin
from basswright.sound.cabin.measured import MeasuredCabin, measured_cabin
from basswright.sound.cabin.model import CabinModel, EstimatedCabin

__all__ = [
    "CabinModel",
    "EstimatedCabin",
    "LearnedCabin",
    "MeasuredCabin",
    "cabin_for",
    "estimated_cabin",
    "learned_cabin",
    "measured_cabin",
]

"""What the cabin makes of the bass: from a box's volume velocity to the driver's ear."""

from basswright.sound.cabin.choice import cabin_for
from basswright.sound.cabin.model import CabinModel

__all__ = ["CabinModel", "cabin_for"]

"""Choose a ready-made bass enclosure and its amplifier for a particular car."""

__version__ = "0.1.0"

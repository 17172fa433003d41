"""Does the car do it? Recordings, impedance sweeps, promise kept or not, and why."""

from basswright.proof.analyse import analyse
from basswright.proof.calibration import read_calibration
from basswright.proof.compare import compare
from basswright.proof.likelihood import Evidence
from basswright.proof.plant import Change, Facts, Plant
from basswright.proof.recording import read_recording
from basswright.proof.seats import average, coherence

__all__ = [
    "Change",
    "Evidence",
    "Facts",
    "Plant",
    "analyse",
    "average",
    "coherence",
    "compare",
    "read_calibration",
    "read_recording",
]

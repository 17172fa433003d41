"""Does the car do it? Recordings, impedance sweeps, promise kept or not, and why."""

from basswright.proof.analyse import analyse
from basswright.proof.calibration import read_calibration
from basswright.proof.compare import compare
from basswright.proof.impedance import fit_impedance
from basswright.proof.impedance_data import impedance_of_recording, read_impedance_table
from basswright.proof.installed import InstalledSystem, installed
from basswright.proof.learn import Lesson, learned, lesson
from basswright.proof.likelihood import Evidence
from basswright.proof.plant import Change, Facts, Plant
from basswright.proof.recording import read_recording
from basswright.proof.seats import average, coherence
from basswright.proof.service import compare_with_earlier

__all__ = [
    "Change",
    "Evidence",
    "Facts",
    "InstalledSystem",
    "Lesson",
    "Plant",
    "analyse",
    "average",
    "coherence",
    "compare",
    "compare_with_earlier",
    "fit_impedance",
    "impedance_of_recording",
    "installed",
    "learned",
    "lesson",
    "read_calibration",
    "read_impedance_table",
    "read_recording",
]

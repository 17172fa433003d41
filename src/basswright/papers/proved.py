"""From a proof to what the acceptance record says of it."""

from __future__ import annotations

import numpy as np

from basswright.papers.bands import nominal_hz
from basswright.papers.facts import BandMargin, Measured
from basswright.records.measurement import Proof
from basswright.records.system import Option

#: Kind of the problem of a microphone whose level is not known.
_RELATIVE = "relative level"
#: Bands of the level that is promised [Hz].
_PROMISED_HZ = (28.0, 90.0)
#: As many causes as are worth naming to a customer.
_CAUSES = 3


def measured(proof: Proof, option: Option | None = None) -> Measured:
    """Return what was proved, ready for the acceptance record.

    Parameters
    ----------
    proof : Proof
    option : Option or None
        The system that was promised. With it, and with a microphone of known level, the
        highest clean level is told: the expected one, moved by how far the measured
        response lies from the predicted one in the promised bands.

    Returns
    -------
    Measured
        Margin in each band; where the promise was not kept, the likeliest causes and what
        to check next are among the remarks.
    """
    relative = any(problem.kind == _RELATIVE for problem in proof.problems)
    level = None if option is None or relative else option.goals.level_db + _apart_db(proof)
    return Measured(
        level_db=level,
        kept=proof.kept,
        bands=tuple(
            BandMargin(frequency_hz=nominal_hz(float(frequency)), margin_db=float(margin))
            for frequency, margin in zip(proof.bands_hz, proof.band_margin_db, strict=True)
        ),
        remarks=(*(problem.text for problem in proof.problems), *_causes(proof)),
    )


def _causes(proof: Proof) -> tuple[str, ...]:
    if proof.kept:
        return ()
    alike = proof.cannot_tell[0] if proof.cannot_tell else ()
    named = [cause for cause in proof.causes if cause.fault in alike] or list(proof.causes[:1])
    told = [f"{cause.fault}: {cause.setting}" for cause in named[:_CAUSES]]
    return (*told, *([proof.check_next] if proof.check_next else []))


def _apart_db(proof: Proof) -> float:
    """Return how far measured lies from predicted on average over the promised bands."""
    low, high = _PROMISED_HZ
    inside = (proof.frequency_hz >= low) & (proof.frequency_hz <= high)
    chosen = inside if inside.any() else np.ones_like(inside)
    return float((proof.measured_db - proof.predicted_db)[chosen].mean())

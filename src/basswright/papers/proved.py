"""From a proof to what the acceptance record says of it."""

from __future__ import annotations

from basswright.papers.facts import BandMargin, Measured
from basswright.records.measurement import Proof


def measured(proof: Proof) -> Measured:
    """Return what was proved, ready for the acceptance record.

    Parameters
    ----------
    proof : Proof

    Returns
    -------
    Measured
        Margin in each band; where the promise was not kept, the likeliest cause and what
        to check next are among the remarks.
    """
    remarks = [*proof.where_not]
    if proof.causes:
        likeliest = proof.causes[0]
        remarks.append(f"{likeliest.fault}: {likeliest.setting}")
    if proof.check_next:
        remarks.append(proof.check_next)
    return Measured(
        kept=proof.kept,
        bands=tuple(
            BandMargin(frequency_hz=float(frequency), margin_db=float(margin))
            for frequency, margin in zip(proof.bands_hz, proof.band_margin_db, strict=True)
        ),
        remarks=tuple(remarks),
    )

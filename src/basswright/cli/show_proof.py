"""Measurements and proofs as text on a terminal, and as plain data for JSON."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

import typer

if TYPE_CHECKING:
    from basswright.records.measurement import ImpedanceFit, Measurement, Problem, Proof

_THIRDS_HZ = (16, 20, 25, 31.5, 40, 50, 63, 80, 100, 125)
_CAUSES_SHOWN = 5


def problems(found: Iterable[Problem]) -> None:
    """Show what was found about a recording, and what to do about it."""
    for one in found:
        remedy = f"; {one.remedy}" if one.remedy else ""
        typer.echo(f"{one.severity}: {one.text}{remedy}")


def measurement(found: Measurement) -> None:
    """Show a measurement by third-octave."""
    import numpy as np

    reference = "dB re 20 uPa" if found.absolute else "dB re the recorder's full scale"
    places = ", ".join(found.seats)
    typer.echo(f"level of a full-scale sine at the ear ({places}), {reference}")
    typer.echo(f"{'Hz':>6} {'level':>7} {'noise':>7} {'2nd %':>7} {'3rd %':>7} {'coherence':>10}")
    at = np.log(found.frequency_hz)
    for hertz in _THIRDS_HZ:
        if not found.frequency_hz[0] <= hertz <= found.frequency_hz[-1]:
            continue
        curves = (found.level_db, found.noise_db, *found.distortion_db[:2], found.coherence)
        level, noise, second, third, share = (np.interp(np.log(hertz), at, c) for c in curves)
        bent = " ".join(f"{100 * 10 ** (each / 20):7.2f}" for each in (second, third))
        typer.echo(f"{hertz:6g} {level:7.1f} {noise:7.1f} {bent} {share:10.4f}")
    typer.echo(f"clock of the recorder against the player: {found.drift_ppm:+.1f} ppm")
    problems(found.problems)


def measurement_data(found: Measurement) -> dict[str, Any]:
    """Return a measurement as plain data, without its impulse response."""
    return {
        "frequency_hz": found.frequency_hz.tolist(),
        "level_db": found.level_db.tolist(),
        "phase_rad": found.phase_rad.tolist(),
        "noise_db": found.noise_db.tolist(),
        "coherence": found.coherence.tolist(),
        "spread_db": found.spread_db.tolist(),
        "harmonics": list(found.harmonics),
        "distortion_db": found.distortion_db.tolist(),
        "drift_ppm": found.drift_ppm,
        "absolute": found.absolute,
        "played_dbfs": found.played_dbfs,
        "seats": list(found.seats),
        "usable": found.usable,
        "problems": [asdict(problem) for problem in found.problems],
    }


def impedance(fit: ImpedanceFit) -> None:
    """Show a fitted box model."""
    typer.echo(f"a {fit.kind} box fits, {fit.residual_share:.1%} apart on average")
    for name, value, error in zip(fit.names, fit.values, fit.standard_errors, strict=True):
        typer.echo(f"{name:>18} {value:10.4g} +- {error:.2g}")
    problems(fit.problems)


def impedance_data(fit: ImpedanceFit) -> dict[str, Any]:
    """Return a fitted box model as plain data; impedances as pairs of real and imaginary."""
    return {
        "kind": fit.kind,
        "values": dict(zip(fit.names, fit.values.tolist(), strict=True)),
        "standard_errors": dict(zip(fit.names, fit.standard_errors.tolist(), strict=True)),
        "residual_share": fit.residual_share,
        "frequency_hz": fit.frequency_hz.tolist(),
        "measured_ohm": [[z.real, z.imag] for z in fit.measured_ohm.tolist()],
        "fitted_ohm": [[z.real, z.imag] for z in fit.fitted_ohm.tolist()],
        "problems": [asdict(problem) for problem in fit.problems],
    }


def proof(found: Proof, *, earlier: bool = False) -> None:
    """Show whether the promise was kept, where not, why, and what would settle it."""
    if earlier:
        typer.echo("The car does what it did." if found.kept else "The level has fallen.")
    else:
        typer.echo("The promise was kept." if found.kept else "The promise was not kept.")
    typer.echo(f"{'Hz':>6} {'above the lower edge of the band, dB':>38}")
    for band, margin in zip(found.bands_hz, found.band_margin_db, strict=True):
        typer.echo(f"{band:6g} {margin:+38.1f}{'' if margin >= 0 else '  short'}")
    problems(found.problems)
    if found.causes and not (found.kept and found.nothing_share > 0.2):
        _causes(found)
    if found.check_next:
        typer.echo(f"check next: {found.check_next}")


def proof_data(found: Proof) -> dict[str, Any]:
    """Return a proof as plain data."""
    return {
        "kept": found.kept,
        "where_not": list(found.where_not),
        "bands_hz": found.bands_hz.tolist(),
        "band_margin_db": found.band_margin_db.tolist(),
        "frequency_hz": found.frequency_hz.tolist(),
        "measured_db": found.measured_db.tolist(),
        "predicted_db": found.predicted_db.tolist(),
        "low_db": found.low_db.tolist(),
        "high_db": found.high_db.tolist(),
        "nothing_share": found.nothing_share,
        "causes": [
            {
                "fault": cause.fault,
                "share": cause.share,
                "explained_share": cause.explained_share,
                "residual_db": cause.residual_db,
                "setting": cause.setting,
                "check_next": cause.check_next,
            }
            for cause in found.causes
        ],
        "cannot_tell": [list(group) for group in found.cannot_tell],
        "separating_reading": list(found.separating_reading),
        "check_next": found.check_next,
        "problems": [asdict(problem) for problem in found.problems],
    }


def _causes(found: Proof) -> None:
    typer.echo(f"likely causes (that nothing is wrong: {found.nothing_share:.0%}):")
    for cause in found.causes[:_CAUSES_SHOWN]:
        share = f"{cause.share:4.0%}" if cause.share >= 0.01 else " <1%"
        typer.echo(
            f"  {share}  {cause.fault}: {cause.setting}; explains "
            f"{cause.explained_share:.0%} of the difference"
        )
    for group in found.cannot_tell:
        typer.echo(f"cannot be told apart by these readings: {', '.join(group)}")

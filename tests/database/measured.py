"""A measured car to be kept."""

from __future__ import annotations

from basswright.records.measured_car import MeasuredCar


def measured_car(
    job_id: str, kind: str = "Invented hatch", *, deviation_db: float = 2.0
) -> MeasuredCar:
    """Return a car that was louder than predicted by the same at every frequency."""
    hertz = tuple(16.0 * 2 ** (step / 6) for step in range(18))
    return MeasuredCar(
        kind=kind,
        body="hatchback",
        job_id=job_id,
        frequency_hz=hertz,
        deviation_db=(deviation_db,) * len(hertz),
        spread_db=(3.0,) * len(hertz),
        cone_x_m=-0.3,
        cone_y_m=0.2,
        cone_z_m=0.25,
    )

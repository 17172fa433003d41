"""Measured cars in the database: kept by kind, one for each job, in no need of the job."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import Connection, delete, insert, select, update

from basswright.database.engine import now, reading, writing
from basswright.database.tables import CATALOGUE, MEASURED_CAR
from basswright.errors import NotFoundError
from basswright.records.measured_car import MeasuredCar, kind_key

if TYPE_CHECKING:
    from sqlalchemy import Engine

DEFAULT_CURRENCY = "EUR"


@dataclass(frozen=True, kw_only=True)
class KeptCar:
    """A measured car as it is kept."""

    id: int
    at: str
    car: MeasuredCar


def measured_cars(connection: Connection) -> tuple[KeptCar, ...]:
    """Return the measured cars of every kind, the oldest first."""
    columns = MEASURED_CAR.c
    query = select(columns.id, columns.at, columns.content).order_by(columns.id)
    return tuple(
        KeptCar(id=id_, at=at, car=MeasuredCar.model_validate_json(content, strict=True))
        for id_, at, content in connection.execute(query)
    )


class MeasuredCars:
    """The measured cars of a workshop.

    Parameters
    ----------
    engine : sqlalchemy.Engine
        From :func:`basswright.database.connect`.
    """

    def __init__(self, engine: Engine) -> None:
        self.engine = engine

    def all(self) -> tuple[KeptCar, ...]:
        """Return the measured cars of every kind, the oldest first."""
        with reading(self.engine) as connection:
            return measured_cars(connection)

    def keep(self, car: MeasuredCar) -> bool:
        """Keep a measured car; return whether it takes the place of an earlier reading.

        A car counts once: another measurement for the same job replaces the first.
        Answers that were worked out before are out of date afterwards.
        """
        with writing(self.engine) as connection:
            same = MEASURED_CAR.c.job_id == car.job_id
            replaced = connection.execute(delete(MEASURED_CAR).where(same)).rowcount > 0
            row = {"kind_key": kind_key(car.kind, car.body), "job_id": car.job_id, "at": now()}
            connection.execute(insert(MEASURED_CAR), {**row, "content": car.model_dump_json()})
            _outdate(connection)
        return replaced

    def forget(self, job_id: str) -> None:
        """Forget what was measured for a job, because it was wrong.

        Raises
        ------
        NotFoundError
        """
        with writing(self.engine) as connection:
            gone = delete(MEASURED_CAR).where(MEASURED_CAR.c.job_id == job_id)
            if connection.execute(gone).rowcount == 0:
                ids = connection.execute(select(MEASURED_CAR.c.job_id)).scalars().all()
                raise NotFoundError("measured car", job_id, tuple(ids[:5]))
            _outdate(connection)


def _outdate(connection: Connection) -> None:
    """Count the store's state on, so that nobody answers from what was known before."""
    grown = update(CATALOGUE).values(revision=CATALOGUE.c.revision + 1)
    if connection.execute(grown).rowcount == 0:
        row = {"id": 1, "revision": 1, "currency": DEFAULT_CURRENCY}
        connection.execute(insert(CATALOGUE), row)

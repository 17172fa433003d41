"""What a measured car teaches about the next one of its kind."""

from __future__ import annotations

from pydantic import Field, model_validator

from basswright.records.base import Record
from basswright.records.car import Body, Car


class MeasuredCar(Record):
    """How far one measured car was off what the models alone had said of it.

    It holds no customer and no recording, only the kind of car and three curves.
    """

    kind: str = Field(min_length=1, max_length=80, description="name of the kind of car")
    body: Body = Field(description="shape of the body")
    job_id: str = Field(min_length=1, max_length=60, description="job that it was measured for")
    frequency_hz: tuple[float, ...] = Field(min_length=4, max_length=500, description="rising")
    deviation_db: tuple[float, ...] = Field(description="measured less predicted level")
    spread_db: tuple[float, ...] = Field(
        description="standard deviation that the prediction had before anything was learned"
    )
    cone_x_m: float = Field(gt=-8, le=8, description="where the cone stood: forwards")
    cone_y_m: float = Field(ge=-3, le=3, description="to the left")
    cone_z_m: float = Field(gt=-2, le=4, description="above the load floor")
    note: str = Field("", max_length=200, description="box, recording, date")

    @model_validator(mode="after")
    def _curves_agree(self) -> MeasuredCar:
        count = len(self.frequency_hz)
        if len(self.deviation_db) != count or len(self.spread_db) != count:
            raise ValueError("not as many levels as frequencies")
        rising = all(
            low < high for low, high in zip(self.frequency_hz, self.frequency_hz[1:], strict=False)
        )
        if not rising or self.frequency_hz[0] <= 0:
            raise ValueError("frequencies do not rise")
        if min(self.spread_db) <= 0 or max(map(abs, self.deviation_db)) > 60:
            raise ValueError("levels that no car has")
        return self


def kind_key(name: str, body: str) -> str:
    """Return the key under which cars of one kind are kept.

    Upper and lower case, spaces and signs make no difference; the body does.
    """
    letters = "".join(sign if sign.isalnum() else " " for sign in name.casefold())
    return f"{body} {' '.join(letters.split())}"


def kind_of_car(car: Car) -> str:
    """Return the key of a car's kind, which is its name and its body."""
    return kind_key(car.name, car.body)

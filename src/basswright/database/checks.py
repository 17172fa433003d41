"""Whether a row from a file is fit for its table: columns, types, and the record in it."""

from __future__ import annotations

import json
from typing import Any

from pydantic import BaseModel, ValidationError
from sqlalchemy import Float, LargeBinary, Table

from basswright.database.kinds import RECORDS
from basswright.errors import InputError
from basswright.records.job import Job
from basswright.records.measured_car import MeasuredCar, kind_key


def check_row(table: Table, row: dict[str, Any], place: str) -> None:
    """Raise if a row does not fit its table.

    Raises
    ------
    InputError
        Columns are missing or unknown, a value is of the wrong type, or the content is
        not the record that it should be.
    """
    names = {column.name for column in table.columns}
    if set(row) != names:
        wrong = ", ".join(sorted(names ^ set(row)))
        raise InputError(f"columns missing or unknown: {wrong}", item=place)
    for column in table.columns:
        value = row[column.name]
        if value is None and column.nullable:
            continue
        is_binary = isinstance(column.type, LargeBinary)
        wanted = str if is_binary else column.type.python_type
        fits = type(value) is wanted or (isinstance(column.type, Float) and type(value) is int)
        if not fits:
            raise InputError("of the wrong type", item=place, field=column.name, value=value)
    _check_content(table.name, row, place)


def _check_content(table: str, row: dict[str, Any], place: str) -> None:
    if table in ("job", "job_revision"):
        _check_record(Job, row["content"], place)
    elif table == "item":
        if row["kind"] not in RECORDS:
            raise InputError("no such kind of thing", item=place, field="kind", value=row["kind"])
        _check_record(RECORDS[row["kind"]], row["content"], place)
    elif table == "measured_car":
        _check_record(MeasuredCar, row["content"], place)
        car = MeasuredCar.model_validate_json(row["content"], strict=True)
        if row["kind_key"] != kind_key(car.kind, car.body) or row["job_id"] != car.job_id:
            raise InputError("its kind or job is another one than its content says", item=place)
    elif table == "sheet_mapping":
        try:
            known = isinstance(json.loads(row["content"]), dict)
        except ValueError:
            known = False
        if not known:
            raise InputError("not a mapping of columns", item=place, field="content")


def _check_record(record: type[BaseModel], content: str, place: str) -> None:
    try:
        record.model_validate_json(content, strict=True)
    except ValidationError as error:
        problem = error.errors(include_url=False)[0]
        field = ".".join(str(part) for part in problem["loc"])
        raise InputError(problem["msg"], item=place, field=field) from error

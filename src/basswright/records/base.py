"""What every record shares, and where a figure comes from."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field


class Record(BaseModel):
    """A single thing: frozen, strict, no unknown fields, no NaN and no infinity."""

    model_config = ConfigDict(
        frozen=True, strict=True, extra="forbid", allow_inf_nan=False, validate_default=True
    )


class Origin(Record):
    """Where a figure comes from, and how far it can be trusted.

    A field without an origin in its record was given by a person or a data sheet.
    """

    kind: Literal["given", "measured", "estimated"]
    low: float | None = Field(None, description="5 % end of the band, in the field's unit")
    high: float | None = Field(None, description="95 % end of the band, in the field's unit")
    note: str = Field("", description="how it was come by, in a few words")


#: Dotted path of a field inside its record -> where its figure comes from.
Origins = dict[str, Origin]

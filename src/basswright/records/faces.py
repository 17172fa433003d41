"""What the sides of a box carry, and the air that each of them wants."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from basswright.records.base import Record

Face = Literal["front", "back", "left", "right", "top", "bottom"]

#: All faces, in the order low and high side of depth, width and height.
FACES: tuple[Face, ...] = ("front", "back", "right", "left", "bottom", "top")

_Air = Annotated[float, Field(ge=0, le=0.5)]


class Faces(Record):
    """Sides of a box as its data sheet shows it; each is optional.

    Where the sheet is silent, port and passive radiators are taken to be on the side of
    the cone, and the room for terminals is looked for on any side.
    """

    cone_air_m: _Air | None = Field(None, description="air wanted in front of the cone side")
    port: Face | None = Field(None, description="side that the port opens on")
    port_air_m: _Air | None = Field(None, description="air wanted in front of the port")
    radiators: Face | None = Field(None, description="side of the passive radiators")
    terminals: Face | None = Field(None, description="side of the terminals")
    terminals_air_m: _Air | None = Field(None, description="room for plug and cable bend")
    never_down: tuple[Face, ...] = Field((), description="sides that it must not stand on")

"""What the demo boxes really are: the parameters behind their data sheets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import Self

import numpy as np
from numpy.typing import NDArray

from basswright.records.enclosure import BoxKind

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: Air at 20 C and 101325 Pa, dry: density [kg/m3], speed of sound [m/s].
RHO, C = 1.204, 343.2


@dataclass(frozen=True, kw_only=True, slots=True)
class HiddenBox:
    """One box as it really is. Cone and radiator figures are for each of them.

    What a box does not have is None (a port of a closed box, say). The volumes are
    net and hold all cones; `tuning_hz` is that of the chamber with the port or the
    radiators. `thermal_power_w` heats the coil of one cone by 175 K in the end.
    """

    kind: BoxKind
    count: int
    series: int
    size_m: float
    nominal_ohm: float
    Sd_m2: float
    Mms_kg: float
    Cms_m_per_n: float
    Rms_kg_per_s: float
    Bl_tm: float
    Re_ohm: float
    Le_henry: float
    Xmax_m: float
    thermal_power_w: float
    net_volume_m3: float
    front_volume_m3: float | None
    leakage_q: float
    tuning_hz: float | None
    port_area_m2: float | None
    port_effective_length_m: float | None
    radiator_count: int
    radiator_Sd_m2: float | None
    radiator_Mms_kg: float | None
    radiator_Cms_m_per_n: float | None
    radiator_Rms_kg_per_s: float | None
    radiator_Xmax_m: float | None
    sensitivity_db: float
    low_limit_hz: float
    power_w: float
    mass_kg: float

    @property
    def load_ohm(self) -> float:
        """Nominal load of the whole box as wired [ohm]."""
        return self.nominal_ohm * self.series**2 / self.count


@dataclass(frozen=True, kw_only=True)
class Columns:
    """Arrays of equal length, one row a box; a field may itself be such a table."""

    def take(self, rows: NDArray[np.intp]) -> Self:
        """Return some of the rows."""
        parts = {field.name: getattr(self, field.name) for field in fields(self)}
        taken = {
            name: part.take(rows) if isinstance(part, Columns) else part[rows]
            for name, part in parts.items()
        }
        return type(self)(**taken)

    @classmethod
    def join(cls, tables: Sequence[Self]) -> Self:
        """Return the rows of all tables, one after the other."""
        joined = {}
        for field in fields(cls):
            parts = [getattr(table, field.name) for table in tables]
            nested = isinstance(parts[0], Columns)
            joined[field.name] = type(parts[0]).join(parts) if nested else np.concatenate(parts)
        return cls(**joined)


@dataclass(frozen=True, kw_only=True)
class Cones(Columns):
    """Columns of cones (one row a box): Thiele/Small parameters of each cone."""

    count: Ints
    series: Ints
    size_m: Floats
    nominal_ohm: Floats
    shallow: NDArray[np.bool_]
    Sd_m2: Floats
    Mms_kg: Floats
    Cms_m_per_n: Floats
    Rms_kg_per_s: Floats
    Bl_tm: Floats
    Re_ohm: Floats
    Le_henry: Floats
    Xmax_m: Floats
    thermal_power_w: Floats


@dataclass(frozen=True, kw_only=True)
class Chambers(Columns):
    """Columns of chambers (one row a box); NaN for what the kind does not have.

    For a bandpass box `volume_m3` is the closed rear chamber and `front_volume_m3`
    the vented front one.
    """

    volume_m3: Floats
    front_volume_m3: Floats
    leakage_q: Floats
    tuning_hz: Floats
    port_area_m2: Floats
    port_effective_length_m: Floats
    radiator_count: Ints
    radiator_Sd_m2: Floats
    radiator_Mms_kg: Floats
    radiator_Cms_m_per_n: Floats
    radiator_Rms_kg_per_s: Floats
    radiator_Xmax_m: Floats

"""What must hold for any box: finite models, passivity, and limits that only ever help."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from basswright.errors import InputError, InputErrors
from basswright.records.enclosure import (
    BoxKind,
    Cuboid,
    Driver,
    Enclosure,
    PassiveRadiators,
    Port,
)
from basswright.sound.air import half_space_transfer
from basswright.sound.grid import octave_grid
from basswright.sound.levels import level_table
from basswright.sound.loudest import loudest_curves
from basswright.sound.models import BOX_ARRAYS, CHAMBER_ARRAYS, BoxModels
from basswright.sound.response import respond
from basswright.sound.sheet_models import box_models
from tests.sound.worked import BOXES

GRID = octave_grid(16.0, 100.0, 6)
KINDS: tuple[BoxKind, ...] = ("closed", "vented", "passive-radiator", "bandpass")


def maybe(low: float, high: float) -> st.SearchStrategy[float | None]:
    """Return a figure in a range, or nothing."""
    return st.none() | st.floats(low, high)


@st.composite
def enclosures(draw: st.DrawFn) -> Enclosure:
    """Draw any enclosure that a record accepts, however unlikely."""
    kind = draw(st.sampled_from(KINDS))
    driver = Driver(
        size_m=draw(st.floats(0.06, 0.6)),
        count=draw(st.integers(1, 6)),
        fs_hz=draw(maybe(6, 190)),
        Qes=draw(maybe(0.1, 4)),
        Qms=draw(maybe(0.5, 40)),
        Xmax_m=draw(maybe(1e-3, 0.09)),
        Le_henry=draw(maybe(1e-5, 0.02)),
    )
    side = st.floats(0.1, 1.2)
    return Enclosure(
        id="any",
        maker="Invented",
        model="Any",
        kind=kind,
        shape=Cuboid(width_m=draw(side), height_m=draw(side), depth_m=draw(side)),
        driver=driver,
        load_ohm=draw(maybe(0.25, 30)),
        power_high_w=draw(maybe(5, 15000)),
        sensitivity_db=draw(maybe(62, 108)),
        low_limit_hz=draw(maybe(8, 120)),
        net_volume_m3=draw(maybe(6e-4, 0.9)),
        tuning_hz=draw(maybe(10, 120)),
        ports=draw(st.none() | st.just(Port(count=2, diameter_m=0.08, length_m=0.2, flared=True))),
        radiators=draw(st.none() | st.just(PassiveRadiators(count=2, size_m=0.25, Mms_kg=0.3))),
        price=1.0,
    )


def modelled(box: Enclosure, *, draws: int) -> tuple[BoxModels | None, tuple[InputError, ...]]:
    """Return the models of a box, or what clashes in its sheet."""
    try:
        return box_models([box], draws=draws), ()
    except InputErrors as error:
        return None, error.errors


def columns(models: BoxModels) -> list[np.ndarray]:
    """Return every array of a model."""
    own = [getattr(models, name) for name in BOX_ARRAYS]
    sides = (models.rear, models.front)
    return own + [getattr(side, name) for side in sides for name in CHAMBER_ARRAYS]


@settings(max_examples=60, deadline=None)
@given(box=enclosures())
def test_any_sheet_gives_finite_models_or_a_named_clash(box: Enclosure) -> None:
    """However odd a sheet: finite, non-negative models and levels, or an error by name."""
    models, clashes = modelled(box, draws=6)
    assert all(clash.field for clash in clashes)
    if models is None:
        return
    assert all(np.isfinite(column).all() and (column >= 0).all() for column in columns(models))
    table = level_table(models, GRID, half_space_transfer(GRID), lowpass_hz=80.0)
    for values in (table.per_volt_db, table.own_limit_db, table.impedance_ohm):
        assert np.isfinite(values).all()


@settings(max_examples=40, deadline=None)
@given(box=enclosures(), hz=st.floats(2.0, 2000.0))
def test_a_box_takes_power_and_never_gives_it(box: Enclosure, hz: float) -> None:
    """At any frequency the terminals take at least what the coil's resistance burns."""
    models, _ = modelled(box, draws=3)
    if models is None:
        return
    impedance = respond(models, [hz]).impedance_ohm
    assert (impedance.real >= models.Re_ohm[..., None] * (1 - 1e-9)).all()


@settings(deadline=None)
@given(
    kind=st.sampled_from(list(BOXES)),
    more=st.floats(1.0, 5.0),
    name=st.sampled_from(["Xmax_m", "heat_limit_w"]),
)
def test_more_reach_never_makes_a_box_quieter(kind: str, more: float, name: str) -> None:
    """More excursion or heat, more volts or amperes: never a lower highest level."""
    box, transfer = BOXES[kind], half_space_transfer(GRID)
    better = replace(box, **{name: more * getattr(box, name)})
    levels = [
        loudest_curves(one, GRID, transfer, voltage_v=volts, current_a=amps)[0]
        for one, volts, amps in (
            (box, 30.0, 10.0),
            (better, 30.0, 10.0),
            (box, 30.0 * more, 10.0),
            (box, 30.0, 10.0 * more),
        )
    ]
    assert all((level >= levels[0] - 1e-9).all() for level in levels[1:])


@settings(deadline=None)
@given(kind=st.sampled_from(list(BOXES)), turns=st.floats(0.3, 4.0))
def test_another_winding_changes_volts_for_amperes_only(kind: str, turns: float) -> None:
    """A coil of so many times the turns gives the same sound for as many times the volts."""
    box, transfer = BOXES[kind], half_space_transfer(GRID)
    wound = replace(
        box,
        Re_ohm=turns**2 * box.Re_ohm,
        Bl_tm=turns * box.Bl_tm,
        coil_K=turns**2 * box.coil_K,
    )
    one, two = (level_table(b, GRID, transfer, lowpass_hz=None) for b in (box, wound))
    np.testing.assert_allclose(two.per_volt_db + 20 * np.log10(turns), one.per_volt_db, atol=1e-9)
    np.testing.assert_allclose(two.own_limit_db, one.own_limit_db, atol=1e-9)
    np.testing.assert_allclose(two.impedance_ohm, turns**2 * one.impedance_ohm, rtol=1e-9)

"""From data sheets to models: figures that are given come back, draws are honest."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.errors import InputError, InputErrors
from basswright.records.base import Origin
from basswright.records.enclosure import Cuboid, Driver, Enclosure, PassiveRadiators, Port
from basswright.sound.air import half_space_transfer
from basswright.sound.figures import TRUST
from basswright.sound.flags import piston_limit_hz
from basswright.sound.grid import octave_grid
from basswright.sound.prediction import predict
from basswright.sound.response import respond
from basswright.sound.sheet_models import box_models, falls_below_hz, half_space_level
from tests.sound.worked import BOXES

SHAPE = Cuboid(width_m=0.60, height_m=0.36, depth_m=0.34)


def sheet(name: str = "a", **changes: object) -> Enclosure:
    """Return a vented box of which little is known, with changes."""
    plain: dict[str, object] = {
        "id": name,
        "maker": "Invented",
        "model": "Test",
        "kind": "vented",
        "shape": SHAPE,
        "driver": Driver(size_m=0.30),
        "load_ohm": 4.0,
        "power_high_w": 400.0,
        "sensitivity_db": 87.0,
        "tuning_hz": 36.0,
        "price": 300.0,
    }
    return Enclosure.model_validate(plain | changes)


def test_published_figures_come_back() -> None:
    """Middle and draws lie about the published figures as far as they can be trusted."""
    models = box_models([sheet(net_volume_m3=0.045)], draws=200)
    draws = slice(1, None)
    for found, wanted, spread in (
        (models.tuning_hz, 36.0, TRUST["tuning_hz"]),
        (models.rear.volume_m3, 0.045, TRUST["net_m3"]),
        (10 ** (models.sensitivity_db / 10), 10**8.7, TRUST["sensitivity_db"]),
        (models.heat_limit_w, 400.0 * np.exp(0.2), TRUST["power_w"]),
    ):
        assert np.log(found[0, 0] / wanted) == pytest.approx(0, abs=0.5 * spread)
        assert np.std(np.log(found[0, draws])) == pytest.approx(spread, rel=0.25)


def test_low_limit_narrows_the_belief() -> None:
    """Draws reproduce the published -10 dB limit where it is known, and scatter if not."""
    grid = octave_grid(12.0, 100.0, 24)
    known = box_models([sheet(low_limit_hz=26.0)], draws=100)
    open_ = box_models([sheet()], draws=100)
    found, loose = (
        np.log(falls_below_hz(half_space_level(models, grid), models.sensitivity_db - 10, grid))[
            0, 1:
        ]
        for models in (known, open_)
    )
    assert np.exp(found.mean()) == pytest.approx(26.0, rel=0.03)
    assert found.std() < loose.std()


def test_thiele_small_figures_decide_over_priors() -> None:
    """A complete, consistent parameter set comes back within its trust."""
    driver = Driver(
        size_m=0.30, fs_hz=28.0, Qes=0.50, Qms=6.0, Vas_m3=0.0555, Re_ohm=3.4, Sd_m2=0.050,
        Xmax_m=0.012, Mms_kg=0.200, Bl_tm=15.47,
    )  # fmt: skip
    models = box_models([sheet(driver=driver, sensitivity_db=None)], draws=64)
    for name in ("fs_hz", "Qes", "Qms", "Re_ohm", "Sd_m2", "Xmax_m", "Mms_kg", "Bl_tm"):
        centre = getattr(models, name)[0, 0]
        assert centre == pytest.approx(getattr(driver, name), rel=0.04), name
    assert models.sources["Bl_tm"] == ("given",)
    assert models.sources["volume_m3"] == ("estimated",)


def test_two_cones_wired_as_the_load_says() -> None:
    """Two 3.5 ohm cones are parallel at 2 ohm and in series at 8, with equal efficiency."""
    driver = Driver(size_m=0.30, count=2, Re_ohm=3.5)
    parallel, series = (
        box_models([sheet(driver=driver, load_ohm=load)], draws=1) for load in (2.0, 8.0)
    )
    assert parallel.Re_ohm[0, 0] == pytest.approx(1.75, rel=0.03)
    assert series.Re_ohm[0, 0] == pytest.approx(7.0, rel=0.03)
    assert series.Bl_tm[0, 0] == pytest.approx(2 * parallel.Bl_tm[0, 0], rel=0.02)
    assert series.sensitivity_db[0, 0] == pytest.approx(parallel.sensitivity_db[0, 0], abs=0.1)
    with pytest.raises(InputErrors, match=r"driver\.Re_ohm"):
        box_models([sheet(driver=driver, load_ohm=16.0)], draws=1)


def test_draws_do_not_depend_on_company_but_on_seed() -> None:
    """The same box draws the same alone and among others; another seed draws anew."""
    boxes = [sheet(str(i), tuning_hz=30.0 + i) for i in range(6)]
    together = box_models(boxes, draws=8, seed=3)
    alone = box_models(boxes[4:5], draws=8, seed=3)
    np.testing.assert_allclose(together.Mms_kg[4], alone.Mms_kg[0], rtol=1e-12)
    assert not np.allclose(alone.Mms_kg, box_models(boxes[4:5], draws=8, seed=4).Mms_kg)


def test_measured_figures_say_so() -> None:
    """A figure whose origin is a measurement is not called given."""
    measured = sheet(origins={"tuning_hz": Origin(kind="measured")})
    assert box_models([measured], draws=1).sources["tuning_hz"] == ("measured",)


@pytest.mark.parametrize(
    ("changes", "named"),
    [
        ({"driver": Driver(size_m=0.3, fs_hz=30.0, Mms_kg=0.2, Sd_m2=0.05, Vas_m3=0.5)}, "Vas"),
        (
            {"driver": Driver(size_m=0.3, fs_hz=30, Mms_kg=0.2, Re_ohm=3.5, Qes=0.5, Bl_tm=60.0)},
            "Bl_tm",
        ),
        (
            {"net_volume_m3": 0.04, "ports": Port(diameter_m=0.1, length_m=0.05)},
            "tuning_hz against ports",
        ),
        ({"net_volume_m3": 0.2}, "net_volume_m3"),
    ],
)
def test_contradictions_are_named(changes: dict[str, object], named: str) -> None:
    """Figures that cannot be true together are refused by name, with what they imply."""
    with pytest.raises(InputErrors, match=named):
        box_models([sheet(), sheet("clash", **changes)], draws=1)


def test_no_draws_are_refused() -> None:
    """Asking for nothing is an error."""
    with pytest.raises(InputError, match="draws"):
        box_models([sheet()], draws=0)


def test_a_passive_radiator_counts_its_published_mass() -> None:
    """Radiator mass, area and volume agree with the tuning (Small 1974)."""
    radiators = PassiveRadiators(count=1, Sd_m2=0.05, Mms_kg=0.40, Xmax_m=0.02)
    box = sheet(kind="passive-radiator", radiators=radiators, net_volume_m3=0.035, tuning_hz=None)
    models = box_models([box], draws=100)
    mass = (models.rear.vent_area_m2**2 / models.rear.vent_per_mass)[0]
    assert mass[0] == pytest.approx(0.40, rel=0.05)
    assert models.rear.vent_excursion_m[0, 0] == pytest.approx(0.02, rel=0.03)


def test_qts_stands_in_for_qes() -> None:
    """Where only Qts and Qms are told, Qes follows; where all three clash, they are named."""
    driver = Driver(size_m=0.30, Qts=0.45, Qms=6.0)
    models = box_models([sheet(driver=driver)], draws=1)
    assert models.Qts[0, 0] == pytest.approx(0.45, rel=0.06)
    clash = Driver(size_m=0.30, Qts=0.60, Qms=6.0, Qes=0.45)
    with pytest.raises(InputErrors, match="Qts against Qes, Qms"):
        box_models([sheet(driver=clash)], draws=1)


def test_sixth_order_bandpass_needs_a_rear_tuning() -> None:
    """A stated rear tuning opens the rear chamber; without it that chamber is closed."""
    box = {"kind": "bandpass", "tuning_hz": 60.0, "net_volume_m3": 0.06, "rear_volume_m3": 0.035}
    models = box_models([sheet("4", **box), sheet("6", **box, rear_tuning_hz=30.0)], draws=1)
    np.testing.assert_array_equal(models.rear.vent_per_mass[:, 0] > 0, [False, True])
    assert models.rear.tuning_hz[1, 0] == pytest.approx(30.0, rel=0.03)
    assert models.front.tuning_hz[1, 0] == pytest.approx(60.0, rel=0.06)
    assert models.rear.volume_m3[0, 0] == pytest.approx(0.035, rel=0.06)
    for wrong in (sheet(rear_tuning_hz=30.0), sheet("b", **(box | {"rear_volume_m3": 0.07}))):
        with pytest.raises(InputErrors, match="rear_"):
            box_models([wrong], draws=1)


def test_use_outside_validity_is_flagged() -> None:
    """A folded port and frequencies above the piston range are told in the result."""
    long_port = Port(width_m=0.30, height_m=0.03, length_m=0.75)
    models = box_models([sheet(ports=long_port, tuning_hz=None)], draws=1)
    grid = octave_grid(16.0, 700.0)
    told = predict(
        models,
        half_space_transfer(grid),
        grid,
        voltage_v=10.0,
        current_a=10.0,
        lowpass_hz=80.0,
        infrasonic_hz=None,
        cabin_model="half space",
    )
    assert len(told.flags) == 2
    assert "longer than the box" in told.flags[0]
    assert "near 229 Hz" in told.flags[0]
    assert "no small source" in told.flags[1]
    radius = np.sqrt(models.Sd_m2[0, 0] / np.pi)
    limit = piston_limit_hz(models)[0, 0]
    assert 2 * np.pi * limit / 343.2 * radius == pytest.approx(1.0)


def test_where_a_response_falls_is_read_along_straight_lines() -> None:
    """dB over the logarithm of frequency, followed down from the peak; the grid's lowest
    frequency where it never falls so far."""
    grid = np.array([10.0, 20.0, 40.0, 80.0])
    level = np.array([[70.0, 82.0, 90.0, 88.0], [85.0, 86.0, 90.0, 70.0], [60.0, 95.0, 70.0, 99.0]])
    found = falls_below_hz(level, np.array([80.0, 80.0, 80.0]), grid)
    between = 10 * 2 ** (10 / 12)
    down_from_the_peak = 40 * 2 ** (10 / 29)
    assert found == pytest.approx([between, 10.0, down_from_the_peak])


def test_level_of_a_watt_is_that_of_its_volts() -> None:
    """sqrt(Re) volts at 1 m in half space; well above resonance the reference sensitivity
    (Small 1972), which a coil without inductance keeps."""
    box = BOXES["closed"]
    grid = np.array([30.0, 50.0, 2000.0])
    found = half_space_level(box, grid)[0, 0]
    answer = respond(box, grid)
    volts = np.sqrt(3.6)
    wanted = 20 * np.log10(volts * np.abs(answer.pressure_pa[0, 0]) / 20e-6)
    assert found == pytest.approx(wanted, abs=1e-9)
    assert found[-1] == pytest.approx(box.sensitivity_db[0, 0], abs=0.01)


def test_a_closed_box_of_which_little_is_known_is_what_makers_aim_at() -> None:
    """Resonance 42 to 65 Hz and Q 0.7 to 1.1 (from memory, common practice)."""
    models = box_models([sheet(kind="closed", tuning_hz=None)], draws=400)
    stiffer = np.sqrt(1 + models.Vas_m3 / models.rear.volume_m3)[0, 1:]
    hz, Q = models.fs_hz[0, 1:] * stiffer, models.Qts[0, 1:] * stiffer
    assert 42 < np.median(hz) < 65
    assert 0.7 < np.median(Q) < 1.1
    assert np.std(np.log(hz)) < 0.2
    assert np.std(np.log(Q)) < 0.2


def test_the_sensitivity_of_a_bandpass_box_is_that_of_its_loudest_frequency() -> None:
    """Stated at 92 dB, that is where the peak of the curve of one watt comes out."""
    box = sheet(kind="bandpass", tuning_hz=60.0, net_volume_m3=0.06, sensitivity_db=92.0)
    models = box_models([box], draws=200)
    grid = octave_grid(12.0, 100.0)
    peak = half_space_level(models, grid)[0, 1:].max(axis=-1)
    assert np.median(peak) == pytest.approx(92.0, abs=0.5)
    assert np.std(peak) < 0.8


def test_a_box_can_be_taken_out_with_all_that_it_carries() -> None:
    """Rows and draws, sources and flags."""
    long_port = Port(width_m=0.30, height_m=0.03, length_m=0.75)
    boxes = [sheet("a"), sheet("b", ports=long_port, tuning_hz=None), sheet("c")]
    models = box_models(boxes, draws=5)
    part = models.take([2, 1], [0, 3])
    assert part.ids == ("c", "b")
    assert part.shape == (2, 2)
    np.testing.assert_array_equal(part.Mms_kg, models.Mms_kg[[2, 1]][:, [0, 3]])
    np.testing.assert_array_equal(part.rear.leak, models.rear.leak[[2, 1]][:, [0, 3]])
    assert part.flags == (models.flags[2], models.flags[1])
    assert part.sources["tuning_hz"] == ("given", "estimated")
    assert models.take([0]).shape == (1, 5)

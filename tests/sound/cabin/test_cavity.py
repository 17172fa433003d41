"""Finite elements of a cavity against closed forms."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.sound.cabin.air import DENSITY, SPEED
from basswright.sound.cabin.cavity import SURFACES, cavity_of
from basswright.sound.cabin.mesh import bricks_of
from basswright.sound.cabin.outline import Outline, box_outline
from basswright.sound.cabin.rectangular import RectangularCabin

SIZE = np.array([2.4, 1.3, 1.1])
MIDDLE = np.array([0.0, 0.65, 0.0])
EAR = np.array([1.5, 0.8, 0.9])
SOURCES = np.array([[0.2, 0.3, 0.2], [0.3, 1.0, 0.15], [0.6, 0.6, 0.5]])


@pytest.fixture(scope="module")
def cavity():
    return cavity_of(box_outline(*SIZE))


def _pressure(space, ear, frequency):
    stiff = sum(space.volumes[key] for key in ("kx", "ky", "kz"))
    omega = 2 * np.pi * np.asarray(frequency)[:, None, None]
    system = stiff * (1 + 0.06j) - (omega / SPEED) ** 2 * space.volumes["m"]
    load = 1j * omega[:, :, 0] * DENSITY * space.shapes(ear[None])
    return np.linalg.solve(system, load[..., None])[..., 0] @ space.shapes(SOURCES - MIDDLE).T


def test_third_of_a_metre_bricks_give_the_greens_function_to_200_hz(cavity):
    # Morse and Ingard section 9.5, summed by the rectangular model that is tested
    # against their closed form. 3.4 m3, up to 200 Hz.
    frequency = np.geomspace(10, 200, 40)
    exact = RectangularCabin(
        corner_m=np.zeros(3),
        size_m=SIZE,
        ear_m=EAR,
        loss_factor=0.06,
        volume_m3=float(np.prod(SIZE)),
    ).at_readings(frequency, SOURCES)
    answer = _pressure(cavity.reduced((EAR - MIDDLE)[None]), EAR - MIDDLE, frequency).T
    off = np.abs(answer - exact) / np.maximum(np.abs(exact), np.median(np.abs(exact)))
    assert np.sqrt(np.mean((20 * np.log10(1 + off)) ** 2)) < 0.1


def test_the_residual_is_worth_having(cavity):
    frequency = np.array([20.0, 40.0, 60.0])
    exact = RectangularCabin(
        corner_m=np.zeros(3),
        size_m=SIZE,
        ear_m=EAR,
        loss_factor=0.06,
        volume_m3=float(np.prod(SIZE)),
    ).at_readings(frequency, SOURCES)
    with_it = cavity.reduced((EAR - MIDDLE)[None])
    without = cavity.reduced(np.array([[0.1, -0.6, 0.05]]))
    good = np.abs(_pressure(with_it, EAR - MIDDLE, frequency).T / exact - 1).max()
    poor = np.abs(_pressure(without, EAR - MIDDLE, frequency).T / exact - 1).max()
    assert good < 0.01
    assert good < poor


def test_modes_of_a_box(cavity):
    expected = [0, 71.5, 132.0, 143.0, 150.12, 156.0, 171.61, 194.61, 204.35]
    np.testing.assert_allclose(cavity.mode_hz[:9], expected, rtol=9e-4, atol=0.01)


def test_modes_converge_with_the_fourth_power_of_the_brick():
    # 27-node bricks: eigenvalues of order h^4 (Strang and Fix, An Analysis of the Finite
    # Element Method, section 6.3).
    errors = []
    for edge in (0.6, 0.3):
        modes = cavity_of(box_outline(*SIZE), edge_m=edge, modes=12).mode_hz
        errors.append(abs(modes[3] - 143.0))
    assert errors[0] / errors[1] > 12


def test_walls_have_the_areas_of_a_box(cavity):
    one = np.zeros(cavity.modes.shape[1])
    one[0] = 1 / cavity.modes[:, 0].mean()
    area = {key: one @ cavity.products[key] @ one for key in SURFACES}
    long, wide, high = SIZE
    assert area["floor"] == pytest.approx(long * wide)
    assert area["roof"] == pytest.approx(long * wide)
    assert area["sides"] == pytest.approx(2 * long * high)
    assert area["rear"] == pytest.approx(wide * high)
    assert area["front"] == pytest.approx(wide * high)


def test_a_wedge_has_the_modes_of_its_closed_form():
    # A horn of section growing linearly from zero is a sector of a circle: axial waves
    # are Bessel functions, J0'(kL) = 0 (Morse and Ingard, section 7.3): kL = 3.8317.
    wedge = Outline(
        x_m=np.array([0.0, 2.5]),
        floor_m=np.zeros(2),
        roof_m=np.array([0.004, 0.4]),
        half_width_m=np.full((2, 3), 0.2),
    )
    modes = cavity_of(wedge, edge_m=0.2, modes=6).mode_hz
    assert modes[1] == pytest.approx(3.8317 * SPEED / (2 * np.pi * 2.5), rel=0.02)


def test_points_are_found_where_they_are():
    outline = Outline(
        x_m=np.array([-0.8, 0.0, 2.0]),
        floor_m=np.array([0.0, 0.0, -0.3]),
        roof_m=np.array([0.5, 0.9, 0.8]),
        half_width_m=np.array([[0.5, 0.6, 0.4]] * 3),
    )
    bricks = bricks_of(outline)
    nodes, corners = bricks.nodes(), bricks.corners()
    rng = np.random.default_rng(0)
    brick = rng.integers(0, len(corners), 50)
    local = rng.uniform(0.02, 0.98, (50, 3))
    from basswright.sound.cabin.mesh import CORNERS

    weight = np.prod(np.where(CORNERS == 1, local[:, None, :], 1 - local[:, None, :]), axis=2)
    points = np.einsum("nc,ncx->nx", weight, nodes[corners[brick]])
    found, place = bricks.locate(points)
    np.testing.assert_array_equal(found, brick)
    np.testing.assert_allclose(place, local, atol=1e-9)

"""The second fleet's way to the sound itself, against closed forms."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.sound.cabin.rectangular import RectangularCabin
from tests.sound.cabin.brick_acoustics import Bricks, Plate, clamped, miki, room_answer

SIZE = np.array([2.4, 1.2, 1.1])


def test_bricks_have_the_greens_function_of_a_box():
    # Morse and Ingard, Theoretical Acoustics, section 9.5.
    bricks = Bricks(edge=0.1, corner=np.zeros(3), open_=np.ones((24, 12, 11), dtype=bool))
    nodes = bricks.nodes()

    def near(place):
        weight = np.exp(-0.5 * (np.linalg.norm(nodes - place, axis=1) / 0.06) ** 2)
        return weight / weight.sum()

    source, ear = np.array([0.3, 0.35, 0.25]), np.array([1.55, 0.85, 0.85])
    frequency = np.array([20.0, 40.0, 55.0, 100.0])
    answer = room_answer(
        bricks, frequency, (near(source)[None], near(ear)), walls=[], plates=[], air_loss=1e-6
    )[0]
    exact = RectangularCabin(
        corner_m=np.zeros(3), size_m=SIZE, ear_m=ear, loss_factor=1e-6,
        volume_m3=float(np.prod(SIZE)),
    ).at_readings(frequency, source[None])[0]  # fmt: skip
    off_db = np.abs(20 * np.log10(np.abs(answer) / np.abs(exact)))
    assert np.max(off_db[:3]) < 0.06
    assert off_db[3] < 0.8  # 100 Hz lies beside a null


def test_a_thin_absorber_is_a_spring_of_air_at_constant_temperature():
    # Allard and Atalla, Propagation of Sound in Porous Media, ch. 5: jw d / p0.
    omega = 2 * np.pi * 30
    assert abs(miki(0.02, 20e3)(omega)) == pytest.approx(omega * 0.02 / 101325, rel=0.02)


def test_a_clamped_plate_gives_as_its_first_mode_does():
    # Static flow per pascal (A/4)² / (m A 9/64 w0²) = 0.444 A / (m w0²).
    flow, mass, first = 0.7, 9.0, 45.0
    weight = np.full(4, flow / 4 / 4)
    plate = Plate(weight, clamped(flow, mass_kg_m2=mass, first_hz=first, loss=0.0))
    omega = 2 * np.pi * 1.0
    static = (weight.sum()) ** 2 * plate.admittance(omega) / (1j * omega)
    assert static.real == pytest.approx(0.444 * flow / (mass * (2 * np.pi * first) ** 2), rel=0.01)

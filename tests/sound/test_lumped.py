"""From unknowns to parameters: what goes in as a figure comes out of the circuit."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.records.enclosure import BoxKind, Driver, PassiveRadiators, Port
from basswright.sound.air import BULK_PA
from basswright.sound.copper import HOT_OVER_COLD
from basswright.sound.lumped import lumped
from basswright.sound.models import BoxModels
from basswright.sound.network import coil_impedance
from basswright.sound.ports import FLARED_SPEED, PLAIN_SPEED
from basswright.sound.priors import AT, UNKNOWNS
from basswright.sound.sheet import read_sheets
from tests.sound.test_sheet_models import sheet

STATE = {
    "cone area": 0.05, "areal mass": 4.2, "fs": 29.0, "Qms": 5.0, "Qes": 0.55, "Re": 1.75,
    "Xmax": 0.013, "coil time": 6e-4, "coil exponent": 0.8, "net volume": 0.05, "tuning": 35.0,
    "QL": 8.0, "opening share": 0.2, "radiator ratio": 0.45, "radiator Q": 9.0,
    "radiator excursion": 0.02, "rear share": 0.5, "rear tuning": 30.0, "heat": 500.0,
    "coil seconds": 6.0, "magnet seconds": 1200.0,
}  # fmt: skip


def model(kind: BoxKind, **changes: object) -> BoxModels:
    """Return the model of one box with two cones from the state above."""
    box = sheet(kind=kind, driver=Driver(size_m=0.30, count=2), **changes)
    state = np.log([STATE[name] for name in UNKNOWNS])
    assert AT["fs"] == UNKNOWNS.index("fs")
    return lumped(state[None, None], read_sheets([box]), ids=["one"])


def test_driver_figures_come_back() -> None:
    """fs, Qes, Qms and Vas of two cones are those of each, Vas twice; Re is the whole box's."""
    box = model("vented")
    for found, wanted in (
        (box.fs_hz, 29.0),
        (box.Qes, 0.55),
        (box.Qms, 5.0),
        (box.Re_ohm, 1.75),
        (box.Sd_m2, 0.10),
        (box.Mms_kg, 0.42),
        (box.Vas_m3, 2 * BULK_PA * 0.05 / ((2 * np.pi * 29) ** 2 * 4.2)),
        (box.tuning_hz, 35.0),
        (box.rear.vent_area_m2, 0.02),
    ):
        assert found[0, 0] == pytest.approx(wanted, rel=1e-9)


def test_inductance_is_that_at_one_kilohertz() -> None:
    """The reactance at 1 kHz is that of Le = (coil time) Re, whatever the exponent."""
    s = np.array([2j * np.pi * 1000.0])
    assert coil_impedance(model("closed"), s)[0, 0, 0].imag == pytest.approx(
        2 * np.pi * 1000 * 6e-4 * 1.75
    )


def test_rated_heat_means_the_rated_rise() -> None:
    """The heat limit warms the coil by 175 K in the end, three quarters of it over the magnet."""
    box = model("closed")
    rise = (box.coil_k_per_w + box.magnet_k_per_w) * box.heat_limit_w
    assert rise[0, 0] == pytest.approx(175.0)
    assert pytest.approx(1.68775) == HOT_OVER_COLD
    assert (box.coil_k_per_w * box.heat_limit_w)[0, 0] == pytest.approx(131.25)
    assert (box.coil_k_per_w * box.coil_j_per_k)[0, 0] == pytest.approx(6.0)
    assert (box.magnet_k_per_w * box.magnet_j_per_k)[0, 0] == pytest.approx(1200.0)


def test_losses_have_their_q() -> None:
    """QL = wb Cab Ral of a vented box, at its own resonance of a closed one (Small 1973)."""
    for kind in ("vented", "closed"):
        box = model(kind)
        hz = 35.0
        if kind == "closed":
            hz = box.fs_hz[0, 0] * np.sqrt(1 + box.Vas_m3[0, 0] / box.rear.volume_m3[0, 0])
        assert 2 * np.pi * hz * (box.rear.compliance / box.rear.leak)[0, 0] == pytest.approx(8.0)


def test_radiator_keeps_tuning_ratio_and_q() -> None:
    """A radiator resonates at its share of the tuning, with its Q (Small 1974)."""
    box = model("passive-radiator", radiators=PassiveRadiators(count=1, size_m=0.3))
    own = np.sqrt(box.rear.vent_stiffness_per_s2[0, 0])
    assert box.tuning_hz[0, 0] == pytest.approx(35.0)
    assert own == pytest.approx(2 * np.pi * 0.45 * 35)
    assert own / box.rear.vent_damping_per_s[0, 0] == pytest.approx(9.0)


@pytest.mark.parametrize(("flared", "speed"), [(True, 23.0), (False, 17.0), (None, 17.0)])
def test_flared_ports_may_blow_faster(flared: bool | None, speed: float) -> None:
    """17 m/s peak, 23 for a flared port: the span that Small's vent area implies (1973)."""
    box = model("vented", ports=Port(diameter_m=0.1, flared=flared))
    assert box.rear.vent_speed_m_per_s[0, 0] == speed
    assert (FLARED_SPEED, PLAIN_SPEED) == (23.0, 17.0)


def test_a_bandpass_box_splits_its_volume() -> None:
    """Half behind, half in front; the closed rear leaks a tenth of a vented one (common
    practice), the front port has Q 100 (Small 1973) and the tuning."""
    box = model("bandpass")
    assert box.rear.volume_m3[0, 0] == pytest.approx(0.025)
    assert box.front.volume_m3[0, 0] == pytest.approx(0.025)
    assert box.tuning_hz[0, 0] == box.front.tuning_hz[0, 0] == pytest.approx(35.0)
    w = 2 * np.pi * 35.0
    front = box.front
    assert w / front.vent_damping_per_s[0, 0] == pytest.approx(100.0)
    assert w * (front.compliance / front.leak)[0, 0] == pytest.approx(8.0)
    assert front.vent_area_m2[0, 0] == pytest.approx(0.2 * 0.1)
    closed = 2 * np.pi * box.fs_hz[0, 0] * np.sqrt(1 + box.Vas_m3[0, 0] / 0.025)
    assert closed * (box.rear.compliance / box.rear.leak)[0, 0] == pytest.approx(80.0)
    assert box.rear.vent_per_mass[0, 0] == 0.0
    assert front.vent_speed_m_per_s[0, 0] == PLAIN_SPEED


def test_a_sixth_order_box_is_open_behind_as_well() -> None:
    """At its own tuning, with a vented box's losses."""
    box = model("bandpass", rear_tuning_hz=30.0, rear_volume_m3=0.025, net_volume_m3=0.05)
    rear = box.rear
    w = 2 * np.pi * 30.0
    assert rear.tuning_hz[0, 0] == pytest.approx(30.0)
    assert w / rear.vent_damping_per_s[0, 0] == pytest.approx(100.0)
    assert w * (rear.compliance / rear.leak)[0, 0] == pytest.approx(8.0)


def test_without_an_opening_nothing_limits_it() -> None:
    """A closed box has neither port nor radiator, and no front."""
    box = model("closed")
    for chamber in (box.rear, box.front):
        assert chamber.vent_per_mass[0, 0] == 0.0 or chamber.volume_m3[0, 0] == 0.0
        assert chamber.vent_speed_m_per_s[0, 0] == chamber.vent_excursion_m[0, 0] == 1e9
    assert box.tuning_hz[0, 0] == 0.0
    radiator = model("passive-radiator", radiators=PassiveRadiators(count=1, size_m=0.3))
    assert radiator.rear.vent_excursion_m[0, 0] == pytest.approx(0.02)
    assert radiator.rear.vent_speed_m_per_s[0, 0] == 1e9
    assert radiator.heat_limit_w[0, 0] == pytest.approx(500.0)
    assert radiator.Xmax_m[0, 0] == pytest.approx(0.013)


@pytest.mark.parametrize(("asked", "used"), [(0.3, 0.5), (0.8, 0.8), (1.2, 1.0)])
def test_the_coil_s_exponent_stays_between_iron_and_inductance(asked: float, used: float) -> None:
    """1/2 is thick iron (Vanderkooy 1989), 1 a plain inductance."""
    state = np.log([STATE[name] if name != "coil exponent" else asked for name in UNKNOWNS])
    box = lumped(state[None, None], read_sheets([sheet()]), ids=["one"])
    assert box.coil_n[0, 0] == pytest.approx(used)


def test_shares_beyond_reason_are_held() -> None:
    """At most nine tenths of the volume behind, and of the tuning for a radiator's own."""

    def box(kind: BoxKind, **changes: float) -> BoxModels:
        state = np.log([(STATE | changes)[name] for name in UNKNOWNS])
        return lumped(state[None, None], read_sheets([sheet(kind=kind)]), ids=["one"])

    wide = box("bandpass", **{"rear share": 1.5})
    assert wide.rear.volume_m3[0, 0] == pytest.approx(0.9 * 0.05)
    stiff = box("passive-radiator", **{"radiator ratio": 1.5})
    own = np.sqrt(stiff.rear.vent_stiffness_per_s2[0, 0]) / (2 * np.pi)
    assert own == pytest.approx(0.9 * 35.0)
    assert stiff.tuning_hz[0, 0] == pytest.approx(35.0)

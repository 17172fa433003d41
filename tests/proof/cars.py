"""Simulated cars with known faults, by code and models of their own.

Cabin: the modes of a rectangular room (Morse & Ingard, "Theoretical Acoustics"), each
with its own damping, with walls that give, leaks, and a boot behind holes and a bulkhead
that gives. Box: a lumped loudspeaker. Amplifier: unregulated, on a weak feed, by
iteration. All numbers are drawn at random; the fitter knows only tape readings and a
data sheet, each with its errors (`records_of`).
"""

from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from basswright.records.measurement import Measurement

RHO, C = 1.204, 343.2
FREQUENCY = 15.5 * 2 ** (np.arange(50) / 16)
OMEGA = 2 * np.pi * FREQUENCY
#: How far the level of a calibrated microphone is off, standard deviation.
MICROPHONE_DB = 0.7


@dataclass(frozen=True)
class Truth:
    """Everything that makes the sound of one car."""

    size: np.ndarray
    ear: np.ndarray
    source: np.ndarray
    front: np.ndarray
    damping: np.ndarray
    leak_hz: float
    saloon: bool
    boot_m3: float
    opening_m2: float
    holes: int
    hole_loss: float
    panels: tuple
    bulkhead: tuple
    boot_panels: tuple
    seat_x: float
    oddness_db: np.ndarray
    box: dict
    gain_v: float
    amplifier_v: float
    supply_ohm: float
    coils: int
    drivers: int
    heat_db: float


@cache
def random_car(index):
    """One car; every other one is a saloon with a boot that is closed off."""
    r = np.random.default_rng(index + 400)
    size = np.array([r.uniform(2.3, 3.0), r.uniform(1.3, 1.5), r.uniform(1.05, 1.25)])
    drivers = int(r.choice([1, 2]))
    gain = np.sqrt(r.uniform(350, 1100) * (4.0 if drivers == 1 else 2.0))
    octaves = np.abs(np.log2(FREQUENCY[:, None] / FREQUENCY[None, :]))
    root = np.linalg.cholesky(np.exp(-0.5 * (octaves / 0.4) ** 2) + 1e-6 * np.eye(FREQUENCY.size))
    saloon = index % 2 == 1
    seat = r.uniform(0.75, 0.95)
    return Truth(
        size=size,
        ear=np.array([r.uniform(0.58, 0.68) * size[0], 0.27 * size[1], r.uniform(0.78, 0.9)]),
        source=np.array(
            [r.uniform(0.2, 0.5), r.uniform(0.3, 0.7) * size[1], r.uniform(0.15, 0.35)]
        ),
        front=np.array([0.82 * size[0], 0.1, 0.4]),
        damping=r.uniform(0.1, 0.3, 4000),
        leak_hz=r.uniform(3, 8),
        saloon=saloon,
        boot_m3=r.uniform(0.38, 0.52),
        opening_m2=np.exp(r.uniform(np.log(0.025), np.log(0.14))),
        holes=int(r.integers(1, 4)),
        hole_loss=r.uniform(0.1, 0.5),
        panels=random_panels(r, size),
        bulkhead=(
            0.9 * r.uniform(0.3, 0.6),
            r.uniform(6, 14),
            r.uniform(25, 60),
            r.uniform(0.2, 0.5),
        ),
        boot_panels=tuple(
            (area * r.uniform(0.2, 0.6), r.uniform(10, 24), r.uniform(28, 80), r.uniform(0.3, 0.6))
            for area in (1.0, 0.7, 1.2)
        ),
        seat_x=0.0 if saloon else seat,
        oddness_db=r.uniform(0.4, 1.0) * root @ r.standard_normal(FREQUENCY.size),
        box=random_box(r, drivers),
        gain_v=gain,
        amplifier_v=gain * r.uniform(1.0, 1.15),
        supply_ohm=r.uniform(0.008, 0.016),
        coils=2 if drivers == 2 or r.random() < 0.6 else 1,
        drivers=drivers,
        heat_db=r.uniform(0.0, 0.8),
    )


def random_panels(r, size):
    """Walls that give: where, area that moves, mass a square metre, resonance, loss."""
    x, y, z = size
    return tuple(
        (
            np.array(place),
            area * r.uniform(*share),
            r.uniform(*mass),
            r.uniform(*hz),
            r.uniform(0.3, 0.6),
        )
        for place, area, share, mass, hz in (
            ((0.5 * x, 0.5 * y, z), 0.6 * x * y, (0.4, 0.8), (7, 12), (28, 60)),
            ((0.5 * x, 0.0, 0.5 * z), 0.5 * x * z, (0.15, 0.45), (10, 18), (35, 80)),
            ((0.5 * x, y, 0.5 * z), 0.5 * x * z, (0.15, 0.45), (10, 18), (35, 80)),
            ((0.0, 0.5 * y, 0.6 * z), 0.6 * y * z, (0.3, 0.8), (12, 26), (28, 60)),
            ((x, 0.5 * y, 0.7 * z), 0.6 * y * z, (0.3, 0.6), (11, 14), (50, 100)),
        )
    )


def random_box(r, drivers):
    """A loaded closed or vented box; totals of all drivers, coils in parallel."""
    area = drivers * r.choice([0.033, 0.049])
    mass = area * r.uniform(3.0, 4.2)
    resonance, qes = r.uniform(26, 35), r.uniform(0.42, 0.62)
    compliance = 1 / (mass * (2 * np.pi * resonance) ** 2)
    re = 3.4 if drivers == 1 else 1.8
    vented = bool(r.random() < 0.4)
    closed_hz = r.uniform(44, 58)
    volume_as = RHO * C**2 * area**2 * compliance
    volume = volume_as / ((closed_hz / resonance) ** 2 - 1)
    volume = volume * (1.8 if vented else 1.0)
    tuning = r.uniform(32, 40) if vented else 0.0
    air = volume / (RHO * C**2)
    return {
        "Re": re,
        "Bl": np.sqrt(2 * np.pi * resonance * mass * re / qes),
        "Mms": mass,
        "Cms": compliance,
        "Rms": 2 * np.pi * resonance * mass / r.uniform(4, 8),
        "Sd": area,
        "Cab": air,
        "Map": 1 / (air * (2 * np.pi * tuning) ** 2) if vented else 0.0,
        "QL": r.uniform(6, 12),
        "Le": r.uniform(0.5e-3, 2e-3) * re / 3.4,
        "ref_hz": tuning if vented else closed_hz,
    }


def box_flow(box, omega=OMEGA, *, leak_q=None, opposed=None, coil_share=1.0):
    """Volume velocity and impedance for 1 V."""
    s = 1j * omega
    q = box["QL"] if leak_q is None else leak_q
    leak = 2 * np.pi * box["ref_hz"] * box["Cab"] / q
    inside = s * box["Cab"] + leak
    if box["Map"]:
        inside = inside + 1 / (s * box["Map"] + 2 * np.pi * box["ref_hz"] * box["Map"] / 60)
    mechanical = box["Rms"] + s * box["Mms"] + 1 / (s * box["Cms"])
    electrical = box["Re"] / coil_share + s * box["Le"] / coil_share
    if opposed is not None:
        impedance = electrical + box["Bl"] ** 2 / mechanical
        cone = box["Bl"] / (electrical * mechanical + box["Bl"] ** 2)
        return opposed * box["Sd"] * cone, impedance
    mechanical = mechanical + box["Sd"] ** 2 / inside
    impedance = electrical + box["Bl"] ** 2 / mechanical
    cone = box["Bl"] / (electrical * mechanical + box["Bl"] ** 2)
    return box["Sd"] * cone * s * box["Cab"] / inside, impedance


def plate(area, mass, hz, loss, omega):
    """Volume velocity of a panel for a pascal: a mass on a lossy spring."""
    natural = 2 * np.pi * hz
    return 1j * omega * area / (mass * (natural**2 * (1 + 1j * loss) - omega**2))


def modal(truth, points, omega):
    """Pressure at each point for a volume velocity at each other; (f, points, points)."""
    top = 420.0
    counts = np.ceil(2 * top * truth.size / C).astype(int)
    orders = np.array(np.meshgrid(*[np.arange(n + 1) for n in counts], indexing="ij"))
    orders = orders.reshape(3, -1).T
    hz = C / 2 * np.sqrt(((orders / truth.size) ** 2).sum(axis=1))
    kept = np.argsort(hz)[: (hz < top).sum()]
    orders, wn = orders[kept], 2 * np.pi * hz[kept]
    shape = np.prod(np.cos(np.pi * orders * points[:, None, :] / truth.size), axis=2)
    double = np.prod(np.where(orders > 0, 2, 1), axis=1)
    w = omega[:, None]
    wide = np.where(wn > 0, truth.damping[: wn.size] * wn, 2 * np.pi * truth.leak_hz)
    weight = double / (wn**2 - w**2 + 1j * w * wide)
    scale = 1j * w[:, :, None] * RHO * C**2 / np.prod(truth.size)
    return scale * np.einsum("pm,fm,qm->fpq", shape, weight, shape)


def cabin(truth, omega=OMEGA):
    """From the box's volume velocity to the ear; and the same for the front speakers."""
    hole = np.array([0.02, 0.5 * truth.size[1], 0.5 * truth.size[2]])
    start = hole if truth.saloon else truth.source
    points = np.array([truth.ear, start, truth.front, *(panel[0] for panel in truth.panels)])
    free = modal(truth, points, omega)
    gives = np.array([plate(*panel[1:], omega) for panel in truth.panels]).T
    inner, outer = free[:, 3:, 3:], free[:, :3, 3:]
    loaded = np.linalg.solve(np.eye(inner.shape[1]) + inner * gives[:, None, :], free[:, 3:, :3])
    heard = free[:, :3, :3] - outer * gives[:, None, :] @ loaded
    box, front = heard[:, 0, 1], heard[:, 0, 2]
    if not truth.saloon:
        return box, front
    each = truth.opening_m2 / truth.holes
    length = 0.04 + 1.7 * np.sqrt(each / np.pi)
    open_ = truth.opening_m2 / (RHO * length * omega * (1j + truth.hole_loss))
    series = 1 / (open_ + plate(*truth.bulkhead, omega))
    stiff = 1j * omega * truth.boot_m3 / (RHO * C**2)
    boot = 1 / (stiff + sum(plate(*panel, omega) for panel in truth.boot_panels))
    return box * boot / (boot + series + heard[:, 1, 1]), front


def low_pass(hz):
    """Fourth-order Butterworth by its published denominator."""
    s = 1j * FREQUENCY / hz
    return 1 / ((s**2 + 0.765367 * s + 1) * (s**2 + 1.847759 * s + 1))


FAULT_NAMES = (
    "polarity",
    "leak",
    "gain low",
    "wrong wiring or load",
    "low-pass too low",
    "box moved or turned round",
    "boot sealed off",
    "supply sags",
)


@dataclass(frozen=True)
class Session:
    """What the fitter brings home from one car."""

    bass: Measurement
    loud: Measurement
    front: Measurement
    together: Measurement
    resistance_ohm: float
    tone_voltage_share: float
    close: Measurement


def session(truth, fault, seed):
    """Measure a car in which one thing is wrong (or nothing); names the fault exactly."""
    r = np.random.default_rng(seed + 77)
    name, extra, factor, flip, compress, ohm = fault, {}, 1.0, 1, None, truth.box["Re"]
    changed, corner, tone = truth, 80.0, 1.0
    if fault == "polarity":
        if truth.coils == 2 and r.random() < 0.5:
            name, extra = "one driver or coil reversed", {"opposed": r.uniform(0.03, 0.2)}
        else:
            name, flip = "reversed against the front speakers", -1
    elif fault == "leak":
        extra = {"leak_q": np.exp(r.uniform(np.log(0.25), np.log(1.2)))}
    elif fault == "gain low":
        factor = tone = 10 ** (-r.uniform(3, 12) / 20)
    elif fault == "wrong wiring or load":
        if truth.coils == 2 and r.random() < 0.3:
            extra, ohm = {"coil_share": 0.5}, 2 * ohm
        else:
            factor, ohm = 0.5, 4 * ohm
    elif fault == "low-pass too low":
        corner = r.uniform(38, 58)
        tone = float(np.abs(low_pass(corner)[index_of(45)]).mean())
    elif fault == "box moved or turned round":
        changed = replace(truth, source=other_place(truth, r))
    elif fault == "boot sealed off":
        changed = replace(truth, opening_m2=truth.opening_m2 * r.uniform(0.02, 0.3))
    elif fault == "supply sags":
        compress = weak_feed(truth, r.uniform(1.8, 5.0))
    flow, impedance = box_flow(truth.box, **extra)
    across, doors = cabin(changed)
    plain = flow * across * low_pass(corner) * factor * truth.gain_v
    plain = plain * 10 ** (truth.oddness_db / 20)
    limits = [limit_db(truth, impedance, dbfs, compress or 1.0) for dbfs in (-20.0, -3.0)]
    close = close_to_the_cone(truth, changed, flow, extra)
    close = close * low_pass(corner) * factor * truth.gain_v * 10 ** (r.normal(0, 1.0) / 20)
    front = front_speakers(doors)
    near = index_of(80)
    front *= np.abs(plain[near]).mean() / np.abs(front[near]).mean() * r.uniform(0.5, 1.5)
    front = tuned(plain, front, near)
    offset = r.normal(0, MICROPHONE_DB)
    noise = 10 ** (r.uniform(35, 50) / 20) * 2e-5

    def heard(pressure, dbfs, held_db=0.0):
        level = 20 * np.log10(np.abs(pressure) / 2e-5) + held_db + offset
        noise_db = 20 * np.log10(noise / 2e-5) - dbfs + np.zeros_like(level)
        share = 10 ** ((noise_db - level) / 20)
        level = level + 8.7 * share / np.sqrt(2) * r.standard_normal(level.size)
        return measurement(level + r.normal(0, 0.15), noise_db, dbfs)

    measured = Session(
        bass=heard(plain, -20.0, limits[0]),
        loud=heard(plain, -3.0, limits[1] - truth.heat_db),
        front=heard(front, -20.0),
        together=heard(front + flip * plain, -20.0),
        resistance_ohm=ohm * r.normal(1.0, 0.03),
        tone_voltage_share=tone * r.normal(1.0, 0.03),
        close=heard(close, -20.0, limits[0]),
    )
    return name, measured


def close_to_the_cone(plan, truth, flow, extra):
    """Pressure for 1 V at the planned place of one cone: that of a piston, and the room's.

    Impedance of a piston's middle: Morse & Ingard, section 7.4; the room as in `cabin`,
    where the boot's walls give, or where the modes of the open body are summed.
    """
    box, drivers = plan.box, plan.drivers
    if "opposed" in extra:
        moving = flow / extra["opposed"]
    else:
        leak = 2 * np.pi * box["ref_hz"] * box["Cab"] / extra.get("leak_q", box["QL"])
        inside = 1j * OMEGA * box["Cab"] + leak
        if box["Map"]:
            loss = 2 * np.pi * box["ref_hz"] * box["Map"] / 60
            inside = inside + 1 / (1j * OMEGA * box["Map"] + loss)
        moving = flow * inside / (1j * OMEGA * box["Cab"])
    radius = np.sqrt(box["Sd"] / drivers / np.pi)
    away = float(np.linalg.norm(truth.source - plan.source))
    k = OMEGA / C
    if away > 0:
        direct = 1j * OMEGA * RHO * moving * np.exp(-1j * k * away) / (4 * np.pi * away)
    else:
        direct = RHO * C * (1 - np.exp(-1j * k * radius)) * moving / drivers / (np.pi * radius**2)
    return direct + flow * around_the_box(truth, plan)


def around_the_box(truth, plan):
    """Pressure over volume velocity of the air that the box stands in, walls giving."""
    if truth.saloon:
        each = truth.opening_m2 / truth.holes
        length = 0.04 + 1.7 * np.sqrt(each / np.pi)
        open_ = truth.opening_m2 / (RHO * length * OMEGA * (1j + truth.hole_loss))
        way = 1 / (open_ + plate(*truth.bulkhead, OMEGA))
        stiff = 1j * OMEGA * truth.boot_m3 / (RHO * C**2)
        walls = sum(plate(*panel, OMEGA) for panel in truth.boot_panels)
        cabin_ = RHO * C**2 / (1j * OMEGA * np.prod(truth.size))
        return 1 / (stiff + walls + 1 / (way + cabin_))
    apart = np.array([0.05, 0.03, 0.04])
    places = np.array([plan.source + apart, truth.source])
    return modal(truth, places, OMEGA)[:, 0, 1]


def tuned(bass, front, near):
    """The front speakers with the delay and polarity that the handed-over car has."""
    tries = [
        sign * front * np.exp(-1j * OMEGA * delay)
        for sign in (1, -1)
        for delay in np.arange(-0.004, 0.0041, 0.001)
    ]
    return max(tries, key=lambda one: np.abs(bass + one)[near].mean())


def weak_feed(truth, wanted_db):
    """By how much the feed's resistance has grown when the loud sweep loses that much."""
    _, impedance = box_flow(truth.box)
    inside = (FREQUENCY > 20) & (FREQUENCY < 80)
    for factor in np.geomspace(2, 120, 40):
        if limit_db(truth, impedance, -3.0, factor)[inside].min() < -wanted_db:
            break
    return factor


def index_of(hz):
    """Frequencies within half an octave."""
    return np.abs(np.log2(FREQUENCY / hz)) < 0.5


def front_speakers(doors):
    """Door speakers with a second-order corner."""
    s = 1j * FREQUENCY / 75
    return s**2 / (s**2 + 1.3 * s + 1) / (1j * OMEGA) * doors


def other_place(truth, r):
    """Another place in the load space or boot, 0.35 m or more away."""
    if truth.saloon:
        way = r.standard_normal(3)
        return truth.source + way / np.linalg.norm(way) * r.uniform(0.35, 0.7)
    while True:
        place = np.array(
            [
                r.uniform(0.1, truth.seat_x),
                r.uniform(0.15, 0.85) * truth.size[1],
                r.uniform(0.15, 0.6),
            ]
        )
        if np.linalg.norm(place - truth.source) > 0.35:
            return place


def limit_db(truth, impedance, dbfs, factor):
    """Clipping of an unregulated amplifier on its feed, by iteration over the voltage."""
    volts = truth.gain_v * 10 ** (dbfs / 20) * np.abs(low_pass(80.0))
    supply = np.full(FREQUENCY.size, 13.8)
    for _ in range(60):
        most = truth.amplifier_v * supply / 14.4
        out = np.minimum(volts, most)
        current = out**2 * np.real(1 / impedance) / (0.78 * supply)
        supply = 0.5 * supply + 0.5 * np.maximum(13.8 - factor * truth.supply_ohm * current, 5.0)
    ratio = np.minimum(truth.amplifier_v * supply / 14.4 / volts, 1.0)
    theta = np.linspace(0, 2 * np.pi, 721)[:-1]
    wave = np.clip(np.sin(theta), -ratio[:, None], ratio[:, None])
    return 20 * np.log10(2 * np.mean(wave * np.sin(theta), axis=1))


def measurement(level, noise_db, dbfs):
    """A measurement record around a level."""
    none = np.zeros_like(level)
    return Measurement(
        frequency_hz=FREQUENCY,
        level_db=level,
        phase_rad=none,
        impulse=np.zeros(4),
        impulse_rate_hz=2400.0,
        arrival_s=0.0,
        harmonics=(2,),
        distortion_db=none[None, :] - 120,
        noise_db=noise_db,
        coherence=none + 1,
        spread_db=none,
        drift_ppm=0.0,
        absolute=True,
        played_dbfs=dbfs,
    )

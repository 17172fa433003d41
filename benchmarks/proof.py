"""How fast is a recording analysed, how often is a fault found, how do bands narrow?

``python -m benchmarks.proof`` prints four tables; the simulated cars are those of
``tests/proof``, which share no code with the models of the program.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable
from dataclasses import replace

import numpy as np
from scipy import fft, optimize, signal
from tests.proof import cars
from tests.proof.records_of import plant_of, promise_of
from tests.proof.rooms import known_room, played, recorded

from basswright.proof import Evidence, analyse, compare, learned, lesson
from basswright.proof.recording import inspect
from basswright.records.measurement import Proof, Recording, Sweep
from basswright.records.tuning import EqualiserBand
from basswright.tuning import equalise
from basswright.tuning.filters import peaking, response

CARS = 25


def main() -> None:
    """Print all tables."""
    speed()
    accuracy()
    equaliser()
    faults()
    narrowing()


def speed() -> None:
    """60 s of stereo at 48 kHz, beside the plain division of spectra and scipy's csd."""
    sweep = Sweep(duration_s=50.0)
    mono = recorded(sweep).samples[: 60 * 48000]
    whole = Recording(
        samples=np.repeat(mono, 2, axis=1), sample_rate_hz=48000.0, bits=16, name="60 s stereo"
    )
    source = played(sweep, rate=48000)[: mono.shape[0]]
    heard = mono[:, 0].astype(float)
    count = source.size
    size = fft.next_fast_len(2 * count, real=True)

    def divided() -> None:
        np.fft.irfft(np.fft.rfft(heard, size) / (np.fft.rfft(source, size) + 1e-3))

    # Farina's way with scipy: convolution with the reversed sweep, at the full rate
    backwards = source[::-1] * np.exp(-np.arange(count) / count * sweep.growth)

    def convolved() -> None:
        signal.oaconvolve(heard, backwards)

    print("\nOne 60 s stereo recording at 48 kHz, CPU seconds (best of three)")
    for name, job in (
        ("inspected and analysed: drift, gate, harmonics, noise", lambda: _both(whole, sweep)),
        ("spectra divided at the full rate, nothing else", divided),
        ("scipy.signal.oaconvolve with the reversed sweep", convolved),
        ("scipy.signal.csd, one channel", lambda: signal.csd(source, heard, 48000, nperseg=2**17)),
    ):
        print(f"  {name:58s} {_best_of_three(job):6.2f}")


def _both(whole: Recording, sweep: Sweep) -> None:
    analyse(inspect(whole), sweep)


def _best_of_three(job: Callable[[], object]) -> float:
    times = []
    for _ in range(3):
        start = time.process_time()
        job()
        times.append(time.process_time() - start)
    return min(times)


def accuracy() -> None:
    """Level in a room with a known answer, 15 to 150 Hz."""
    print("\nLevel against a room with a known answer, 15 to 150 Hz")
    sweep = Sweep()
    cases: dict[str, dict[str, float]] = {
        "clean": {},
        "clock 100 ppm fast": {"drift": 1e-4},
        "clock 100 ppm slow": {"drift": -1e-4},
        "noise 45 dB down": {"noise": 4e-4},
        "noise and 80 ppm": {"noise": 4e-4, "drift": 8e-5},
        "clipped at 90 % of its peak": {"clip": 0.9},
        "clipped at 60 % of its peak": {"clip": 0.6, "noise": 2e-4},
        "clipped at 35 % of its peak": {"clip": 0.35, "noise": 2e-4},
    }
    for name, settings in cases.items():
        found = analyse(inspect(recorded(sweep, **settings)), sweep)
        error = found.level_db - 20 * np.log10(np.abs(known_room(found.frequency_hz)))
        inside = (found.frequency_hz >= 15) & (found.frequency_hz <= 150)
        said = ", ".join(problem.kind for problem in found.problems) or "nothing"
        print(
            f"  {name:30s} worst {np.abs(error[inside]).max():6.3f} dB, "
            f"drift found {found.drift_ppm:+7.2f} ppm, said: {said}"
        )


def equaliser() -> None:
    """The equaliser's fit beside a general optimiser on the same cost."""
    frequency = np.geomspace(20, 80, 60)
    random = np.random.default_rng(5)
    level = 105 + 5 * np.exp(-((np.log2(frequency / 43) / 0.25) ** 2))
    level = level - 4 * np.exp(-((np.log2(frequency / 62) / 0.3) ** 2))
    level = level + 0.3 * random.standard_normal(frequency.size)
    target = equalise.house_curve(frequency, crossover_hz=80.0)

    def rest(values: np.ndarray) -> float:
        bands = [
            EqualiserBand(frequency_hz=float(np.exp(f)), gain_db=float(g), Q=float(np.exp(q)))
            for f, g, q in values.reshape(3, 3)
        ]
        sections = tuple(peaking(band, 48000.0) for band in bands)
        shown = level - target + 20 * np.log10(np.abs(response(sections, frequency, 48000.0)))
        return float(np.std(shown))

    box = [(np.log(18), np.log(90)), (-12, 6), (np.log(0.5), np.log(6))] * 3
    print("\nEqualiser of three bands: what is left of the ripple, dB rms, and CPU seconds")
    start = time.process_time()
    found = equalise.fit(
        frequency,
        level,
        target_db=target,
        headroom_db=np.full(frequency.size, 6.0),
        fit_range_hz=(20.0, 80.0),
        count=3,
    )
    print(f"  fitted {found.after_db:15.2f} {time.process_time() - start:6.2f}")
    start = time.process_time()
    best = optimize.differential_evolution(rest, box, seed=1, maxiter=60, popsize=12, tol=1e-6)
    print(f"  differential_evolution {best.fun:.2f} {time.process_time() - start:6.2f}")


def faults(count: int = CARS) -> None:
    """Eight faults in simulated cars, every other one a saloon; first and among three."""
    for title, readings in (
        ("bass alone, one recording", _one),
        ("recordings quiet, loud, with the front speakers; resistance", _standard),
        ("the same and the voltage of the set-up tone", _metered),
        ("the same and the reading that the proof asks for", _asked),
    ):
        print(f"\nFaults found: {title}")
        total: Counter[str] = Counter()
        for number, fault in enumerate(cars.FAULT_NAMES):
            line = _found(fault, number, count=count, readings=readings)
            total.update(line)
            _show(fault, line)
        _show("all", total)


def _found(
    fault: str, number: int, *, count: int, readings: Callable[[cars.Session], Evidence]
) -> Counter[str]:
    """Sealed boots in saloons, every other fault in open cars and saloons by turns."""
    line: Counter[str] = Counter()
    index = -1
    while line["cars"] < count:
        index += 1
        truth = cars.random_car(index)
        if fault == "boot sealed off" and not truth.saloon:
            continue
        if fault == "wrong wiring or load" and truth.coils < 2:
            continue
        name, session = cars.session(truth, fault, index * 10 + number)
        proof = _proved(index, session, readings)
        names = [cause.fault for cause in proof.causes]
        line.update(
            cars=1,
            first=int(name == names[0]),
            third=int(name in names[:3]),
            untold=int(bool(proof.cannot_tell)),
        )
    return line


def _proved(
    index: int, session: cars.Session, readings: Callable[[cars.Session], Evidence]
) -> Proof:
    """Compare; where the proof cannot tell and asks for the reading at the cone, take it."""
    given, plant = readings(session), plant_of(index)
    proof = compare(session.bass, promise_of(index), plant=plant, evidence=given)
    if readings is _asked and any("the cone" in reading for reading in proof.separating_reading):
        given = replace(given, close=session.close)
        proof = compare(session.bass, promise_of(index), plant=plant, evidence=given)
    return proof


def _show(name: str, line: Counter[str]) -> None:
    done = line["cars"]
    print(
        f"  {name:28s} {done:3d} cars: first {line['first'] / done:6.1%}, "
        f"in three {line['third'] / done:6.1%}, cannot tell {line['untold'] / done:5.0%}",
        flush=True,
    )


def _one(session: cars.Session) -> Evidence:
    return Evidence()


def _standard(session: cars.Session) -> Evidence:
    return Evidence(
        loud=session.loud,
        front=session.front,
        together=session.together,
        resistance_ohm=session.resistance_ohm,
    )


def _metered(session: cars.Session) -> Evidence:
    return replace(_standard(session), tone_voltage_share=session.tone_voltage_share)


def _asked(session: cars.Session) -> Evidence:
    return _metered(session)


def narrowing() -> None:
    """Bands of the next car of a kind after 0, 1, 5 and 20 measured ones."""
    print("\nBand of the next car of the same kind (half of 90 %, mean 20 to 80 Hz)")
    print("  (error against a measurement, whose microphone is itself unsure by 0.7 dB)")
    for index in (4, 6, 8):
        widths, errors, inside = {}, {}, {}
        fleet = [_sibling(index, number) for number in range(24)]
        promised = promise_of(index)
        lessons = [lesson(session.bass, promised) for session in fleet]
        for count in (0, 1, 5, 20):
            widths[count], errors[count], inside[count] = _next_cars(
                promised, lessons, fleet, count=count
            )
        for count in (0, 1, 5, 20):
            print(
                f"  kind {index}, {count:2d} measured: +-{widths[count]:.1f} dB, "
                f"rms error {errors[count]:.1f} dB, inside the band {inside[count]:.0%}"
            )


def _next_cars(promised, lessons, fleet, *, count):
    after = learned(promised, lessons[:count])
    grid = after.frequency_hz
    bass = (grid >= 20) & (grid <= 80)
    error = np.array(
        [
            np.interp(np.log(grid), np.log(cars.FREQUENCY), one.bass.level_db) - after.level_db
            for one in fleet[20:]
        ]
    )[:, bass]
    half = (after.level_high_db - after.level_low_db)[bass] / 2
    hit = np.abs(error) <= np.hypot(half, 1.645 * cars.MICROPHONE_DB)
    return half.mean(), np.sqrt(np.mean(error**2)), hit.mean()


def _sibling(index: int, number: int) -> cars.Session:
    """A car of the same kind: the same body, its own seat, box place, leak and box."""
    truth = cars.random_car(index)
    random = np.random.default_rng(1000 * index + number)
    box = {
        key: value * np.exp(random.normal(0, 0.03)) if value else value
        for key, value in truth.box.items()
    }
    sibling = replace(
        truth,
        ear=truth.ear + random.normal(0, 0.03, 3),
        source=truth.source + random.normal(0, 0.05, 3),
        leak_hz=truth.leak_hz * np.exp(random.normal(0, 0.2)),
        damping=truth.damping * np.exp(random.normal(0, 0.1)),
        box=box,
    )
    return cars.session(sibling, "none", number)[1]


if __name__ == "__main__":
    main()

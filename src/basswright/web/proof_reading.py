"""From what was sent by the page to a proof, and what is kept of it with the job."""

from __future__ import annotations

import hashlib
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final

from fastapi import File, Form, UploadFile

from basswright.errors import InputError, NotFoundError
from basswright.quantities import read
from basswright.web.desk import Desk

if TYPE_CHECKING:
    from basswright.jobs.store import JobFile
    from basswright.proof.likelihood import Evidence
    from basswright.records.measurement import Measurement, Proof
    from basswright.stages.system import System

LARGEST_RECORDING: Final = 60_000_000
_LARGEST_CALIBRATION: Final = 200_000
#: Level of the sweep of the page, and of the same played louder [dB re full scale].
LOUD_DBFS: Final = -3.0
_READINGS: Final = ("loud", "front", "together", "close")


@dataclass(frozen=True, kw_only=True)
class Sent:
    """What the page sends: sound files by their name, the rest as it was typed."""

    sounds: dict[str, bytes]
    name: str
    calibration: bytes
    full_scale: str
    resistance: str
    tone: str
    keep: bool
    earlier: str

    @property
    def digest(self) -> str:
        """Return a name for the answer to exactly this."""
        parts = [f"{key}\0".encode() + sound for key, sound in sorted(self.sounds.items())]
        words = (self.full_scale, self.resistance, self.tone, self.earlier)
        parts += [self.calibration, *(word.encode() for word in words)]
        return hashlib.sha256(b"\0".join(parts)).hexdigest()


async def sent(
    recording: Annotated[UploadFile, File()],
    calibration: Annotated[UploadFile | None, File()] = None,
    full_scale: Annotated[str, Form(max_length=40)] = "",
    loud: Annotated[UploadFile | None, File()] = None,
    front: Annotated[UploadFile | None, File()] = None,
    together: Annotated[UploadFile | None, File()] = None,
    close: Annotated[UploadFile | None, File()] = None,
    resistance: Annotated[str, Form(max_length=40)] = "",
    tone: Annotated[str, Form(max_length=40)] = "",
    keep: Annotated[bool, Form()] = False,
    earlier: Annotated[str, Form(max_length=20)] = "",
) -> Sent:
    """Read what the page sends.

    Raises
    ------
    InputError
        A file beyond its limit.
    """
    files = {"recording": recording, "loud": loud, "front": front, "together": together}
    files["close"] = close
    sounds = {}
    for name, file in files.items():
        content = await file.read(LARGEST_RECORDING + 1) if file else b""
        if content or name == "recording":
            sounds[name] = content
    microphone = await calibration.read(_LARGEST_CALIBRATION + 1) if calibration else b""
    longest = max(len(sound) for sound in sounds.values())
    if longest > LARGEST_RECORDING or len(microphone) > _LARGEST_CALIBRATION:
        raise InputError(
            "too large",
            field="recording",
            allowed=f"recordings up to {LARGEST_RECORDING / 1e6:.0f} MB, calibrations up to 200 kB",
        )
    return Sent(
        sounds=sounds,
        name=recording.filename or "recording",
        calibration=microphone,
        full_scale=full_scale.strip(),
        resistance=resistance.strip(),
        tone=tone.strip(),
        keep=keep,
        earlier=earlier.strip(),
    )


def earlier_of(desk: Desk, job_id: str) -> tuple[JobFile, ...]:
    """Return the measurements that are kept with a job, the newest first."""
    return desk.jobs.files(job_id, kind="cabin")[::-1]


def judged(desk: Desk, system: System, given: Sent) -> tuple[Proof, Measurement]:
    """Return the proof of what was sent, and what was measured."""
    from basswright.stages import proof as stage

    heard = _measured(given)
    evidence = _evidence(system, given, heard)
    now = heard["recording"]
    if given.earlier:
        then = _earlier(desk, system.job.id, given.earlier)
        return stage.prove_again(system, now, then, evidence=evidence), now
    return stage.prove(system, now, evidence), now


def keep(desk: Desk, system: System, given: Sent, measured: Measurement) -> tuple[str, ...]:
    """Keep recording and measurement with the job, and what they teach; say what was done."""
    from basswright.database.measured_cars import MeasuredCars
    from basswright.proof import saving
    from basswright.stages import proof as stage

    job, option = system.job.id, system.option.id
    desk.jobs.attach_file(job, "recording", name=given.name, content=given.sounds["recording"])
    text = saving.as_text(measured).encode()
    desk.jobs.attach_file(job, "cabin", name=f"{given.name}.json", content=text, note=option)
    told = ["The recording and what it shows are kept with the job."]
    try:
        lesson = stage.lesson_of(system, measured, note=f"{option}, {given.name}")
    except InputError:
        told.append("As the microphone's level is not known, it teaches nothing about other cars.")
    else:
        MeasuredCars(desk.engine).keep(lesson)
        told.append(f"The next {lesson.kind} rests on this measurement.")
    return tuple(told)


def _measured(given: Sent) -> dict[str, Measurement]:
    from basswright.records.measurement import Sweep
    from basswright.stages import proof as stage

    level = None if not given.full_scale else _typed(given.full_scale, "level", "dB", "full_scale")
    found = {}
    with tempfile.TemporaryDirectory() as folder:
        microphone = Path(folder) / "calibration.txt"
        microphone.write_bytes(given.calibration)
        for name, sound in given.sounds.items():
            sweep = Sweep(level_dbfs=LOUD_DBFS) if name == "loud" else Sweep()
            how = stage.listening(
                sweep,
                calibration=microphone if given.calibration else None,
                level_at_full_scale_db=level,
            )
            file = Path(folder) / name
            file.write_bytes(sound)
            found[name] = stage.measure([file], how)
    return found


def _evidence(system: System, given: Sent, heard: dict[str, Measurement]) -> Evidence:
    from basswright.proof import Evidence
    from basswright.stages.proof import set_up_tone_v

    if ("front" in heard) != ("together" in heard):
        raise InputError("front speakers alone are of use only with both together", field="front")
    share = None
    if given.tone:
        share = _typed(given.tone, "voltage", "V", "tone") / set_up_tone_v(system)
    ohm = _typed(given.resistance, "resistance", "ohm", "resistance") if given.resistance else None
    return Evidence(
        **{name: heard.get(name) for name in _READINGS},
        resistance_ohm=ohm,
        tone_voltage_share=share,
    )


def _earlier(desk: Desk, job_id: str, file_id: str) -> Measurement:
    from basswright.proof import saving

    if not (file_id.isascii() and file_id.isdigit()):
        raise NotFoundError("measurement", file_id)
    return saving.from_text(desk.jobs.file(job_id, int(file_id)).decode(), name="measurement")


def _typed(text: str, kind: str, unit: str, field: str) -> float:
    try:
        return read(f"{text} {unit}" if text[-1].isdigit() else text, kind)
    except InputError as error:
        raise error.at(field=field) from None

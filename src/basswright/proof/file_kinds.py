"""What kind of file is this really, whatever its name says?"""

from __future__ import annotations

import struct
from pathlib import Path

from basswright.errors import InputError

_READABLE = "WAV, FLAC or AIFF"
_CONVERT = f"record or export it as {_READABLE}, not compressed"

_MARKS: tuple[tuple[int, bytes, str], ...] = (
    (0, b"ID3", "an MP3 file"),
    (4, b"ftyp", "an MP4, M4A or MOV file (video, or compressed sound)"),
    (0, b"\x1a\x45\xdf\xa3", "a Matroska or WebM video"),
    (0, b"OggS", "an Ogg file (compressed sound)"),
    (0, b"#!AMR", "an AMR voice recording"),
    (0, b"\x30\x26\xb2\x75", "a Windows Media file"),
    (0, b"PK\x03\x04", "a ZIP archive"),
    (0, b"%PDF", "a PDF document"),
    (0, b"\x89PNG", "a picture"),
    (0, b"\xff\xd8\xff", "a picture"),
)


def check_kind(path: Path) -> str:
    """Return "wav", "flac" or "aiff", by the first bytes of the file.

    Raises
    ------
    InputError
        Missing, empty, text, video, or sound that was compressed with loss.
    """
    if not path.is_file():
        raise InputError("there is no such file", item=path.name)
    with path.open("rb") as file:
        head = file.read(512)
    if not head:
        raise InputError("the file is empty", item=path.name, allowed=_READABLE)
    if head[:4] in (b"RIFF", b"RF64") and head[8:12] == b"WAVE":
        return "wav"
    if head[:4] == b"fLaC":
        return "flac"
    if head[:4] == b"FORM" and head[8:12] in (b"AIFF", b"AIFC"):
        return "aiff"
    raise InputError(f"this is {_name(head)}", item=path.name, allowed=_CONVERT)


def missing_share(path: Path) -> float:
    """Return which part of the samples that a WAV header announces is not in the file."""
    size = path.stat().st_size
    with path.open("rb") as file:
        place = 12
        while place + 8 <= size:
            file.seek(place)
            chunk, length = struct.unpack("<4sI", file.read(8))
            if chunk == b"data":
                present = size - place - 8
                unknown = length in (0, 0xFFFFFFFF)
                return 0.0 if unknown or present >= length else 1 - present / length
            place += 8 + length + length % 2
    return 0.0


def _name(head: bytes) -> str:
    for place, mark, name in _MARKS:
        if head[place : place + len(mark)] == mark:
            return name
    if head[0] == 0xFF and len(head) > 1 and head[1] & 0xE0 == 0xE0:
        return "an MP3 file"
    if head[:4] == b"RIFF":
        return "an AVI video or another RIFF file without sound"
    printable = sum(32 <= byte < 127 or byte in (9, 10, 13) for byte in head)
    if printable > 0.95 * len(head):
        return "a text file, whatever its name says"
    return "no sound file that is known here"

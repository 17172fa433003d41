"""The workshop's logo: a small SVG or PNG, checked before it goes on every paper."""

from __future__ import annotations

import re
import struct
import zlib
from base64 import b64decode, b64encode
from collections.abc import Iterator
from pathlib import Path
from typing import Final
from xml.etree import ElementTree

from basswright.errors import InputError

#: What a logo may weigh, in bytes; it is set into every page.
LARGEST_BYTES: Final = 300_000
#: Most pixels along one side of a PNG, and the least that still prints well.
MOST_PIXELS, LEAST_PIXELS = 4000, 60
#: A logo wider or taller than this against its other side is no logo.
LONGEST_SHARE: Final = 10.0

#: Room for the logo at the head of a page: width, height [mm].
ROOM_MM: Final = (50.0, 11.0)

_PNG: Final = b"\x89PNG\r\n\x1a\n"
_DATA: Final = "data:image/png;base64,"
_ALLOWED: Final = f"SVG or PNG of at most {LARGEST_BYTES // 1000} kB"
#: Whole samples a pixel by PNG colour type (ISO/IEC 15948, 11.2.2).
_SAMPLES: Final = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}


def read_logo(path: Path) -> str:
    """Read a logo from a file.

    Raises
    ------
    InputError
        It cannot be read, or :func:`checked_logo` refuses it.
    """
    try:
        with path.open("rb") as stream:
            content = stream.read(LARGEST_BYTES + 1)
    except OSError as error:
        raise InputError(
            f"cannot be read: {error.strerror or error}", item=path.name, field="logo"
        ) from None
    return checked_logo(content)


def checked_logo(content: bytes) -> str:
    """Return a logo as the papers take it: SVG text, or a PNG as a data address.

    Parameters
    ----------
    content : bytes
        Of an SVG or a PNG file.

    Raises
    ------
    InputError
        Neither of the two, damaged, too large, too coarse, of an extreme shape, or an SVG
        that carries scripts, entities or addresses of other files.
    """
    if len(content) > LARGEST_BYTES:
        raise InputError("too large", field="logo", allowed=_ALLOWED)
    if content.startswith(_PNG):
        _check_shape(*_png_size(content))
        return _DATA + b64encode(content).decode()
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError("neither SVG nor PNG", field="logo", allowed=_ALLOWED) from None
    return checked_logo_text(text)


def checked_logo_text(text: str) -> str:
    """Return a logo that was kept as text, checked again; see :func:`checked_logo`."""
    if text.startswith(_DATA):
        try:
            return checked_logo(b64decode(text.removeprefix(_DATA), validate=True))
        except ValueError:
            raise InputError("a damaged PNG", field="logo", allowed=_ALLOWED) from None
    if "<!ENTITY" in text:
        raise InputError("an SVG may not define entities", field="logo")
    try:
        root = ElementTree.fromstring(text)
    except ElementTree.ParseError as error:
        raise InputError(f"neither SVG nor PNG: {error}", field="logo", allowed=_ALLOWED) from None
    if not root.tag.endswith("svg"):
        raise InputError("not an SVG", field="logo", value=root.tag, allowed=_ALLOWED)
    for element in root.iter():
        _check_element(element)
    _check_shape(*_svg_size(root))
    return text


def room_mm(logo: str) -> tuple[float, float]:
    """Return width and height of a checked logo on paper [mm], within the room it has."""
    if is_png(logo):
        width, height = map(float, _png_size(b64decode(png_base64(logo))))
    else:
        width, height = _svg_size(ElementTree.fromstring(logo))
    scale = min(ROOM_MM[0] / width, ROOM_MM[1] / height)
    return width * scale, height * scale


def is_png(logo: str) -> bool:
    """Tell whether a checked logo is a PNG."""
    return logo.startswith(_DATA)


def png_base64(logo: str) -> str:
    """Return the content of a PNG logo as base64."""
    return logo.removeprefix(_DATA)


def _check_element(element: ElementTree.Element) -> None:
    name = str(element.tag).rpartition("}")[2]
    if name in ("script", "foreignObject"):
        raise InputError(f"an SVG with <{name}> is not shown", field="logo")
    for key, value in element.attrib.items():
        kind = key.rpartition("}")[2]
        if kind == "href" and not value.startswith(("#", "data:image/")):
            raise InputError("an SVG may not fetch other files", field="logo", value=value)
        if kind.startswith("on"):
            raise InputError("an SVG with scripts is not shown", field="logo", value=kind)


def _svg_size(root: ElementTree.Element) -> tuple[float, float]:
    numbers = [float(n) for n in re.findall(r"[-+]?[0-9.]+(?:e-?\d+)?", root.get("viewBox", ""))]
    if len(numbers) == 4:
        return numbers[2], numbers[3]
    sides = [re.match(r"\d+(\.\d+)?", root.get(side, "")) for side in ("width", "height")]
    if None in sides:
        raise InputError("an SVG without viewBox or width and height", field="logo")
    width, height = (float(side[0]) for side in sides if side)
    return width, height


def _check_shape(width: float, height: float) -> None:
    if not (width > 0 and height > 0 and 1 / LONGEST_SHARE <= width / height <= LONGEST_SHARE):
        raise InputError(
            "of an extreme shape",
            field="logo",
            value=f"{width:g} by {height:g}",
            allowed=f"at most {LONGEST_SHARE:g} times as long as wide",
        )


def _png_size(content: bytes) -> tuple[int, int]:
    """Return width and height of a PNG that can be drawn (ISO/IEC 15948)."""
    header, pixels = b"", b""
    for name, data in _chunks(content):
        if name == b"IHDR":
            header = data
        elif name == b"IDAT":
            pixels += data
    if len(header) != 13:
        raise InputError("a damaged PNG: no header", field="logo")
    width, height, depth, colour, _, _, interlaced = struct.unpack(">IIBBBBB", header)
    if not (LEAST_PIXELS <= max(width, height) <= MOST_PIXELS and min(width, height) > 0):
        raise InputError(
            "a PNG of this size does not print well",
            field="logo",
            value=f"{width} by {height} pixels",
            allowed=f"{LEAST_PIXELS} to {MOST_PIXELS} pixels along the longer side",
        )
    row = (width * depth * _SAMPLES.get(colour, 0) + 7) // 8
    _check_pixels(pixels, None if interlaced else height * (row + 1))
    return width, height


def _check_pixels(pixels: bytes, expected: int | None) -> None:
    inflater = zlib.decompressobj()
    most = 8 * MOST_PIXELS * (MOST_PIXELS + 1)
    try:
        found = len(inflater.decompress(pixels, most))
    except zlib.error:
        raise InputError("a damaged PNG: its pixels cannot be read", field="logo") from None
    if found == 0 or (expected is not None and found < expected):
        raise InputError("a damaged PNG: pixels are missing", field="logo")


def _chunks(content: bytes) -> Iterator[tuple[bytes, bytes]]:
    at = len(_PNG)
    while at + 12 <= len(content):
        (size,) = struct.unpack(">I", content[at : at + 4])
        name, data = content[at + 4 : at + 8], content[at + 8 : at + 8 + size]
        check = content[at + 8 + size : at + 12 + size]
        if check != struct.pack(">I", zlib.crc32(name + data)):
            break
        yield name, data
        if name == b"IEND":
            return
        at += 12 + size
    raise InputError("a damaged PNG", field="logo", allowed=_ALLOWED)

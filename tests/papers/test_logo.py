"""A logo is checked before it goes on every paper, and stands there in its own shape."""

from __future__ import annotations

import struct
import zlib

import pytest
from pypdf import PdfReader

from basswright.errors import InputError
from basswright.papers import Extras, context, write
from basswright.papers.logo import (
    LARGEST_BYTES,
    ROOM_MM,
    checked_logo,
    checked_logo_text,
    is_png,
    read_logo,
    room_mm,
)
from tests.papers.samples import LOGO, TODAY, vented


def png(width: int, height: int, *, rows: int | None = None) -> bytes:
    """A grey PNG, written after ISO/IEC 15948 and nothing else."""
    pixels = b"".join(b"\x00" + b"\x80" * width for _ in range(height if rows is None else rows))

    def chunk(name: bytes, data: bytes) -> bytes:
        check = struct.pack(">I", zlib.crc32(name + data))
        return struct.pack(">I", len(data)) + name + data + check

    header = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    parts = ((b"IHDR", header), (b"IDAT", zlib.compress(pixels)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(chunk(*part) for part in parts)


def svg(inside: str = "", *, size: str = 'viewBox="0 0 60 40"') -> bytes:
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{inside}</svg>'.encode()


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"GIF89a" + b"\xff" * 40, "neither SVG nor PNG"),
        (b"just words", "neither SVG nor PNG"),
        (b"<p>no drawing</p>", "not an SVG"),
        (svg(size=""), "without viewBox"),
        (svg(size='viewBox="0 0 600 4"'), "extreme shape"),
        (svg("<script>1</script>"), "script"),
        (svg('<rect onclick="x()"/>'), "scripts"),
        (svg('<image href="file:///etc/hosts"/>'), "other files"),
        (b'<!DOCTYPE svg [<!ENTITY a "b">]>' + svg(), "entities"),
        (png(20, 20), "does not print well"),
        (png(5000, 4), "does not print well"),
        (png(900, 60), "extreme shape"),
        (png(200, 100)[:-30], "damaged PNG"),
        (png(200, 100).replace(b"IDAT", b"IDAU"), "damaged PNG"),
        (png(200, 100, rows=40), "pixels are missing"),
        (b"\x89PNG\r\n\x1a\n", "damaged PNG"),
        (svg(" " * LARGEST_BYTES), "too large"),
    ],
)
def test_what_is_no_logo_is_told_plainly(content, told):
    with pytest.raises(InputError, match=told):
        checked_logo(content)


def test_a_file_that_is_not_there_is_told(tmp_path):
    with pytest.raises(InputError, match=r"none\.svg, logo: cannot be read"):
        read_logo(tmp_path / "none.svg")


@pytest.mark.parametrize("content", [png(200, 100), LOGO.encode()])
def test_a_checked_logo_is_accepted_again_as_it_was_kept(content):
    kept = checked_logo(content)
    assert checked_logo_text(kept) == kept
    assert is_png(kept) == content.startswith(b"\x89PNG")


@pytest.mark.parametrize(
    ("content", "wide", "high"),
    [
        # 2 : 1 is held by the height, 10 : 1 by the width of the room
        (png(200, 100), 2 * ROOM_MM[1], ROOM_MM[1]),
        (svg(size='width="100mm" height="10mm"'), ROOM_MM[0], ROOM_MM[0] / 10),
    ],
)
def test_a_logo_keeps_its_shape_within_its_room(content, wide, high):
    assert room_mm(checked_logo(content)) == pytest.approx((wide, high))


@pytest.mark.parametrize("content", [png(200, 100), LOGO.encode()])
def test_the_logo_stands_on_every_page_of_every_paper(content, tmp_path):
    sample = vented()
    extras = Extras(logo=checked_logo(content))
    told = context(sample.job, sample.option, sample.prediction, {}, today=TODAY, extras=extras)
    bare = context(sample.job, sample.option, sample.prediction, {}, today=TODAY)
    with_logo = write(told, tmp_path / "with", formats=("pdf", "html"))
    without = write(bare, tmp_path / "without", formats=("pdf", "html"))
    for one, other in zip(with_logo, without, strict=True):
        if one.suffix == ".html":
            assert "<header>\n  <strong><img src=" in one.read_text("utf-8")
        elif one.suffix == ".pdf":
            pages = zip(PdfReader(one).pages, PdfReader(other).pages, strict=True)
            assert all(_drawn(page) > _drawn(plain) for page, plain in pages)


def _drawn(page) -> int:
    """How much a page draws: its figures and its content stream."""
    return len(page["/Resources"].get("/XObject", {})) + len(page.get_contents().get_data())

"""Opens a supplier's file: limits first, then encoding, separator and rows of cells."""

from __future__ import annotations

import csv
import io
import json
import re
import zipfile
import zlib
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Any, Final

from basswright.catalogue.sheets.cells import Cell
from basswright.errors import InputError, TooLargeError

#: Largest file [bytes], most rows and columns, and most that a workbook may unpack to.
MAX_BYTES: Final = 64_000_000
MAX_ROWS: Final = 250_000
MAX_COLUMNS: Final = 400
MAX_UNPACKED_BYTES: Final = 600_000_000
MAX_MEMBERS: Final = 2_000
_KINDS: Final = ".csv, .tsv, .txt, .xlsx or .json"
_SEPARATORS: Final = ";\t,|"
_SAMPLE: Final = 200_000
#: Encodings from before UTF-8, the commonest first.
_OLDER: Final = ("cp1252", "cp1250", "mac_roman", "cp850", "cp852")
_UNLIKELY: Final = re.compile(
    r"(?<=[^\W\d_])[¡-¿×÷ˇ˘˙˛˝†‡•…‰™‹›ƒ„‚ˆ˜√∫∆∂◊‡∏∑π≈≠≤≥]|[¡-¿×÷†‡•ƒ](?=[^\W\d_])"
    r"|(?<=[a-zà-öø-ÿ])[À-ÖØ-ÞŒŠŽŸ]|[\x80-\x9f]|[─-▟]"
)
#: Rows of each sheet of a workbook that are looked at to choose one.
_LOOKED_AT: Final = 30

#: Tells how much sense the top of a table makes.
Sense = Callable[[Sequence[Sequence[Cell]]], float]


@dataclass(frozen=True, kw_only=True)
class Table:
    """The rows of a file; `rows` can be gone through once.

    `first_row` is the number that a person sees at the first of the rows.
    `expected` is about how many there will be.
    """

    rows: Iterator[list[Cell]]
    first_row: int
    expected: int
    encoding: str = ""
    separator: str = ""
    remarks: tuple[str, ...] = ()


def open_table(path: Path, *, sense: Sense | None = None) -> Table:
    """Open a file as rows of cells.

    Of a workbook with several sheets the one is read whose top makes most `sense`, of
    equal ones the longest.

    Raises
    ------
    InputError
        No such file, or not a table of one of the known sorts.
    TooLargeError
        Beyond one of the limits; nothing was read then.
    """
    suffix = path.suffix.lower()
    try:
        size = path.stat().st_size
    except OSError as error:
        raise InputError("there is no such file", item=path.name, value=str(path)) from error
    if path.is_dir():
        raise InputError("this is a folder", item=path.name, allowed=_KINDS)
    if size > MAX_BYTES:
        raise TooLargeError(
            f"{path.name}: {size / 1e6:.0f} MB; allowed: up to {MAX_BYTES / 1e6:.0f} MB"
        )
    if suffix == ".xlsx":
        return _workbook(path, sense)
    if suffix == ".json":
        return _json(path)
    if suffix in (".csv", ".tsv", ".txt"):
        return _csv(path)
    raise InputError("this sort of file is not read", item=path.name, allowed=_KINDS)


def _too_many(path: Path, rows: str) -> TooLargeError:
    return TooLargeError(f"{path.name}: {rows} rows; allowed: up to {MAX_ROWS:,}")


def _csv(path: Path) -> Table:
    data = path.read_bytes()
    if data[:4] == b"PK\x03\x04":
        raise InputError("this is a workbook or an archive, not text", item=path.name)
    lines = data.count(b"\n") + data.count(b"\r") - data.count(b"\r\n") + 1
    if lines > MAX_ROWS + 1:
        raise _too_many(path, f"about {lines:,}")
    text, encoding, remarks = _decoded(path, data)
    if "\x00" in text:
        raise InputError("this is not a text file", item=path.name, allowed=_KINDS)
    separator = _separator(text[:_SAMPLE])
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
    return Table(
        rows=_checked(path, reader),
        first_row=1,
        expected=lines,
        encoding=encoding,
        separator=separator,
        remarks=remarks,
    )


def _checked(path: Path, reader: Any) -> Iterator[list[Cell]]:
    number = 0
    while True:
        number += 1
        try:
            row = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            raise InputError(f"not a table: {error}", item=f"{path.name}, row {number}") from error
        if len(row) > MAX_COLUMNS:
            raise TooLargeError(
                f"{path.name}, row {number}: {len(row)} columns; allowed: up to {MAX_COLUMNS}"
            )
        yield row


def _decoded(path: Path, data: bytes) -> tuple[str, str, tuple[str, ...]]:
    """Decode by mark, as UTF-8, or as the likeliest older encoding, which is then said."""
    marks = ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))
    for mark, encoding in marks:
        if data.startswith(mark):
            try:
                return data.decode(encoding), encoding, ()
            except UnicodeDecodeError as error:
                raise InputError(
                    f"the text is broken at byte {error.start}", item=path.name
                ) from error
    try:
        return data.decode("utf-8"), "utf-8", ()
    except UnicodeDecodeError:
        pass
    encoding = _likeliest(b"\n".join(line for line in data.splitlines() if not line.isascii()))
    text = data.decode(encoding, errors="replace") if encoding else data.decode("latin-1")
    encoding = encoding or "latin-1"
    remark = f"the file is not UTF-8; its letters were taken as {encoding}, please look at them"
    return text, encoding, (remark,)


def _likeliest(odd: bytes) -> str:
    """Return the older encoding in which the odd letters look most like those of words.

    A sign inside a word, or a capital after a small letter, speaks against an encoding;
    of equal ones the commoner is taken. Empty if none can be decoded.
    """
    sample, counted = odd[:_SAMPLE], {}
    for encoding in _OLDER:
        try:
            sample.decode(encoding)
            odd.decode(encoding)
        except UnicodeDecodeError:
            continue
        counted[encoding] = len(_UNLIKELY.findall(sample.decode(encoding)))
    return min(counted, key=lambda each: counted[each]) if counted else ""


def _separator(sample: str) -> str:
    """Return the sign that splits most of the first lines into the most columns alike."""
    lines = sample.splitlines(keepends=True)[:40]

    def explained(sign: str) -> int:
        try:
            widths = [len(row) for row in csv.reader(lines, delimiter=sign) if row]
        except csv.Error:
            return 0
        return max(((width - 1) * widths.count(width) for width in set(widths)), default=0)

    return max(_SEPARATORS, key=explained)


def _sense_of(sheet: Any, sense: Sense | None) -> float:
    if sense is None or sheet.height > MAX_ROWS or sheet.width > MAX_COLUMNS:
        return 0.0
    rows = islice(sheet.iter_rows(), _LOOKED_AT)
    return sense([[_plain(cell) for cell in row] for row in rows])


def _workbook(path: Path, sense: Sense | None) -> Table:
    _check_archive(path)
    from python_calamine import CalamineError, CalamineWorkbook

    try:
        book = CalamineWorkbook.from_path(path)
        sheets = [book.get_sheet_by_name(name) for name in book.sheet_names]
    except (CalamineError, OSError, ValueError) as error:
        raise InputError("this workbook cannot be read", item=path.name) from error
    filled = [sheet for sheet in sheets if sheet.height > 0]
    if not filled:
        raise InputError("the workbook is empty", item=path.name)
    # the sheet whose heading makes most sense; of equal ones the longest
    sheet = max(filled, key=lambda each: (round(_sense_of(each, sense)), each.height))
    if sheet.height > MAX_ROWS:
        raise _too_many(path, f"{sheet.height:,}")
    if sheet.width > MAX_COLUMNS:
        raise TooLargeError(f"{path.name}: {sheet.width} columns; allowed: up to {MAX_COLUMNS}")
    others = [other.name for other in filled if other is not sheet]
    remark = f"only the sheet {sheet.name!r} was read, not {', '.join(others)}"
    start = sheet.start[0] if sheet.start else 0
    return Table(
        rows=([_plain(cell) for cell in row] for row in sheet.iter_rows()),
        first_row=start + 1,
        expected=sheet.height,
        encoding="xlsx",
        remarks=(remark,) if others else (),
    )


def _plain(cell: Any) -> Cell:
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, str | float | int):
        return cell
    return None if cell is None else str(cell)


def _check_archive(path: Path) -> None:
    """Refuse a workbook that would unpack to more than the limit, whatever it claims."""
    try:
        with zipfile.ZipFile(path) as archive:
            members = archive.infolist()
            claimed = sum(member.file_size for member in members)
            if len(members) > MAX_MEMBERS or claimed > MAX_UNPACKED_BYTES:
                raise _bomb(path)
            left = MAX_UNPACKED_BYTES
            for member in members:
                left -= _unpacked_size(archive, member, left)
                if left < 0:
                    raise _bomb(path)
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError) as error:
        raise InputError("this is not a workbook", item=path.name, allowed=_KINDS) from error


def _bomb(path: Path) -> TooLargeError:
    return TooLargeError(
        f"{path.name}: unpacks to more than {MAX_UNPACKED_BYTES / 1e6:.0f} MB; refused"
    )


def _unpacked_size(archive: zipfile.ZipFile, member: zipfile.ZipInfo, limit: int) -> int:
    """Count what a member unpacks to from its own bytes, up to the limit."""
    file = archive.fp
    if file is None or member.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        raise NotImplementedError
    file.seek(member.header_offset + 26)
    head = file.read(4)
    skip = int.from_bytes(head[:2], "little") + int.from_bytes(head[2:], "little")
    file.seek(member.header_offset + 30 + skip)
    if member.compress_type == zipfile.ZIP_STORED:
        return member.compress_size
    inflate = zlib.decompressobj(-15)
    total, todo = 0, member.compress_size
    while todo > 0 and not inflate.eof:
        chunk = file.read(min(todo, 65_536))
        if not chunk:
            break
        todo -= len(chunk)
        while chunk and total <= limit:
            total += len(inflate.decompress(chunk, 1_000_000))
            chunk = inflate.unconsumed_tail
        if total > limit:
            break
    return total


def _json(path: Path) -> Table:
    data = path.read_bytes()

    def refuse(word: str) -> None:
        raise InputError("not a number that can be used", item=path.name, value=word)

    def once(pairs: list[tuple[str, object]]) -> dict[str, object]:
        entry = dict(pairs)
        if len(entry) < len(pairs):
            keys = [key for key, _ in pairs]
            twice = next(key for place, key in enumerate(keys) if key in keys[:place])
            raise InputError("a key stands twice in one thing", item=path.name, value=twice)
        return entry

    try:
        content = json.loads(data, parse_constant=refuse, object_pairs_hook=once)
    except UnicodeDecodeError as error:
        raise InputError(
            "this is not a text file", item=path.name, allowed="JSON in UTF-8"
        ) from error
    except (json.JSONDecodeError, RecursionError) as error:
        raise InputError(f"this is not JSON: {error}", item=path.name) from error
    if isinstance(content, dict):
        lists = [value for value in content.values() if isinstance(value, list)]
        content = lists[0] if len(lists) == 1 else None
    if not isinstance(content, list) or not all(isinstance(entry, dict) for entry in content):
        raise InputError(
            "no list of things in it", item=path.name, allowed="a list of objects, one a thing"
        )
    if len(content) > MAX_ROWS:
        raise _too_many(path, f"{len(content):,}")
    flat = [dict(_flattened(entry)) for entry in content]
    heads = list(dict.fromkeys(key for entry in flat for key in entry))
    rows: list[list[Cell]] = [[*heads], *([entry.get(head) for head in heads] for entry in flat)]
    return Table(rows=iter(rows), first_row=0, expected=len(rows), encoding="json")


def _flattened(entry: dict[str, Any], prefix: str = "") -> Iterator[tuple[str, Cell]]:
    for key, value in entry.items():
        if isinstance(value, dict):
            yield from _flattened(value, f"{prefix}{key}.")
        elif isinstance(value, list):
            yield f"{prefix}{key}", "; ".join(str(part) for part in value)
        else:
            yield f"{prefix}{key}", _plain(value)

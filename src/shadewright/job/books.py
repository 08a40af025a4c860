"""Workbooks as streams of cells: only the sheets asked for, and nothing unpacked beyond the limits.

A workbook is a zip of XML files, and a small zip can hold gigabytes: one cell in the last row, a
merge over whole columns, or a sheet of notes that nobody asked for. Programs that load workbooks
build all of it before anything can be counted. So each part is weighed first, by what the zip says
of its size (which is also the most that is unpacked of it), and is then read element by element.
What a number format means, and which day a number is, openpyxl knows.
"""

from __future__ import annotations

import posixpath
import struct
import zlib
from collections.abc import Callable, Collection, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import NoReturn, TypeVar
from xml.parsers import expat
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, ZipFile

from openpyxl.utils.datetime import MAC_EPOCH, WINDOWS_EPOCH

from shadewright.job.files import bytes_of, refused
from shadewright.job.limits import (
    LARGEST_BOOK,
    LARGEST_PARTS,
    MOST_COLUMNS,
    MOST_ELEMENTS,
    MOST_PARTS,
    MOST_ROWS,
)
from shadewright.job.problems import FileProblem, JobError
from shadewright.job.sheet_xml import BookCell, Formats, Relations, Rows, SheetList, Taker, Texts

AnyTaker = TypeVar("AnyTaker", bound=Taker)

_ENTRY = "xl/workbook.xml"
_ENCRYPTED = 0x1
_LISTED = b"PK\x01\x02"
"""Begins the entry of each part in a zip's list."""

# A token that does not end in a chunk is looked at again with the next: many small chunks would
# take the square of its length.
_CHUNK = 1 << 20


@dataclass(frozen=True)
class Book:
    """An open workbook.

    Attributes:
        file: its name, for messages.
        titles: of all its sheets, in order.
    """

    file: Path
    titles: tuple[str, ...]
    _sheets: Mapping[str, str]
    _parts: _Parts
    _texts: list[str]
    _formats: Formats
    _from_1904: bool

    def __contains__(self, sheet: str) -> bool:
        """Whether the workbook has this sheet, of those asked for."""
        return _plain(sheet) in self._sheets

    def rows(
        self,
        sheet: str,
        most_rows: int = MOST_ROWS,
        most_columns: int = MOST_COLUMNS,
        merged: list[str] | None = None,
    ) -> Iterator[tuple[BookCell, ...]]:
        """The rows of a sheet that hold anything, each from column A to its last filled cell.

        Args:
            merged: where the ranges of cells that are merged are put, once all rows are given.

        Raises:
            JobError: the sheet cannot be read, or goes further than it may; the rows before that
                have been given.
            KeyError: the workbook has no such sheet, or it was not asked for.
        """
        epoch = MAC_EPOCH if self._from_1904 else WINDOWS_EPOCH
        taker = Rows(self._texts, self._formats, epoch)
        for _ in self._parts.stream(self._sheets[_plain(sheet)], taker):
            for cells in taker.take():
                for cell in cells:
                    if cell.row > most_rows or cell.column > most_columns:
                        limit = f"at most {most_rows} rows and {most_columns} columns in use"
                        found = f"something as far out as {cell.at}"
                        wanted = f"{limit}; delete what lies beyond"
                        raise JobError(
                            str(self.file), [FileProblem(f"sheet {sheet}", found, wanted)]
                        )
                yield _dense(cells)
        if merged is not None:
            merged += taker.merged


@contextmanager
def open_workbook(file: Path, sheets: Collection[str]) -> Iterator[Book]:
    """Open a workbook to read some of its sheets; the others are never unpacked.

    Args:
        sheets: their titles; letter case and blanks around them make no difference.

    Raises:
        JobError: the file cannot be read, is no workbook, or holds more than it may.
    """
    data = bytes_of(file, LARGEST_BOOK, "a workbook")
    if data.count(_LISTED) > MOST_PARTS:
        raise refused(file, f"this packs more parts than the {MOST_PARTS:,} a workbook may")
    with _unpacking(file):
        archive = ZipFile(BytesIO(data))
    with archive:
        yield _book(_Parts(archive, file), {_plain(sheet) for sheet in sheets})


def _book(parts: _Parts, asked: Collection[str]) -> Book:
    entry = _ENTRY
    if "_rels/.rels" in parts:
        for kind, target in parts.read("_rels/.rels", Relations()).found.values():
            entry = _path("", target) if kind == "officeDocument" else entry
    listed = parts.read(entry, SheetList())
    folder, last = posixpath.split(entry)
    related = parts.read(posixpath.join(folder, "_rels", f"{last}.rels"), Relations()).found
    sheets: dict[str, str] = {}
    for title, name in listed.sheets:
        kind, target = related.get(name, ("", ""))
        if _plain(title) in asked and kind == "worksheet":
            sheets.setdefault(_plain(title), _path(folder, target))
    texts, formats = Texts(), Formats()
    takers: dict[str, Taker] = {"sharedStrings": texts, "styles": formats}
    common = {_path(folder, target): kind for kind, target in related.values() if kind in takers}
    parts.weigh([*common, *sheets.values()])
    for part, kind in common.items():
        parts.read(part, takers[kind])
    titles = tuple(title for title, _ in listed.sheets)
    return Book(parts.file, titles, sheets, parts, texts.texts, formats, listed.from_1904)


class _Parts:
    """The parts of a workbook, within the limits."""

    def __init__(self, archive: ZipFile, file: Path) -> None:
        self.file = file
        self._archive = archive
        self._sizes = {part.filename: part.file_size for part in archive.infolist()}
        self._elements = 0
        for part in archive.infolist():
            if part.flag_bits & _ENCRYPTED or part.compress_type not in (ZIP_STORED, ZIP_DEFLATED):
                _no_book(file)

    def __contains__(self, part: str) -> bool:
        return part in self._sizes

    def weigh(self, parts: Collection[str]) -> None:
        """Refuse more than may be unpacked."""
        weight = sum(self._sizes.get(part, 0) for part in parts)
        if weight > LARGEST_PARTS:
            raise refused(
                self.file,
                f"the sheets to be read, and the texts of the workbook, take {weight:,} bytes "
                f"unpacked, wanted at most {LARGEST_PARTS:,}; keep other sheets in another file",
            )

    def read(self, part: str, taker: AnyTaker) -> AnyTaker:
        """Let a taker have all of a part."""
        for _ in self.stream(part, taker):
            pass
        return taker

    def stream(self, part: str, taker: Taker) -> Iterator[None]:
        """Let a taker have a part, bit by bit."""
        if part not in self:
            _no_book(self.file)
        self.weigh([part])
        parser = _parser(taker, self._count)
        for chunk in self._chunks(part):
            self._parse(parser, chunk)
            yield
        self._parse(parser, b"", last=True)
        yield

    def _chunks(self, part: str) -> Iterator[bytes]:
        """A part as unpacked, bit by bit."""
        with _unpacking(self.file):
            stream = self._archive.open(part)
        with stream:
            while True:
                with _unpacking(self.file):
                    chunk = stream.read(_CHUNK)
                if not chunk:
                    return
                yield chunk

    def _parse(self, parser: expat.XMLParserType, chunk: bytes, last: bool = False) -> None:
        try:
            parser.Parse(chunk, last)
        except (expat.ExpatError, ValueError, KeyError, IndexError) as why:
            # Damaged XML, or a number, style or text that a part refers to and has not.
            _no_book(self.file, why)

    def _count(self) -> None:
        self._elements += 1
        if self._elements > MOST_ELEMENTS:
            raise refused(
                self.file,
                f"the sheets to be read hold more than {MOST_ELEMENTS:,} elements, which stand for "
                "cells and texts, wanted fewer; delete rows and columns that are not in use",
            )


@contextmanager
def _unpacking(file: Path) -> Iterator[None]:
    """Tell what a damaged zip comes to, also by places that are not in it, as no workbook."""
    try:
        yield
    except (
        BadZipFile,
        zlib.error,
        struct.error,
        EOFError,
        NotImplementedError,  # how a zip says that it is packed in a way not known here
        ValueError,
        OverflowError,
    ) as why:
        _no_book(file, why)


def _parser(taker: Taker, count: Callable[[], None]) -> expat.XMLParserType:
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.buffer_text = True

    def start(name: str, attributes: dict[str, str]) -> None:
        count()
        taker.start(name.rpartition(" ")[2], attributes)

    def no_types(*_: object) -> NoReturn:
        # No workbook declares types, but texts that unfold without end are declared so.
        raise ValueError("a document type")

    parser.StartElementHandler = start
    parser.EndElementHandler = lambda name: taker.end(name.rpartition(" ")[2])
    parser.CharacterDataHandler = taker.text
    parser.StartDoctypeDeclHandler = no_types
    return parser


def _dense(cells: list[BookCell]) -> tuple[BookCell, ...]:
    """Cells in their columns, blank ones between."""
    by_column = {cell.column: cell for cell in cells}
    row = cells[0].row
    return tuple(
        by_column.get(column) or BookCell(row, column) for column in range(1, max(by_column) + 1)
    )


def _path(folder: str, target: str) -> str:
    """Where in the zip a reference leads, from the folder of the part that has it."""
    return posixpath.normpath(posixpath.join("/", folder, target)).lstrip("/")


def _plain(title: str) -> str:
    return title.strip().casefold()


def _no_book(file: Path, why: Exception | None = None) -> NoReturn:
    raise refused(file, "this is no workbook (.xlsx) that can be read") from why

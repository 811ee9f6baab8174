"""Tables that people keep in spreadsheets (CSV): read within bounds, every cell with its place in the file.

The layout is that of RFC 4180 (Y. Shafranovich, 2005); semicolons and tabs part cells too, and a first line
"sep=;" says so. Read as UTF-8, or UTF-16 with its mark; what is neither is taken for Windows-1252 (latin
letters), as older spreadsheets write it. A formula is a text like any other. Columns by heads, and numbers:
``base.columns``.
"""

from __future__ import annotations

import codecs
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from faultiso.base.bounded import read_bounded
from faultiso.base.problems import InvalidModel, Problem, Where, WithProblems
from faultiso.base.text import one_line

_SEPARATORS = ",;\t"
#: how files begin that a spreadsheet saves by itself, and that are no text
_WORKBOOKS = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0")
_NOT_UNICODE = re.compile("[\udc80-\udcff]")
#: the notice above a sheet that this program wrote; "# no" may be a head, a sentence is none
_NOTICE = re.compile(r'"?# [^\n]{20,}\n')
_SAYS_SEPARATOR = re.compile(r"sep=([,;\t])\n", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Bounds:
    """How much is read of a file: its bytes, rows, cells of a row, characters of a cell."""

    size: int = 1_000_000
    rows: int = 10_000
    cells: int = 100
    cell: int = 200


SMALL = Bounds()


@dataclass(frozen=True, slots=True)
class Cell:
    """What stands in a cell, cleaned and in one line; line and column of the file from 1 on."""

    text: str
    line: int
    column: int

    def where(self, file: str) -> Where:
        return Where(file, self.line, self.column, max(1, len(self.text)))


Row = tuple[Cell, ...]


@dataclass(frozen=True)
class Sheet(WithProblems):
    """The rows of a file in which something stands, the first one apart; ``problems`` are of its form,
    ``separator`` the sign between its cells."""

    file: str
    head: Row
    rows: tuple[Row, ...]
    problems: tuple[Problem, ...] = ()
    separator: str = ","


def read_sheet(path: Path, what: str, columns: str, bounds: Bounds = SMALL) -> Sheet:
    """The sheet in a file. ``what``: what it should be, ``columns``: the first line that is expected.

    UsageError if the file cannot be read, InvalidModel if it is too large, no text, or nothing stands in it.
    """
    data, file = read_bounded(path, bounds.size, what), str(path)
    if len(data) > bounds.size:
        raise _unusable(file, f"larger than {bounds.size // 1_000_000} MB; expected a {what}")
    if data.startswith(_WORKBOOKS):
        raise _unusable(
            file, f"this is a workbook and no text; save the sheet as CSV (UTF-8); expected a {what}"
        )
    text, latin = decoded(data)
    sheet = parse_sheet(text, file, bounds)
    if not sheet.head:
        raise _unusable(file, f'nothing stands in it; expected a first line "{columns}"')
    return replace(sheet, problems=(*_told_latin(file, data, latin), *sheet.problems))


def decoded(data: bytes) -> tuple[str, bool]:
    """The text of a file, and whether it was taken for Windows-1252 because it is no Unicode."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        text, latin = data.decode("utf-16", "replace"), False
    else:
        try:
            text, latin = data.decode("utf-8-sig"), False
        except UnicodeDecodeError:
            text, latin = data.decode("cp1252", "replace"), True
    return text.replace("\r\n", "\n").replace("\r", "\n"), latin


def _told_latin(file: str, data: bytes, latin: bool) -> tuple[Problem, ...]:
    """The first sign that is not UTF-8, if the file was taken for Windows-1252."""
    if not latin:
        return ()
    before = data.removeprefix(codecs.BOM_UTF8).decode("utf-8", "surrogateescape")
    where = _place(file, before, next(_NOT_UNICODE.finditer(before)).start())
    message = "this is not UTF-8 and is read as Windows-1252; see that letters with accents are right"
    return (Problem("encoding", where, message, severity="warning"),)


def _told_signs(file: str, text: str) -> Iterator[Problem]:
    """Signs that no text has: the first of each kind, and how many there are."""
    for sign, what in (("\0", "NUL byte"), ("\ufffd", "sign that could not be read")):
        if found := text.count(sign):
            more = f", the first of {found:,}" if found > 1 else ""
            message = f"a {what}{more}; save the sheet as CSV (UTF-8) once more"
            yield Problem("encoding", _place(file, text, text.index(sign)), message)


def _place(file: str, text: str, at: int) -> Where:
    return Where(file, text.count("\n", 0, at) + 1, at - text.rfind("\n", 0, at))


def parse_sheet(text: str, file: str = "", bounds: Bounds = SMALL) -> Sheet:
    """The sheet in a text; InvalidModel if it has too many rows or cells."""
    said = _SAYS_SEPARATOR.match(text)
    start = said.end() if said else 0
    while notice := _NOTICE.match(text, start):
        start = notice.end()
    separator = said[1] if said else _separator(text[start:])
    problems = list(_told_signs(file, text))
    rows: list[Row] = []
    for row in _rows(text, start, separator, file, bounds, problems):
        if any(cell.text for cell in row):
            rows.append(row)
        if len(rows) > bounds.rows + 1 or len(row) > bounds.cells:
            raise _unusable(file, f"more than {bounds.rows:,} rows or {bounds.cells} columns")
    return Sheet(file, rows[0] if rows else (), tuple(rows[1:]), tuple(problems), separator)


def _separator(text: str) -> str:
    """The sign that stands most often, outside quotes, in the first line where anything stands."""
    first = next((line for line in text.split("\n") if line.strip(f'{_SEPARATORS}" ')), "")
    bare = "".join(first.split('"')[::2])
    return max(_SEPARATORS, key=bare.count)


def _rows(
    text: str, start: int, separator: str, file: str, bounds: Bounds, problems: list[Problem]
) -> Iterator[Row]:
    """Cells of a row up to its line end. A cell in quotes may hold separators and line ends."""
    sign = re.escape(separator)
    cell = re.compile(rf'"((?:[^"]|"")*+)"[ ]*(?=[{sign}\n]|\Z)|([^{sign}\n]*)')
    line, begins, at = text.count("\n", 0, start) + 1, start, start
    row: list[Cell] = []
    while at <= len(text):
        found = cell.match(text, at)
        assert found is not None  # an empty cell is one
        quoted = found[1]
        inside = found[2] if quoted is None else quoted.replace('""', '"')
        row.append(Cell(one_line(inside, bounds.cell) if inside else "", line, at - begins + 1))
        if quoted is None and inside.startswith('"'):
            problems.append(_not_closed(file, row[-1]))
        if len(inside) > bounds.cell and row[-1].text.endswith("..."):
            problems.append(_cut_short(file, row[-1], len(inside)))
        if quoted and "\n" in quoted:
            line, begins = line + quoted.count("\n"), at + 2 + quoted.rfind("\n")
        at = found.end() + 1
        if found.end() >= len(text) or text[found.end()] == "\n" or len(row) > bounds.cells:
            yield tuple(row)
            row, line, begins = [], line + 1, at


def _cut_short(file: str, cell: Cell, length: int) -> Problem:
    message = f"{length:,} characters in one cell; what comes after the first {len(cell.text)} is left out"
    return Problem("long", Where(file, cell.line, cell.column), message, severity="warning")


def _not_closed(file: str, cell: Cell) -> Problem:
    message = "a quotation mark opens this cell and none closes it; expected one at its end, or none"
    return Problem("quote", Where(file, cell.line, cell.column), message)


def _unusable(file: str, message: str) -> InvalidModel:
    return InvalidModel((Problem("sheet", Where(file), message),))

"""Tables that people keep in spreadsheets (CSV): read within bounds, every cell with its place in the file.

The layout is that of RFC 4180 (Y. Shafranovich, 2005); semicolons and tabs part cells too, and a first line
"sep=;" says so. Read as UTF-8, or UTF-16 with its mark; what is neither is taken for Windows-1252 (latin
letters), as older spreadsheets write it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from faultiso.base.bounded import read_bounded
from faultiso.base.problems import InvalidModel, Problem, Where, WithProblems
from faultiso.base.text import one_line

LARGEST, MOST_ROWS, MOST_CELLS, LONGEST_CELL = 1_000_000, 10_000, 100, 200
_SEPARATORS = ",;\t"
_SAYS_SEPARATOR = re.compile(r"sep=([,;\t])\n", re.IGNORECASE)


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
    """The rows of a file in which something stands, the first one apart; ``problems`` are of its form."""

    file: str
    head: Row
    rows: tuple[Row, ...]
    problems: tuple[Problem, ...] = ()


def read_sheet(path: Path, what: str, columns: str) -> Sheet:
    """The sheet in a file. ``what``: what it should be, ``columns``: the first line that is expected.

    UsageError if the file cannot be read, InvalidModel if it is too large or nothing stands in it.
    """
    data = read_bounded(path, LARGEST, what)
    if len(data) > LARGEST:
        raise _unusable(str(path), f"larger than {LARGEST // 1_000_000} MB; expected a {what}")
    text, latin = decoded(data)
    sheet = parse_sheet(text, str(path))
    if not sheet.head:
        raise _unusable(str(path), f'nothing stands in it; expected a first line "{columns}"')
    return Sheet(sheet.file, sheet.head, sheet.rows, (*_told_latin(sheet.file, latin), *sheet.problems))


def decoded(data: bytes) -> tuple[str, bool]:
    """The text of a file, and whether it was taken for Windows-1252 because it is no Unicode."""
    wide = data.startswith((b"\xff\xfe", b"\xfe\xff"))
    try:
        text, latin = data.decode("utf-16" if wide else "utf-8-sig"), False
    except UnicodeDecodeError:
        text, latin = data.decode("cp1252", "replace"), True
    return text.replace("\r\n", "\n").replace("\r", "\n"), latin


def _told_latin(file: str, latin: bool) -> tuple[Problem, ...]:
    message = "this is not UTF-8 and is read as Windows-1252; see that letters with accents are right"
    return (Problem("encoding", Where(file), message, severity="warning"),) if latin else ()


def parse_sheet(text: str, file: str = "") -> Sheet:
    """The sheet in a text; InvalidModel if it has too many rows or cells."""
    said = _SAYS_SEPARATOR.match(text)
    start = said.end() if said else 0
    separator = said[1] if said else _separator(text)
    problems: list[Problem] = []
    rows: list[Row] = []
    for row in _rows(text, start, separator, file, problems):
        if any(cell.text for cell in row):
            rows.append(row)
        if len(rows) > MOST_ROWS + 1 or len(row) > MOST_CELLS:
            raise _unusable(file, f"more than {MOST_ROWS:,} rows or {MOST_CELLS} columns")
    return Sheet(file, rows[0] if rows else (), tuple(rows[1:]), tuple(problems))


def _separator(text: str) -> str:
    """The sign that stands most often, outside quotes, in the first line where anything stands."""
    first = next((line for line in text.split("\n") if line.strip(f'{_SEPARATORS}" ')), "")
    bare = "".join(first.split('"')[::2])
    return max(_SEPARATORS, key=bare.count)


def _rows(text: str, start: int, separator: str, file: str, problems: list[Problem]) -> Iterator[Row]:
    """Cells of a row up to its line end. A cell in quotes may hold separators and line ends."""
    sign = re.escape(separator)
    cell = re.compile(rf'"((?:[^"]|"")*+)"[ ]*(?=[{sign}\n]|\Z)|([^{sign}\n]*)')
    line, begins, at = text.count("\n", 0, start) + 1, start, start
    row: list[Cell] = []
    while at <= len(text):
        found = cell.match(text, at)
        assert found is not None  # an empty cell is one
        quoted = found[1]
        row.append(Cell(_cleaned(found), line, at - begins + 1))
        if quoted is None and found[2].startswith('"'):
            problems.append(_not_closed(file, row[-1]))
        if quoted and "\n" in quoted:
            line, begins = line + quoted.count("\n"), at + 2 + quoted.rfind("\n")
        at = found.end() + 1
        if found.end() >= len(text) or text[found.end()] == "\n" or len(row) > MOST_CELLS:
            yield tuple(row)
            row, line, begins = [], line + 1, at


def _cleaned(found: re.Match[str]) -> str:
    text = found[2] if found[1] is None else found[1].replace('""', '"')
    return one_line(text, LONGEST_CELL) if text else ""


def _not_closed(file: str, cell: Cell) -> Problem:
    message = "a quotation mark opens this cell and none closes it; expected one at its end, or none"
    return Problem("quote", Where(file, cell.line, cell.column), message)


def _unusable(file: str, message: str) -> InvalidModel:
    return InvalidModel((Problem("sheet", Where(file), message),))

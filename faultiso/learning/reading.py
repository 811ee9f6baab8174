"""A history file, read within bounds: rows that say the same together, every other cell still at its place.

A file of many rows is read in pieces by a columnar library; a piece that is not as plain as that asks for is
read cell by cell, so that what is wrong is told the same way, by line and column.
"""

from __future__ import annotations

import io
import warnings
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from faultiso.base.bounded import read_bounded
from faultiso.base.columns import InColumns, Record, in_columns, number_in, plain_text
from faultiso.base.problems import InvalidModel, Problem, Where
from faultiso.base.sheets import Bounds, Cell, decoded, parse_sheet, read_sheet
from faultiso.base.text import one_line
from faultiso.learning.wording import COLUMNS, HEADS, TOLD

SMALL = Bounds(size=4_000_000, rows=20_000, cells=100, cell=2_000)
LARGEST = 400_000_000  # bytes
LONGEST_LINE = 200_000  # characters
PIECE = 100_000  # rows that are read at once
MOST_HOURS = 1e9
_HEAD = ",".join(HEADS)


@dataclass
class Alike:
    """Rows that say the same: how many, their hours together, and the places of the first ones."""

    cells: Mapping[str, str]
    times: int = 0
    hours: float = 0.0
    places: list[Record] = field(default_factory=list)


@dataclass
class Read:
    """What stands in a file: rows by what they say, problems of its form, and how many rows were set aside."""

    file: str
    rows: dict[tuple[str, ...], Alike] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    set_aside: int = 0
    told: int = 0  # problems beyond those that are listed

    MOST_PLACES = 20
    MOST_PROBLEMS = 1000

    def copy(self) -> Read:
        """Another one with the same rows, to which other problems may be added."""
        return Read(self.file, self.rows, list(self.problems), self.set_aside, self.told)

    def wrong(self, problem: Problem) -> None:
        if len(self.problems) < self.MOST_PROBLEMS:
            self.problems.append(problem)
        else:
            self.told += 1

    def add(self, key: tuple[str, ...], times: int, hours: float, places: Sequence[Record]) -> None:
        if key not in self.rows:
            self.rows[key] = Alike(dict(zip(TOLD, key, strict=True)))
        alike = self.rows[key]
        alike.times += times
        alike.hours += hours
        alike.places += places[: self.MOST_PLACES - len(alike.places)]


def read_history(path: Path) -> Read:
    """The rows of a history. UsageError if the file cannot be read, InvalidModel if it is no such file."""
    data = read_bounded(path, LARGEST, "history")
    if len(data) <= SMALL.size and data.count(b"\n") + data.count(b"\r") <= SMALL.rows:
        table = in_columns(read_sheet(path, "history", _HEAD, SMALL), COLUMNS)
        read = Read(table.file)
        _take(read, table)
        return read
    if len(data) > LARGEST:
        raise _unusable(str(path), f"larger than {LARGEST // 1_000_000} MB; part it by years, say")
    text, latin = decoded(data)
    del data
    return _read_large(str(path), text, latin)


def _take(read: Read, table: InColumns) -> None:
    """Every record of a table; its problems that are no warnings stand for rows that cannot be used."""
    _refuse_heads(table)
    spoilt = {problem.where.line for problem in table.problems if problem.severity == "error"}
    for problem in table.problems:
        read.wrong(problem)
    for record in table.records:
        hours = number_in(record.cells["hours"], read.file, "hours", 0, MOST_HOURS)
        if isinstance(hours, Problem):
            read.wrong(hours)
        if isinstance(hours, Problem) or record.line in spoilt:
            read.set_aside += 1
        else:
            key = tuple(plain_text(record.cells[name]) for name in TOLD)
            read.add(key, 1, hours, [record])


def _refuse_heads(table: InColumns) -> None:
    missing = [
        problem
        for problem in table.problems
        if problem.code == "column" and "expected one" in problem.message
    ]
    if any("no column" in problem.message for problem in missing):
        raise InvalidModel(tuple(missing))


def _unusable(file: str, message: str) -> InvalidModel:
    return InvalidModel((Problem("sheet", Where(file), message),))


# many rows


def _read_large(file: str, text: str, latin: bool) -> Read:
    read = Read(file)
    if latin:
        message = "this is not UTF-8 and is read as Windows-1252; see that letters with accents are right"
        read.wrong(Problem("encoding", Where(file), message, severity="warning"))
    lines = text.split("\n")
    del text
    large = _Large(read, lines)
    for start, stop in large.pieces():
        if not large.plainly(start, stop):
            large.carefully(start, stop)
    return read


class _Large:
    """The lines of a large file, the first of them with the heads."""

    def __init__(self, read: Read, lines: list[str]) -> None:
        self.read, self.lines = read, lines
        self.separator, self.at = self._heads()

    def _heads(self) -> tuple[str, int]:
        """The sign between cells, and the place of the line after the heads."""
        first = [line[:LONGEST_LINE] for line in self.lines[:40]]
        table = in_columns(parse_sheet("\n".join(first), self.read.file, SMALL), COLUMNS)
        _refuse_heads(table)
        line = min((cell.line for cell in table.heads.values()), default=1)
        self.head = first[line - 1]
        self.places = self._places(self.head)
        self.width = max(self.places.values()) + 1
        return max(",;\t", key="".join(self.head.split('"')[::2]).count), line

    def _places(self, head: str) -> dict[str, int]:
        sheet = parse_sheet(head, self.read.file, SMALL)
        heads = in_columns(sheet, COLUMNS).heads
        at = {cell.column: place for place, cell in enumerate(sheet.head)}
        return {name: at[cell.column] for name, cell in heads.items()}

    def pieces(self) -> Iterator[tuple[int, int]]:
        """Pieces of the file that end where no quotation mark is open."""
        start = self.at
        while start < len(self.lines):
            stop = min(start + PIECE, len(self.lines))
            while stop < len(self.lines) and stop < start + PIECE + 1000 and self._open(start, stop):
                stop += 1
            yield start, stop
            start = stop

    def _open(self, start: int, stop: int) -> bool:
        return sum(line.count('"') for line in self.lines[start:stop]) % 2 == 1

    def plainly(self, start: int, stop: int) -> bool:
        """Read a piece by columns; False, and nothing done, if it is not plain enough."""
        import pandas

        some = self.lines[start:stop]
        if any(line.count('"') % 2 or len(line) > LONGEST_LINE for line in some):
            return False
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("error")
                frame = pandas.read_csv(
                    io.StringIO("\n".join(some) + "\n"), sep=self.separator, header=None, dtype=str,
                    names=list(range(self._columns() + 1)), index_col=False, na_filter=False,
                    skip_blank_lines=False, engine="c",
                )  # fmt: skip
        except (ValueError, pandas.errors.ParserWarning):
            return False
        if len(frame) != len(some) or frame[self._columns()].fillna("").any():
            return False
        return self._grouped(frame.fillna(""), start)

    def _columns(self) -> int:
        return len(parse_sheet(self.head, self.read.file, SMALL).head)

    def _grouped(self, frame: object, start: int) -> bool:
        import pandas

        assert isinstance(frame, pandas.DataFrame)
        said = [self.places[name] for name in TOLD if name in self.places]
        filled = frame[[*said, self.places["hours"]]].ne("").any(axis=1) & ~frame[0].str.startswith("#")
        frame = frame[filled]
        hours = pandas.to_numeric(frame[self.places["hours"]], errors="coerce")
        sure = hours.between(0, MOST_HOURS) & ~frame[self.places["hours"]].str.contains(
            "[_ a-zA-Z]", regex=True
        )
        for number in frame.index[~sure]:
            self.carefully(start + int(number), start + int(number) + 1)
        frame = frame[sure].assign(hours_=hours[sure], line_=frame.index[sure])
        for key, group in frame.groupby(said, sort=False):
            texts = dict(zip((n for n in TOLD if n in self.places), map(_cleaned, key), strict=True))
            first = group["line_"].head(Read.MOST_PLACES)
            records = [self.record(start + int(number)) for number in first] if self._new(texts) else []
            self.read.add(
                tuple(texts.get(n, "") for n in TOLD), len(group), float(group["hours_"].sum()), records
            )
        return True

    def _new(self, texts: Mapping[str, str]) -> bool:
        alike = self.read.rows.get(tuple(texts.get(name, "") for name in TOLD))
        return alike is None or len(alike.places) < Read.MOST_PLACES

    def record(self, number: int) -> Record:
        """The record of one line, its cells at their places."""
        return self._table(number, number + 1).records[0]

    def carefully(self, start: int, stop: int) -> None:
        """Read a piece cell by cell."""
        for number in range(start, stop):
            if len(self.lines[number]) > LONGEST_LINE:
                message = (
                    f"a line of {len(self.lines[number]):,} characters; expected one row, and it is set aside"
                )
                self.read.wrong(Problem("long", Where(self.read.file, number + 1, 1), message))
                self.read.set_aside += 1
                self.lines[number] = ""
        _take(self.read, self._table(start, stop))

    def _table(self, start: int, stop: int) -> InColumns:
        text = "\n".join([f"sep={self.separator}", self.head, *self.lines[start:stop]])
        table = in_columns(
            parse_sheet(text, self.read.file, Bounds(len(text), PIECE + 2000, 100, 2000)), COLUMNS
        )
        return _moved(table, start - 2)


def _moved(table: InColumns, by: int) -> InColumns:
    """The same with lines counted from the start of the whole file."""

    def cell(found: Cell) -> Cell:
        return Cell(found.text, found.line + by, found.column)

    records = tuple(Record(r.line + by, {n: cell(c) for n, c in r.cells.items()}, {}) for r in table.records)
    problems = tuple(
        Problem(p.code, Where(p.where.file, p.where.line + by, p.where.column, p.where.length), p.message,
                p.nearest, p.severity)
        for p in table.problems
    )  # fmt: skip
    return InColumns(table.file, table.heads, records, table.before, problems)


def _cleaned(text: object) -> str:
    return plain_text(Cell(one_line(str(text), SMALL.cell), 0, 0))

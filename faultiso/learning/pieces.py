"""A history of many rows, read in pieces by a columnar library.

A piece that is not as plain as that asks for is read cell by cell, so that what is wrong with it is told as
it is of a small file, by line and column.
"""

from __future__ import annotations

import io
import re
import warnings
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from faultiso.base.columns import InColumns, Record, in_columns, plain_text
from faultiso.base.problems import InvalidModel, Problem, Where
from faultiso.base.sheets import Bounds, Cell, parse_sheet
from faultiso.base.text import one_line
from faultiso.learning.gathered import MOST_HOURS, MOST_PLACES, Gathered, Key, refuse_heads
from faultiso.learning.wording import COLUMNS, TOLD

CELLS = Bounds(size=4_000_000, rows=20_000, cells=100, cell=2_000)  # of what is read cell by cell
LONGEST_LINE = 200_000  # characters
ROWS = 100_000  # of a piece
HEADS_WITHIN = 40  # lines


class Pieces:
    """The lines of a file, the heads among the first of them."""

    def __init__(self, gathered: Gathered, lines: list[str]) -> None:
        """InvalidModel if a column is missing that must be there."""
        self._gathered, self._lines = gathered, lines
        first = [line[:LONGEST_LINE] for line in lines[:HEADS_WITHIN]]
        table = in_columns(parse_sheet("\n".join(first), gathered.file, CELLS), COLUMNS)
        refuse_heads(table)
        self._start = min(cell.line for cell in table.heads.values())
        self._head = first[self._start - 1]
        cells = parse_sheet(self._head, gathered.file, CELLS).head
        self._width = len(cells)
        at = {cell.column: place for place, cell in enumerate(cells)}
        for head in table.heads.values():
            if head.line != self._start or head.column not in at:
                message = "in a history as long as this all heads stand in one line; these take several"
                raise InvalidModel((Problem("column", head.where(gathered.file), message),))
        self._places = {name: at[cell.column] for name, cell in table.heads.items()}
        sign = self._separator = max(",;\t", key="".join(self._head.split('"')[::2]).count)
        cell = rf'(?:"(?:[^"]|"")*+"[ ]*|[^"{sign}]*)'
        self._well_marked = re.compile(rf"{cell}(?:{sign}{cell})*")

    def read(self) -> None:
        for start, stop in self._pieces():
            frame = self._frame(start, stop)
            if frame is None:
                self._carefully(start, stop)
            else:
                self._plainly(frame, start)

    def _pieces(self) -> Iterator[tuple[int, int]]:
        """Pieces that end where no quotation mark is open, unless it stays open for long."""
        start = self._start
        while start < len(self._lines):
            stop = min(start + ROWS, len(self._lines))
            marks = sum(line.count('"') for line in self._lines[start:stop])
            while marks % 2 and stop < min(start + ROWS + 1000, len(self._lines)):
                marks += self._lines[stop].count('"')
                stop += 1
            yield start, stop
            start = stop

    def _frame(self, start: int, stop: int) -> Any:
        """The cells of a piece by column, None if it is not plain enough."""
        import pandas

        lines = self._lines[start:stop]
        if not all(map(self._plain, lines)):
            return None
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("error")
                frame = pandas.read_csv(
                    io.StringIO("\n".join(lines) + "\n"), sep=self._separator, header=None, dtype=str,
                    names=list(range(self._width + 1)), index_col=False, na_filter=False,
                    skip_blank_lines=False, engine="c",
                )  # fmt: skip
        except (ValueError, pandas.errors.ParserWarning):
            return None
        frame = frame.fillna("")
        plain = len(frame) == len(lines) and not frame[self._width].any()
        return frame if plain and self._short(frame) else None

    def _plain(self, line: str) -> bool:
        """Whether no mark stands inside a cell and nothing is too long; such a line is read alike by all."""
        marks = '"' not in line or self._well_marked.fullmatch(line) is not None
        return marks and len(line) <= LONGEST_LINE and "\0" not in line

    def _short(self, frame: Any) -> bool:
        return all(frame[place].str.len().max() <= CELLS.cell for place in self._places.values())

    def _plainly(self, frame: Any, start: int) -> None:
        import pandas

        hours_at = self._places["hours"]
        frame = frame[frame.ne("").any(axis=1) & ~frame[0].str.lstrip().str.startswith("#")]
        hours = pandas.to_numeric(frame[hours_at], errors="coerce")
        sure = hours.between(0, MOST_HOURS) & frame[hours_at].str.fullmatch(r"[0-9]+(\.[0-9]*)?")
        for number in frame.index[~sure]:
            self._carefully(start + int(number), start + int(number) + 1)
        frame = frame[sure].assign(of_hours=hours[sure], line=frame.index[sure] + start)
        said = [self._places[name] for name in TOLD if name in self._places]
        for cells, group in frame.groupby(said, sort=False):
            self._add(cells, group)

    def _add(self, cells: tuple[str, ...], group: Any) -> None:
        there = [name for name in TOLD if name in self._places]
        texts = dict(zip(there, map(_cleaned, cells), strict=True))
        key: Key = tuple(texts.get(name, "") for name in TOLD)
        numbers = group["line"].head(MOST_PLACES) if self._gathered.wants_places(key) else ()
        records = [self._record(int(number)) for number in numbers]
        self._gathered.add(key, len(group), float(group["of_hours"].sum()), records)

    def _record(self, number: int) -> Record:
        """The record of one line, its cells at their places."""
        return self._table(number, number + 1).records[0]

    def _carefully(self, start: int, stop: int) -> None:
        """Read a piece cell by cell."""
        for number in range(start, stop):
            length = len(self._lines[number])
            if length > LONGEST_LINE:
                message = f"a line of {length:,} characters; expected one row, and it is set aside"
                self._gathered.wrong(Problem("long", Where(self._gathered.file, number + 1, 1), message))
                self._gathered.set_aside += 1
                self._lines[number] = ""
        self._gathered.take(self._table(start, stop))

    def _table(self, start: int, stop: int) -> InColumns:
        said = f"sep={self._separator}"
        text = "\n".join([said, self._head, *self._lines[start:stop]])
        bounds = replace(CELLS, size=len(text), rows=stop - start + 1)
        return _moved(in_columns(parse_sheet(text, self._gathered.file, bounds), COLUMNS), start - 2)


def _moved(table: InColumns, by: int) -> InColumns:
    """The same with lines counted from the start of the whole file."""

    def moved(cells: Mapping[str, Cell]) -> dict[str, Cell]:
        return {name: Cell(cell.text, cell.line + by, cell.column) for name, cell in cells.items()}

    def problem(found: Problem) -> Problem:
        return replace(found, where=replace(found.where, line=found.where.line + by))

    records = tuple(Record(record.line + by, moved(record.cells)) for record in table.records)
    return replace(table, records=records, problems=tuple(problem(found) for found in table.problems))


def _cleaned(text: str) -> str:
    return plain_text(Cell(one_line(text, CELLS.cell) if text else "", 0, 0))

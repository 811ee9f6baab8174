"""Dependency matrices: which check shows which fault, as a CSV file that a spreadsheet opens.

    fault,probability,sight glass,test gauge
    minutes,,4,17
    worn pump,0.7,0,1
    low level,0.3,1,0.95

One row for each fault, one column for each check; a row "minutes" and a column "probability". A cell is the
probability that the check shows the fault: 0, 1 or between. Lines that begin with "#" are left out.
The layout of fields is that of RFC 4180 (Y. Shafranovich, 2005); semicolons and tabs part fields too.
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from faultiso.base.nearest import nearest
from faultiso.base.notice import full_notice
from faultiso.base.problems import InvalidModel, Problem, Where
from faultiso.base.text import one_line
from faultiso.interchange.files import read_text, write_text
from faultiso.interchange.tables import frozen
from faultiso.network.network import Array

MINUTES, PROBABILITY, FAULT = "minutes", "probability", "fault"
NOT_ZERO = 1e-9  # minutes that count as more than none
MOST_FAULTS, MOST_CHECKS, LARGEST_FILE, MOST_PROBLEMS = 2_000, 2_000, 20_000_000, 200
_SEPARATORS = {",": "commas", ";": "semicolons", "\t": "tabs"}
_FORMULA = ("=", "+", "-", "@", "\t", "\r")
_WHAT = "a dependency matrix (CSV)"


@dataclass(frozen=True, eq=False)
class DependencyMatrix:
    """``minutes`` (checks,); ``probability`` (faults,), as given, not brought to a sum of one; ``detects``
    (faults, checks): probability that a check shows a fault. All three are read-only."""

    faults: tuple[str, ...]
    checks: tuple[str, ...]
    minutes: Array
    probability: Array
    detects: Array


@dataclass(frozen=True)
class _Row:
    """A line of the file with its number; cells are stripped."""

    line: int
    cells: tuple[str, ...]


def read_matrix(path: str | Path) -> DependencyMatrix:
    """The matrix in a file. UsageError if it cannot be opened, InvalidModel with all its problems."""
    return parse_matrix(read_text(path, _WHAT), str(path))


def parse_matrix(text: str, file: str = "") -> DependencyMatrix:
    """The matrix in a text. Raises InvalidModel with everything that is wrong with it."""
    text = text.removeprefix("\ufeff")
    if len(text) > LARGEST_FILE:
        raise _refused(file, 0, f"found {len(text):,} characters; expected at most {LARGEST_FILE:,}")
    rows = _rows(text, _separator(text, file), file)
    reader = _Reader(file, rows)
    matrix = reader.matrix()
    if reader.problems:
        found = sorted(reader.problems, key=lambda p: (p.where.line, p.where.column))
        raise InvalidModel(tuple(found[:MOST_PROBLEMS]))
    assert matrix is not None
    return matrix


def write_matrix(path: str | Path, matrix: DependencyMatrix) -> None:
    """Write the matrix as CSV. UsageError if that cannot be done."""
    write_text(path, matrix_text(matrix))


def matrix_text(matrix: DependencyMatrix) -> str:
    """The matrix as CSV with commas, the notice in its first line; what `parse_matrix` reads.

    A name that a spreadsheet would take for a formula is written behind an apostrophe.
    """
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n", quoting=csv.QUOTE_NONNUMERIC)
    writer.writerow([f"# {full_notice()}"])
    writer.writerow([FAULT, PROBABILITY, *map(_escaped, matrix.checks)])
    writer.writerow([MINUTES, "", *map(_figure, matrix.minutes.tolist())])
    for name, chance, row in zip(matrix.faults, matrix.probability, matrix.detects, strict=True):
        writer.writerow([_escaped(name), _figure(float(chance)), *map(_figure, row.tolist())])
    return stream.getvalue()


def _figure(value: float) -> float:
    """Whole numbers without a point; others to the last digit."""
    return int(value) if value == int(value) else value


def _escaped(name: str) -> str:
    """Cleaned, and never a formula; an apostrophe that stands there already gets another, to come back."""
    name = one_line(name)
    return f"'{name}" if name.startswith((*_FORMULA, "'", "#")) else name


def _plain(name: str) -> str:
    return name[1:] if name.startswith("'") and name[1:].startswith((*_FORMULA, "'", "#")) else name


def _refused(file: str, line: int, message: str) -> InvalidModel:
    return InvalidModel((Problem("matrix", Where(file, line), message),))


def _separator(text: str, file: str) -> str:
    """What parts the fields, taken from the head line: exactly one kind outside quotes."""
    line, head = _head(text)
    if not head:
        raise _refused(file, 0, f'the file is empty; expected a first line "{FAULT},{PROBABILITY},..."')
    bare = "".join(head.split('"')[::2])
    found = [sign for sign in _SEPARATORS if sign in bare]
    if len(found) == 1:
        return found[0]
    if not found:
        raise _refused(file, line, "found one field; expected fields parted by commas, semicolons or tabs")
    kinds = " and ".join(_SEPARATORS[sign] for sign in found)
    raise _refused(
        file, line, f"found {kinds} in the head line; expected one kind: put names that hold one in quotes"
    )


def _head(text: str) -> tuple[int, str]:
    """The first line that says something, with its number."""
    for number, line in enumerate(text.splitlines(), 1):
        if line.strip(',;\t "') and not _remark(line):
            return number, line
    return 0, ""


def _remark(line: str) -> bool:
    return line.lstrip(' "').startswith("#")


def _rows(text: str, separator: str, file: str) -> list[_Row]:
    """The lines that say something, cells stripped; csv itself never runs what is in a cell."""
    reader = csv.reader(io.StringIO(text), delimiter=separator, strict=True)
    rows, line = [], 1
    try:
        for cells in reader:
            stripped = tuple(cell.strip() for cell in cells)
            if any(stripped) and not stripped[0].startswith("#"):
                rows.append(_Row(line, stripped))
            line = reader.line_num + 1
            if len(rows) > MOST_FAULTS + 2:
                raise _refused(file, line, f"found more than {MOST_FAULTS:,} faults; expected at most that")
    except csv.Error as error:
        raise _refused(
            file, line, f"the quotes of this line do not fit ({error}); expected quotes around a whole cell"
        ) from None
    return rows


class _Reader:
    """Reads the rows once and gathers every problem."""

    def __init__(self, file: str, rows: Sequence[_Row]) -> None:
        self.file, self.head, self.body = file, rows[0], rows[1:]
        self.problems: list[Problem] = []

    def matrix(self) -> DependencyMatrix | None:
        """The matrix; whatever is wrong with it is in ``problems``."""
        columns = self._columns()
        timed = [row for row in self.body if row.cells[0].casefold() == MINUTES]
        faults = [row for row in self.body if row.cells[0].casefold() != MINUTES]
        self._shape(columns, timed, faults)
        if self.problems:
            return None
        chance_at = self._column(PROBABILITY)
        minutes = [self._number(timed[0], c, math.inf, "more than 0 minutes", NOT_ZERO) for c in columns]
        chances = [self._number(row, chance_at, 1.0, "a probability from 0 to 1") for row in faults]
        cells = [
            [self._number(row, c, 1.0, "0, 1 or a probability between") for c in columns] for row in faults
        ]
        return DependencyMatrix(
            tuple(self._names([(row, 0) for row in faults], "fault")),
            tuple(self._names([(self.head, c) for c in columns], "check")),
            frozen(np.array(minutes)),
            frozen(np.array(chances)),
            frozen(np.array(cells)),
        )

    def _column(self, name: str) -> int:
        return next((i for i, cell in enumerate(self.head.cells) if cell.casefold() == name), 0)

    def _columns(self) -> list[int]:
        """Places of the checks: every column but the first and that of probabilities; empty ends left out."""
        cells = self.head.cells
        last = max(i for i, cell in enumerate(cells) if cell)
        return [i for i in range(1, last + 1) if cells[i].casefold() != PROBABILITY]

    def _shape(self, columns: Sequence[int], timed: Sequence[_Row], faults: Sequence[_Row]) -> None:
        titles = [cell.casefold() for cell in self.head.cells]
        if titles.count(PROBABILITY) != 1 or titles[0] == PROBABILITY:
            found = f"found {titles.count(PROBABILITY)} columns called {PROBABILITY}"
            near = nearest(PROBABILITY, self.head.cells[1:])
            self._add(self.head, 0, f"{found}; expected one after the names of the faults", near)
        if len(timed) != 1:
            near = nearest(MINUTES, [row.cells[0] for row in faults])
            row = timed[1] if timed else self.head
            self._add(row, 0, f"found {len(timed)} rows called {MINUTES}; expected one", near)
        if not columns:
            self._add(self.head, 0, "found no check; expected a column for each check")
        if len(columns) > MOST_CHECKS:
            self._add(self.head, 0, f"found {len(columns):,} checks; expected at most {MOST_CHECKS:,}")
        if not faults:
            self._add(self.head, 0, "found no fault; expected a row for each fault")
        wide = max([*columns, self._column(PROBABILITY)], default=0) + 1
        for row in self.body:
            self._width(row, wide)

    def _width(self, row: _Row, wide: int) -> None:
        filled = max(i for i, cell in enumerate(row.cells) if cell) + 1
        if filled > wide:
            said = f"found {filled} cells, the head line has {wide}; expected as many"
            self._add(row, 0, f"{said} (a decimal comma parts a cell: write 0.7)")

    def _names(self, places: Sequence[tuple[_Row, int]], what: str) -> Iterator[str]:
        seen: dict[str, tuple[int, int]] = {}
        for row, column in places:
            name = one_line(_plain(row.cells[column]))
            key = name.casefold()
            if not name:
                self._add(row, column, f"found no name; expected the name of a {what}")
            elif key in seen:
                line, first = seen[key]
                where = f"line {line}" if what == "fault" else f"column {first + 1}"
                self._add(row, column, f'found "{_short(name)}" again ({where}); expected each {what} once')
            seen.setdefault(key, (row.line, column))
            yield name

    def _number(self, row: _Row, column: int, most: float, expected: str, least: float = 0.0) -> float:
        cell = row.cells[column] if column < len(row.cells) else ""
        try:
            value = float(cell) if cell.isascii() and "_" not in cell else math.nan
        except ValueError:
            value = math.nan
        if math.isfinite(value) and least <= value <= most:
            return value
        self._add(row, column, f"{_found(cell)}; expected {expected}{_hint(cell)}")
        return 0.0

    def _add(self, row: _Row, column: int, message: str, near: str = "") -> None:
        """A problem of a cell; the column of the file is named by number and by its head."""
        title = self.head.cells[column] if column < len(self.head.cells) and row is not self.head else ""
        place = f'column {column + 1} ("{_short(title)}"): ' if title and column else ""
        where = Where(self.file, row.line, column + 1 if column else 0)
        self.problems.append(Problem("matrix", where, place + message, near))


def _found(cell: str) -> str:
    return f'found "{_short(cell)}"' if cell else "found an empty cell"


def _hint(cell: str) -> str:
    """What a person may have meant; nothing is guessed."""
    if cell.startswith(_FORMULA[:1]) or cell[:2] in ("+(", "@"):
        return "; a formula is not worked out here: save the values"
    digits = cell.replace(",", "", 1).lstrip("+-")
    if cell.count(",") == 1 and digits.isdecimal():
        meant = cell.replace(",", ".")
        return f": does it mean {meant}? Write a point, and no comma between thousands"
    if cell.endswith("%"):
        return ": write 0.25 for 25 %"
    return ""


def _short(text: str) -> str:
    return one_line(text, 40)

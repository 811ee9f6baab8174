"""Marks that an instructor gave without seeing the proposed ones, from a spreadsheet.

    candidate,case,mark
    14,first-light,72.5

Without a column "case" a mark stands for all the work of a person.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from faultiso.assessment.classes.against import Blind
from faultiso.assessment.roster import candidate_key
from faultiso.base.problems import InvalidModel, Problem
from faultiso.base.sheets import Cell, Row, Sheet, read_sheet

COLUMNS = "candidate,case,mark"
NEEDED = ("candidate", "mark")


def read_blind(path: Path) -> Blind:
    """The marks in a file (CSV). UsageError if it cannot be read, InvalidModel with all that is wrong."""
    sheet = read_sheet(path, "list of marks", COLUMNS)
    problems = [problem for problem in sheet.problems if problem.severity == "error"]
    places = {cell.text.casefold(): place for place, cell in reversed(list(enumerate(sheet.head)))}
    problems += _columns(sheet, places)
    marks: dict[tuple[str, str], float] = {}
    if all(name in places for name in NEEDED):
        problems += [each for row in sheet.rows for each in _read(row, places, sheet.file, marks)]
    if problems:
        raise InvalidModel(tuple(sorted(problems, key=lambda problem: problem.where)))
    return marks


def _columns(sheet: Sheet, places: dict[str, int]) -> Iterator[Problem]:
    for name in NEEDED:
        if name not in places:
            message = f'no column is called "{name}"; expected a first line "{COLUMNS}"'
            yield Problem("column", sheet.head[0].where(sheet.file), message)


def _read(
    row: Row, places: dict[str, int], file: str, marks: dict[tuple[str, str], float]
) -> Iterator[Problem]:
    """One line, added to ``marks`` unless something is wrong with it."""
    number, case, mark = (_cell(row, places.get(name)) for name in ("candidate", "case", "mark"))
    key = (candidate_key(number.text), case.text)
    value = _per_cent(mark.text)
    if not number.text:
        yield Problem("candidate", number.where(file), "a line without a candidate number")
    elif value is None:
        message = f'a mark is a number from 0 to 100 with a point, not "{mark.text}"'
        yield Problem("mark", mark.where(file), message)
    elif key in marks:
        work = f" for {case.text}" if case.text else ""
        yield Problem("duplicate", number.where(file), f'candidate "{number.text}" has a mark{work} twice')
    else:
        marks[key] = value


def _cell(row: Row, place: int | None) -> Cell:
    """The cell of a column; an empty one where the row ends before it, or no such column is there."""
    if place is None or place >= len(row):
        return Cell("", row[0].line, row[0].column)
    return row[place]


def _per_cent(text: str) -> float | None:
    try:
        value = float(text) if text.isascii() and "_" not in text else -1.0
    except ValueError:
        return None
    return value if 0 <= value <= 100 else None

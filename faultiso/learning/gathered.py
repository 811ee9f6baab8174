"""Rows of a history gathered by what they say, with the places of the first ones, and what is wrong."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from faultiso.base.columns import InColumns, Record, number_in, plain_text
from faultiso.base.numbers import NOT_KNOWN_WORDS
from faultiso.base.problems import InvalidModel, Problem
from faultiso.base.sheets import Cell
from faultiso.learning.wording import COLUMNS, TOLD

MOST_HOURS = 1e7  # from one write-up to the next: more is a slip, and would take all rates down
MOST_PLACES = 20  # of rows that say the same
MOST_PROBLEMS = 1000  # that are listed; the others are counted

Key = tuple[str, ...]  # what stands in the columns TOLD


@dataclass
class Alike:
    """Rows that say the same: how many, their hours together, and the first ones."""

    cells: Mapping[str, str]
    times: int = 0
    hours: float = 0.0
    places: list[Record] = field(default_factory=list)


@dataclass
class Gathered:
    """What stands in a file: rows by what they say, problems of its form, and how many rows were set aside.

    ``more``: problems beyond those that are listed.
    """

    file: str
    rows: dict[Key, Alike] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    set_aside: int = 0
    more: int = 0

    def copy(self) -> Gathered:
        """Another one with the same rows, to which other problems may be added."""
        return Gathered(self.file, self.rows, list(self.problems), self.set_aside, self.more)

    def wrong(self, problem: Problem) -> None:
        if len(self.problems) < MOST_PROBLEMS:
            self.problems.append(problem)
        else:
            self.more += 1

    def wants_places(self, key: Key) -> bool:
        """Whether more rows that say this should come with their places."""
        return key not in self.rows or len(self.rows[key].places) < MOST_PLACES

    def add(self, key: Key, times: int, hours: float, places: Sequence[Record]) -> None:
        if key not in self.rows:
            self.rows[key] = Alike(dict(zip(TOLD, key, strict=True)))
        alike = self.rows[key]
        alike.times += times
        alike.hours += hours
        alike.places += places[: MOST_PLACES - len(alike.places)]

    def take(self, table: InColumns) -> None:
        """Every record of a table; one with an error of form in its line, or without hours, is set aside."""
        refuse_heads(table)
        spoilt = {problem.where.line for problem in table.errors}
        for problem in table.problems:
            self.wrong(problem)
        for record in table.records:
            hours = _hours(record.cells["hours"], table)
            if isinstance(hours, Problem):
                self.wrong(hours)
            if isinstance(hours, Problem) or record.line in spoilt:
                self.set_aside += 1
            else:
                self.add(tuple(plain_text(record.cells[name]) for name in TOLD), 1, hours, [record])


def _hours(cell: Cell, table: InColumns) -> float | Problem:
    if cell.text.casefold() in ("", *NOT_KNOWN_WORDS):
        message = (
            'column "hours": the hours since the row before are missing; without them a row is set aside'
        )
        return Problem("number", cell.where(table.file), message)
    return number_in(cell, table.file, "hours", 0, MOST_HOURS, decimal=table.decimal)


def refuse_heads(table: InColumns) -> None:
    """InvalidModel if a column is missing that must be there."""
    if any(column.required and column.name not in table.heads for column in COLUMNS):
        raise InvalidModel(table.errors)

"""A history file and a model: the rows to learn from, and everything that was not taken as it stands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from faultiso.base.problems import Problem, UsageError
from faultiso.learning.gathered import MOST_PLACES, Alike, Gathered
from faultiso.learning.orders import Order, Rows
from faultiso.learning.reading import read_history
from faultiso.learning.rows import Counted, Evidence, Row, Words
from faultiso.learning.wording import Remark, understood
from faultiso.model.system import Model


@dataclass(frozen=True)
class History:
    """``used`` rows of which ``doubtful`` are taken with a remark; ``set_aside`` rows are not taken at all.

    ``problems`` by line and column, errors for rows set aside and warnings for doubtful ones; ``more`` are
    beyond those listed. ``unmentioned``: rows that do not say how the other indications were; ``findings``:
    rows by what they say of what was found.
    """

    file: str
    evidence: Evidence
    problems: tuple[Problem, ...]
    more: int
    used: int
    doubtful: int
    set_aside: int
    unmentioned: int
    findings: Mapping[Words, int]


def load_history(path: Path, model: Model, normal: bool = False) -> History:
    """The history in a file, for a model. Nothing is raised for what is wrong with a row.

    ``normal``: where a row leaves open how the other indications were, they are taken as normal.
    """
    return _of_model(read_history(path), model, normal).history


@dataclass(frozen=True)
class Beside:
    """One history for two models; the evidences have the rows that both can use, in the same order."""

    histories: tuple[History, History]
    evidences: tuple[Evidence, Evidence]


def load_beside(path: Path, first: Model, second: Model) -> Beside:
    """The history in a file, for each of two models."""
    read = read_history(path)
    taken = (_of_model(read.copy(), first), _of_model(read.copy(), second))
    both = [key for key in taken[0].rows if key in taken[1].rows]
    hours = sum(read.rows[key].hours for key in both)  # else who can read fewer rows has more quiet hours
    evidences = [Evidence(tuple(each.rows[key] for key in both), hours) for each in taken]
    return Beside((taken[0].history, taken[1].history), (evidences[0], evidences[1]))


@dataclass(frozen=True)
class _Taken:
    """A history, and its rows by what stands in the file."""

    history: History
    rows: Mapping[tuple[str, ...], Counted]


def _of_model(read: Gathered, model: Model, normal: bool = False) -> _Taken:
    rows, orders = Rows(model), _Orders()
    by_key: dict[tuple[str, ...], Counted] = {}
    for key, alike in read.rows.items():
        cells = alike.cells if alike.cells["others"] or not normal else {**alike.cells, "others": "normal"}
        found = understood(model, cells)
        remarks = list(found.remarks)
        row = _row(rows, found.order, remarks)
        for record in alike.places:
            for remark in remarks:
                read.wrong(_placed(read.file, remark, record.cells[remark.column].where(read.file)))
        if len(alike.places) < alike.times:
            read.more += (alike.times - len(alike.places)) * len(remarks)
        orders.take(row, found.order, alike, bool(remarks))
        if row is not None:
            by_key[key] = Counted(row, alike.times, tuple(record.line for record in alike.places))
    return _Taken(orders.history(read), by_key)


def _row(rows: Rows, order: Order | None, remarks: list[Remark]) -> Row | None:
    if order is None:
        return None
    try:
        return rows.row(order)
    except UsageError as error:
        remarks.append(Remark("checks", str(error)))
        return None


def _placed(file: str, remark: Remark, where: object) -> Problem:
    return Problem("history", where, remark.message, remark.nearest, remark.severity)  # type: ignore[arg-type]


class _Orders:
    """Counts rows while they come."""

    def __init__(self) -> None:
        self.rows: dict[Row, tuple[int, tuple[int, ...]]] = {}
        self.hours = 0.0
        self.used = self.doubtful = self.set_aside = self.unmentioned = 0
        self.findings: dict[Words, int] = dict.fromkeys(("proved", "weak", "none", ""), 0)

    def take(self, row: Row | None, order: Order | None, alike: Alike, remarked: bool) -> None:
        if row is None or order is None:
            self.set_aside += alike.times
            return
        times, lines = self.rows.get(row, (0, ()))
        more = tuple(record.line for record in alike.places)
        self.rows[row] = (times + alike.times, (*lines, *more)[:MOST_PLACES])
        self.hours += alike.hours
        self.used += alike.times
        self.doubtful += alike.times * remarked
        self.unmentioned += alike.times * (not order.normal)
        self.findings[order.finding.words] += alike.times

    def history(self, read: Gathered) -> History:
        counted = tuple(Counted(row, times, lines) for row, (times, lines) in self.rows.items())
        problems = sorted(dict.fromkeys(read.problems), key=lambda problem: problem.where)
        return History(
            file=read.file,
            evidence=Evidence(counted, self.hours),
            problems=tuple(problems),
            more=read.more,
            used=self.used,
            doubtful=self.doubtful,
            set_aside=self.set_aside + read.set_aside,
            unmentioned=self.unmentioned,
            findings=self.findings,
        )

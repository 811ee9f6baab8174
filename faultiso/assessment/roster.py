"""Who sits behind a candidate number: the only place where names are. Logs and marks never hold one.

    candidate,name,group
    14,Ada Reed,blue

Whoever erases a name here takes it out of everything: logs and marks stay valid under the number.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from faultiso.base.nearest import nearest
from faultiso.base.problems import InvalidModel, Problem, Severity, WithProblems
from faultiso.base.sheets import Cell, Row, Sheet, read_sheet
from faultiso.base.text import one_line

COLUMNS = "candidate,name,group"
#: how a column may be called -> what it is
_CALLED = {
    "candidate": "candidate", "candidate number": "candidate", "number": "candidate", "no": "candidate",
    "id": "candidate", "name": "name", "group": "group", "class": "group",
}  # fmt: skip


@dataclass(frozen=True)
class Person:
    """One line of a roster; ``more``: what stands in columns of the instructor's own."""

    candidate: str
    name: str
    group: str = ""
    more: Mapping[str, str] = field(default_factory=dict)
    line: int = 0


@dataclass(frozen=True)
class Roster(WithProblems):
    """People by ``candidate_key``; ``problems`` are warnings only."""

    people: Mapping[str, Person] = field(default_factory=dict)
    problems: tuple[Problem, ...] = ()

    def person(self, candidate: str) -> Person | None:
        return self.people.get(candidate_key(candidate))

    def name(self, candidate: str) -> str:
        """The name behind a number, "" if there is none."""
        person = self.person(candidate)
        return person.name if person else ""

    def shown(self, candidate: str) -> str:
        """The number, with the name behind it if there is one: "14 Reed"."""
        return f"{candidate or '(no number)'} {self.name(candidate)}".rstrip()


def candidate_key(candidate: str) -> str:
    """The same text for the same number: 14, 014 and " 14 " are one, and so are B7 and b7."""
    bare = "".join(unicodedata.normalize("NFD", one_line(candidate)).casefold().split())
    return (bare.lstrip("0") or "0") if bare.isascii() and bare.isdigit() else bare


def read_roster(path: Path) -> Roster:
    """The roster in a file (CSV). UsageError if it cannot be read, InvalidModel with all that is wrong."""
    reader = _Reader(read_sheet(path, "roster", COLUMNS))
    reader.read()
    if any(problem.severity == "error" for problem in reader.problems):
        raise InvalidModel(tuple(sorted(reader.problems, key=lambda problem: problem.where)))
    return Roster(reader.people, tuple(reader.problems))


def _only_told(problem: Problem) -> Problem:
    """A sign that no text has stands in a name at worst, and names are only shown: no mark waits for it."""
    return replace(problem, severity="warning") if problem.code == "encoding" else problem


class _Reader:
    """Fills ``people`` and ``problems`` from a sheet; ``names``: who has a name first."""

    def __init__(self, sheet: Sheet) -> None:
        self.sheet = sheet
        self.problems = [_only_told(problem) for problem in sheet.problems]
        self.people: dict[str, Person] = {}
        self.names: dict[str, Person] = {}
        self.places = self._columns()

    def wrong(self, code: str, cell: Cell, message: str, severity: Severity = "error") -> None:
        self.problems.append(Problem(code, cell.where(self.sheet.file), message, severity=severity))

    def read(self) -> None:
        if "candidate" in self.places.values():
            for row in self.sheet.rows:
                self._read(row)
            return
        close = any(nearest(cell.text, ("candidate",)) for cell in self.sheet.head)
        message = f'no column is called "candidate"; expected a first line such as "{COLUMNS}"'
        where = self.sheet.head[0].where(self.sheet.file)
        self.problems.append(Problem("column", where, message, "candidate" if close else ""))

    def _columns(self) -> dict[int, str]:
        """Place of a column -> what it is; columns of the instructor's own keep their title."""
        places: dict[int, str] = {}
        for place, cell in enumerate(self.sheet.head):
            title = _CALLED.get(cell.text.casefold(), cell.text)
            if title and title in places.values():
                self.wrong("column", cell, f'a second column "{cell.text}"; expected one of each')
            elif title:
                places[place] = title
        return places

    def _read(self, row: Row) -> None:
        """One line, added to ``people`` unless it cannot be."""
        cells = {title: row[place] for place, title in self.places.items() if place < len(row)}
        number = cells.get("candidate")
        if number is None or not number.text:
            return self.wrong("candidate", number or row[0], "a line without a candidate number")
        more = next((cell for cell in row[len(self.sheet.head) :] if cell.text), None)
        if more is not None:
            message = (
                "more cells than the first line has columns; put a text that holds a separator in quotes"
            )
            self.wrong("cells", more, message)
        earlier = self.people.get(candidate_key(number.text))
        if earlier is not None:
            message = f'candidate "{number.text}" stands twice; the first time in line {earlier.line}'
            return self.wrong("duplicate", number, message)
        person = _person(number, cells)
        self._judge_name(person, cells.get("name"))
        self.people[candidate_key(number.text)] = person
        return None

    def _judge_name(self, person: Person, name: Cell | None) -> None:
        """Two people may have one name, but a line may also have been copied."""
        if name is None or not name.text:
            return
        same = self.names.setdefault(person.name.casefold(), person)
        if same is not person:
            first = f'in line {same.line}, for candidate "{same.candidate}"'
            self.wrong("name", name, f"the name stands twice; the first time {first}", "warning")


def _person(number: Cell, cells: Mapping[str, Cell]) -> Person:
    own = {title: cell.text for title, cell in cells.items() if title not in _CALLED.values()}
    name, group = (cells[title].text if title in cells else "" for title in ("name", "group"))
    return Person(number.text, name, group, own, number.line)

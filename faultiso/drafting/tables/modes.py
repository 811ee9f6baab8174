"""A failure-modes table read row by row: what fails and how, how often, what it does, and what detects it.

An item, its function and its rate stand for the rows below it too, up to the next item: so cells come that a
spreadsheet had merged.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from faultiso.base.columns import InColumns, Record, in_columns, plain_text
from faultiso.base.nearest import nearest
from faultiso.base.problems import InvalidModel, Problem
from faultiso.base.sheets import Bounds, Cell, read_sheet
from faultiso.drafting.tables.rates import Rates, rates_of
from faultiso.drafting.tables.worksheet import COLUMNS, KEPT
from faultiso.drafting.wording import judged
from faultiso.model.parts import SEVERITIES

BOUNDS = Bounds(size=16_000_000, rows=20_000, cells=100, cell=2_000)
_EXPECTED = "item, failure mode, failure detection method, failure mode ratio, failure rate"
_NOTHING = frozenset({"", "none", "nil", "no", "n/a", "na", "-", "--", "nk", "not known", "unknown"})
_UNDETECTED = _NOTHING | {"not detected", "undetected", "undetectable", "not detectable", "hidden"}
_ALL_PHASES = _NOTHING | {"all", "any", "every", "all phases", "all modes", "continuous"}
_CLASS = re.compile(r"(?:(?:category|cat\.?|class)\s*)?(IV|I{1,3}|[1-4])\b.*", re.IGNORECASE)
_NUMBERS = dict(zip("1234", SEVERITIES, strict=True))


@dataclass(frozen=True)
class Mode:
    """One row. ``methods``: what detects it and what that shows ("" where it is not said).

    ``rate``: failures an hour; ``effects``: local, next higher level, end. ``kept``: what the language has no
    key for, by the head of its column.
    """

    line: int
    item: str
    title: str
    rate: float
    number: str = ""
    name: str = ""
    function: str = ""
    cause: str = ""
    phases: tuple[str, ...] = ()
    effects: tuple[str, str, str] = ("", "", "")
    methods: tuple[tuple[str, str], ...] = ()
    severity: str = ""
    source: str = ""
    kept: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Modes:
    """``before``: the cells of rows above the heads; ``notes``: what was made of the figures; ``problems``:
    warnings only."""

    file: str
    modes: tuple[Mode, ...]
    before: tuple[tuple[str, ...], ...] = ()
    notes: tuple[str, ...] = ()
    problems: tuple[Problem, ...] = ()


def read_modes(path: Path, rates: Rates) -> Modes:
    """The table in a file. UsageError if it cannot be read, InvalidModel with all that is wrong with it."""
    table = in_columns(read_sheet(path, "failure-modes table", _EXPECTED, BOUNDS), COLUMNS)
    problems = list(table.problems)
    records = tuple(_carried_down(table.records))
    modes, notes = _modes(records, table, rates, problems)
    problems = list(_without_echoes(problems))
    if any(problem.severity == "error" for problem in problems):
        raise InvalidModel(tuple(sorted(problems, key=lambda problem: problem.where)))
    before = tuple(tuple(cell.text for cell in row if cell.text) for row in table.before)
    return Modes(table.file, modes, before, notes, tuple(problems))


def _without_echoes(problems: Sequence[Problem]) -> Iterator[Problem]:
    """Of a row that has too many cells only that: its cells are not where their columns are."""
    shifted = {problem.where.line for problem in problems if problem.code == "cells"}
    for problem in dict.fromkeys(problems):
        if problem.code == "cells" or problem.where.line not in shifted:
            yield problem


def _modes(
    records: Sequence[Record], table: InColumns, rates: Rates, problems: list[Problem]
) -> tuple[tuple[Mode, ...], tuple[str, ...]]:
    """The modes, and notes on their figures; what is wrong joins ``problems``."""
    if any(problem.code == "column" for problem in problems):
        return (), ()
    if not records:
        where = table.heads["item"].where(table.file)
        problems.append(
            Problem("rows", where, "no row stands below the heads; expected one for each failure mode")
        )
    problems += [found for record in records for found in _missing(record, table.file)]
    problems += _twice(records, table.file)
    problems += judged((cell.text, cell.where(table.file)) for cell in _texts(records))
    figures, notes = rates_of(records, table, rates, problems)
    modes = [_mode(record, rate, table, problems) for record, rate in zip(records, figures, strict=True)]
    return tuple(modes), tuple(notes)


def _carried_down(records: Sequence[Record]) -> Iterator[Record]:
    """An item that is the one above, or empty, has its function and rate where these are empty."""
    above: Mapping[str, Cell] = {}
    for record in records:
        cells = dict(record.cells)
        if above and cells["item"].text.casefold() in ("", above["item"].text.casefold()):
            cells |= {name: above[name] for name in ("item", "function", "rate") if not cells[name].text}
        above = cells
        yield Record(record.line, cells, record.more)


def _missing(record: Record, file: str) -> Iterator[Problem]:
    for name, what in (("item", "item"), ("mode", "failure mode")):
        if not record.cells[name].text:
            yield Problem(
                "empty", record.cells[name].where(file), f"a row without the {what}; expected one here"
            )


def _twice(records: Sequence[Record], file: str) -> Iterator[Problem]:
    """A mode has one row, or its rate would count twice."""
    first: dict[tuple[str, str], int] = {}
    for record in records:
        item, mode = record.cells["item"], record.cells["mode"]
        line = first.setdefault((item.text.casefold(), mode.text.casefold()), record.line)
        if line != record.line and mode.text:
            message = (
                f'"{mode.text[:40]}" of {item.text[:40]} stands twice, first in line {line}; expected one row'
            )
            yield Problem("twice", mode.where(file), f"{message}, its phases parted by ;")


def _texts(records: Sequence[Record]) -> Iterator[Cell]:
    """The cells whose texts people will read, each once."""
    read = ("item", "function", "mode", "cause", "phase", "local", "next", "end", "detection")
    yield from dict.fromkeys(record.cells[name] for record in records for name in read)


def _mode(record: Record, rate: float, table: InColumns, problems: list[Problem]) -> Mode:
    text = {name: plain_text(cell) for name, cell in record.cells.items()}
    kept = {table.heads[name].text: text[name] for name in KEPT if text[name] and name in table.heads}
    return Mode(
        line=record.line,
        item=text["item"],
        title=text["mode"],
        rate=rate,
        number=text["id"],
        name=text["name"],
        function=text["function"],
        cause=text["cause"],
        phases=_listed(text["phase"], _ALL_PHASES, ";/"),
        effects=(_said(text["local"]), _said(text["next"]), _said(text["end"])),
        methods=tuple(_method(part) for part in _listed(text["detection"], _UNDETECTED, ";")),
        severity=_severity(record.cells["severity"], table.file, problems),
        source=_said(text["source"]),
        kept=kept | {title: plain_text(cell) for title, cell in record.more.items()},
    )


def _said(text: str) -> str:
    return "" if text.casefold().rstrip(".") in _NOTHING else text


def _listed(text: str, nothing: frozenset[str], signs: str) -> tuple[str, ...]:
    """What a cell lists, parted by any of the signs; without what says "nothing", and each once."""
    parts = [part.strip(" .") for part in re.split(f"[{signs}]", text)]
    return tuple({part.casefold(): part for part in parts if part.casefold() not in nothing}.values())


def _method(text: str) -> tuple[str, str]:
    """ "Pressure gauge: low" is the gauge, and that it shows low."""
    name, _, shows = (part.strip() for part in text.partition(":"))
    return (name, shows) if name else (shows, "")


def _severity(cell: Cell, file: str, problems: list[Problem]) -> str:
    """The class by its word; "" for an empty cell."""
    text = plain_text(cell)
    found = _CLASS.fullmatch(text)
    named = {each for each in SEVERITIES.values() if each in text.casefold()}
    others = re.findall(r"\b(?:IV|I{1,3}|[1-4])\b", text, re.IGNORECASE)
    if found and len(others) == 1:
        number = found[1].upper()
        severity = SEVERITIES[_NUMBERS.get(number, number)]
        if not named - {severity}:
            return severity
    word = text.split(" ")[0].casefold().rstrip(",.;:")
    if (not found and word in SEVERITIES.values()) or not _said(text):
        return word if _said(text) else ""
    expected = "I to IV, or catastrophic, critical, marginal, minor"
    near = nearest(word, SEVERITIES.values())
    problems.append(
        Problem(
            "severity", cell.where(file), f'"{text[:40]}" is no severity class; expected {expected}', near
        )
    )
    return ""

"""Sheets whose columns have a meaning: heads found tolerantly, rows fitted to them, no number guessed.

    table = in_columns(read_sheet(path, "history", "complaint,hours"), COLUMNS)
    for record in table.records:
        hours = number_in(record.cells["hours"], table.file, "hours", 0, 1e6)    # a float, or a Problem

A head fits whatever its case, signs and blanks, with or without what stands in brackets; heads may take two
rows. Rows above heads, and rows that begin with "#", are none of the records.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import zip_longest

from faultiso.base.nearest import nearest
from faultiso.base.numbers import Ambiguous, NotANumber, Understood, read_number, show_number
from faultiso.base.problems import Problem, WithProblems
from faultiso.base.sheets import Cell, Row, Sheet
from faultiso.base.text import one_line

_HEADS_WITHIN = 30  # rows: a worksheet may have a title block above its heads
_EITHER = re.compile("[1-9][0-9]{0,2},[0-9]{3}")  # thousands, or a fraction
_FORMULA = ("=", "+", "-", "@", "|", "%", "#", "'")


@dataclass(frozen=True)
class Column:
    """``name`` is what the program calls it, ``titles`` how its head may be written, the best one first."""

    name: str
    titles: tuple[str, ...]
    required: bool = False


@dataclass(frozen=True)
class Record:
    """One row: a cell for every known column, empty where nothing stands; ``more`` by the heads of others."""

    line: int
    cells: Mapping[str, Cell]
    more: Mapping[str, Cell] = field(default_factory=dict)


@dataclass(frozen=True)
class InColumns(WithProblems):
    """``heads``: by name the cells of known columns that are there. ``before``: the rows above them.
    ``decimal``: what parts fractions as far as the form of the sheet tells, see ``number_in``."""

    file: str
    heads: Mapping[str, Cell]
    records: tuple[Record, ...]
    before: tuple[Row, ...] = ()
    problems: tuple[Problem, ...] = ()
    decimal: str = "."


def in_columns(sheet: Sheet, columns: Sequence[Column]) -> InColumns:
    """The rows of a sheet by column, with everything that is wrong with its form."""
    rows = [row for row in (sheet.head, *sheet.rows) if not row[0].text.startswith("#")]
    known = _Known(columns)
    top = at = _head_row(rows, known)
    head, names = rows[at] if rows else sheet.head, [column.name for column in columns]
    below = rows[at + 1] if len(rows) > at + 1 else ()
    if _is_head(below, known):
        head, at = _one_head(head, below), at + 1
    places, more, problems = _placed(head, known, sheet.file)
    problems += _missing(head, places, more, columns, sheet.file)
    last = max((place for place, cell in enumerate(head) if cell.text), default=0)
    nameless = [place for place in range(last) if place >= len(head) or not head[place].text]
    for row in rows[at + 1 :]:
        problems += (*_too_long(row, last, sheet.file), *_without_head(row, nameless, sheet.file))
    records = [_record(row, places, more, names) for row in rows[at + 1 :]]
    heads = {name: head[place] for name, place in places.items()}
    decimal = "?" if sheet.separator == ";" else "."  # semicolons: often where a comma parts fractions
    problems = [*sheet.problems, *problems]
    return InColumns(sheet.file, heads, tuple(records), tuple(rows[:top]), tuple(problems), decimal)


def number_in(
    cell: Cell, file: str, title: str, low: float, high: float, unit: str = "", decimal: str = "."
) -> float | Problem:
    """The number in a cell in ``unit``, from ``low`` to ``high``, or what is wrong with it.

    ``title``: the head of its column. ``decimal``: what parts fractions, "." or ",", or "?" if that is not
    sure. "2,7" and a point where commas part fractions are refused, since either may mean two things; so is
    "2,700" if it is not sure.
    """
    text, said = plain_text(cell), f'column "{one_line(title, 40)}"'
    if decimal == "," and "." in text:
        message = f'{said}: "{one_line(text, 40)}" has a point, but fractions are said to have a comma here'
        return Problem("number", cell.where(file), message)
    reading = read_number(text.replace(",", ".") if decimal == "," else text, unit)
    if decimal == "?" and _EITHER.fullmatch(text):
        reading = Ambiguous(f"Does {text} mean {text.replace(',', '.')} or {text.replace(',', '')}?", ())
    match reading:
        case Understood(value) if low <= value <= high and (unit or not reading.unit):
            return value
        case Understood(value):
            wanted = f"a number from {show_number(low)} to {show_number(high)}{f' {unit}' if unit else ''}"
            message = f"{said}: expected {wanted}; found {reading.shown}"
        case Ambiguous(question):
            message = f"{said}: {question} Write a point before fractions, and nothing between thousands"
        case NotANumber(reason):
            message = f'{said}: found "{one_line(text, 40)}". {reason}{_formula(text)}'
        case _:
            message = f"{said}: a number is wanted here; not known is an empty cell"
    return Problem("number", cell.where(file), message.rstrip("."))


def plain_text(cell: Cell) -> str:
    """What stands in a cell, without the apostrophe that keeps a spreadsheet from taking it for a formula."""
    text = cell.text
    return text[1:] if text.startswith("'") and text[1:].startswith(_FORMULA) else text


def _formula(text: str) -> str:
    return " A formula is not worked out here: save the values" if text.startswith(_FORMULA[:4]) else ""


def _key(title: str) -> str:
    """Letters and digits alone: "Failure-Mode Ratio" and "failure mode ratio" are the same."""
    return "".join(sign for sign in unicodedata.normalize("NFKC", title).casefold() if sign.isalnum())


def _keys(title: str) -> Iterator[str]:
    """As it stands, then without what is in brackets; then without "per" what it is."""
    yield _key(title)
    yield _key(re.sub(r"[(\[][^)\]]*[)\]]", " ", title))
    yield _key(re.sub(r"\bper\b.*", " ", title, flags=re.IGNORECASE | re.DOTALL))


def _bracketed(title: str) -> Iterator[str]:
    """What stands in brackets alone."""
    yield from map(_key, re.findall(r"[(\[]([^)\]]*)[)\]]", title))


def _words(title: str) -> frozenset[str]:
    """The words of a title outside its brackets."""
    return frozenset(re.findall(r"[a-z]{3,}", re.sub(r"[(\[][^)\]]*[)\]]", " ", title).casefold()))


class _Known:
    """By which heads columns are known."""

    def __init__(self, columns: Sequence[Column]) -> None:
        self._names: dict[str, str] = {}
        self._words: dict[str, frozenset[str]] = {}
        for column in columns:
            for title in column.titles:
                for key in (*_keys(title), *_bracketed(title)):
                    self._names.setdefault(key, column.name)
            self._words[column.name] = frozenset().union(*map(_words, column.titles))

    def named(self, cell: Cell) -> str:
        """The column of a head, "" if it is none.

        What is in brackets counts beside a word of its column only: "repair time (hours)" is no column of
        hours, "part failure rate (lambda p), 10^-6" is one of rates.
        """
        found = next((self._names[key] for key in _keys(cell.text) if key in self._names), "")
        if found:
            return found
        outside = _words(cell.text)
        names = (self._names[key] for key in _bracketed(cell.text) if key in self._names)
        return next((name for name in names if not outside or outside & self._words[name]), "")


def _head_row(rows: Sequence[Row], known: _Known) -> int:
    """Where the heads are: the row, among the first, in which most columns are known; of these the first."""
    found = [len({known.named(cell) for cell in row} - {""}) for row in rows[:_HEADS_WITHIN]]
    return found.index(max(found)) if found else 0


def _is_head(row: Row, known: _Known) -> bool:
    """Whether a row is a second one of heads: "local effects" below "failure effects"."""
    said = [cell for cell in row if cell.text]
    return bool(said) and all(known.named(cell) for cell in said)


def _one_head(above: Row, below: Row) -> Row:
    """Two rows of heads as one: the lower one says more."""
    pairs = zip_longest(above, below)
    return tuple(low if low and low.text else high or low for high, low in pairs)


def _placed(head: Row, known: _Known, file: str) -> tuple[dict[str, int], dict[str, int], list[Problem]]:
    """Places of known columns by name, and of others by their head."""
    places: dict[str, int] = {}
    more: dict[str, int] = {}
    problems: list[Problem] = []
    for place, cell in enumerate(head):
        name = known.named(cell)
        if name in places or cell.text in more:
            message = f'a second column "{cell.text}"; expected one of each'
            problems.append(Problem("column", cell.where(file), message))
        elif name:
            places[name] = place
        elif cell.text:
            more[cell.text] = place
    return places, more, problems


def _missing(
    head: Row, places: Mapping[str, int], more: Mapping[str, int], columns: Sequence[Column], file: str
) -> Iterator[Problem]:
    for column in columns:
        if column.required and column.name not in places:
            near = next((found for title in column.titles if (found := nearest(title, more))), "")
            message = f'no column is called "{column.titles[0]}"; expected one'
            yield Problem("column", head[0].where(file), message, f'"{near}"' if near else "")


def _too_long(row: Row, last: int, file: str) -> Iterator[Problem]:
    cell = next((cell for cell in row[last + 1 :] if cell.text), None)
    if cell is not None:
        shown = one_line(cell.text, 40)
        message = f'"{shown}" stands beyond the last column; put a text that holds a separator in quotes'
        yield Problem("cells", cell.where(file), message)


def _without_head(row: Row, nameless: Sequence[int], file: str) -> Iterator[Problem]:
    for place in nameless:
        if place < len(row) and row[place].text:
            shown = one_line(row[place].text, 40)
            message = f'"{shown}" stands in a column without a head; expected a head, or nothing'
            yield Problem("head", row[place].where(file), message)


def _record(row: Row, places: Mapping[str, int], more: Mapping[str, int], names: Sequence[str]) -> Record:
    """A row that ends early has empty cells, which stand where it ends."""
    end = Cell("", row[-1].line, row[-1].column + len(row[-1].text))
    cells = {name: row[place] if (place := places.get(name, len(row))) < len(row) else end for name in names}
    others = {title: row[place] for title, place in more.items() if place < len(row) and row[place].text}
    return Record(row[0].line, cells, others)

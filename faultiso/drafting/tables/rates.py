"""The rate of each failure mode, an hour: failure mode ratio times the failure rate of its item."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from faultiso.base.columns import InColumns, Record, number_in, plain_text
from faultiso.base.problems import Problem
from faultiso.base.sheets import Cell
from faultiso.base.text import one_line
from faultiso.drafting.tables.rate_units import unit_of

LARGEST_BARE = 1e-3  # an hour: above it a rate without a unit is rather one for many hours
ROUNDED = 0.011  # by how much ratios that people rounded may miss 1 in sum


@dataclass(frozen=True)
class Rates:
    """``hours``: what rates are failures in, 0 = as their head says, else one hour. ``missing``: the rate an
    hour of a mode without one, 0 = that is refused. ``decimal``: what parts fractions, "." or ",", "" = not
    said."""

    hours: float = 0.0
    missing: float = 0.0
    decimal: str = ""


def rates_of(
    records: Sequence[Record], table: InColumns, rates: Rates, problems: list[Problem]
) -> tuple[list[float], list[str]]:
    """Failures an hour of each row, and notes on what was made of the figures; mistakes join ``problems``."""
    reader = _Reader(table, rates, problems)
    found = [0.0] * len(records)
    head = table.heads.get("rate")
    if head and not rates.hours and unit_of(head.text).unknown:
        problems.append(_not_understood(head, table.file))
        return found, []
    for places in _items(records):
        for place, rate in zip(places, reader.of_item([records[place] for place in places]), strict=True):
            found[place] = rate
    return found, reader.notes


def _not_understood(head: Cell, file: str) -> Problem:
    message = (
        f'"{one_line(head.text, 60)}": failures in how many hours? Expected a head such as '
        '"failure rate (per million hours)", or --rates-per'
    )
    return Problem("rate", head.where(file), message)


def _items(records: Sequence[Record]) -> Iterator[list[int]]:
    """The rows of each item, wherever they stand."""
    groups: dict[str, list[int]] = {}
    for place, record in enumerate(records):
        groups.setdefault(record.cells["item"].text.casefold(), []).append(place)
    yield from groups.values()


class _Reader:
    def __init__(self, table: InColumns, rates: Rates, problems: list[Problem]) -> None:
        self.table, self.rates, self.problems = table, rates, problems
        self.notes: list[str] = []
        self.decimal = rates.decimal or table.decimal

    def of_item(self, records: Sequence[Record]) -> list[float]:
        """The rates of the modes of one item."""
        before = len(self.problems)
        rates = [self._rate(record.cells["rate"]) for record in records]
        ratios = [self._ratio(record.cells["alpha"]) for record in records]
        if len(self.problems) > before:
            return [0.0] * len(records)
        one_rate = len({rate for rate in rates if rate is not None}) <= 1
        if all(ratio is None for ratio in ratios):
            ratios = self._without_ratios(records, rates)
        elif one_rate:
            self._judge_sum(records, ratios)
        else:
            item = records[0].cells["item"].text
            self.notes.append(f"{item}: its rows name several failure rates; each times its own ratio")
        return [
            self._product(record, rate, ratio)
            for record, rate, ratio in zip(records, rates, ratios, strict=True)
        ]

    def _product(self, record: Record, rate: float | None, ratio: float | None) -> float:
        if rate is None:
            if not self.rates.missing:
                message = "no failure rate; expected one here, or --rate for all modes without one"
                self._wrong(record.cells["rate"], message)
            return self.rates.missing
        if ratio is None:
            self._wrong(
                record.cells["alpha"], "no failure mode ratio, though other modes of the item have one"
            )
        return rate * (ratio or 0.0)

    def _without_ratios(self, records: Sequence[Record], rates: Sequence[float | None]) -> list[float | None]:
        """A single mode has all of the rate; several have one each, if these are plainly not of the item."""
        given = [rate for rate in rates if rate is not None]
        if len(records) > 1 and given and (len(given) < len(records) or len(set(given)) == 1):
            item = records[0].cells["item"].text
            message = f"{item} has {len(records)} modes and one failure rate; expected a ratio for each mode"
            self._wrong(records[0].cells["alpha"], message)
        elif len(records) > 1 and given:
            self.notes.append(f"{records[0].cells['item'].text}: no ratios, so each rate is that of its mode")
        return [1.0] * len(records)

    def _judge_sum(self, records: Sequence[Record], ratios: Sequence[float | None]) -> None:
        total = sum(ratio or 0.0 for ratio in ratios)
        item = records[0].cells["item"].text
        if total > 1 + ROUNDED:
            message = f"the failure mode ratios of {item} come to {total:.4g}; expected 1 at most"
            self._wrong(records[0].cells["alpha"], message)
        elif total < 1 - ROUNDED:
            self.notes.append(f"{item}: its modes have {total:.4g} of its failure rate; the rest is left out")

    def _rate(self, cell: Cell) -> float | None:
        """Failures an hour; None for an empty cell."""
        head = self.table.heads.get("rate")
        if not plain_text(cell):
            return None
        hours = self.rates.hours or unit_of(head.text if head else "").hours
        bare = number_in(cell, self.table.file, "failure rate", 0, 1e9, decimal=self.decimal)
        if isinstance(bare, float):
            return bare / hours if hours else self._of_one_hour(cell, bare)
        if any(sign.isalpha() for sign in plain_text(cell)):
            bare = number_in(cell, self.table.file, "failure rate", 0, 1, "per h", self.decimal)
        return self._taken(cell, bare)

    def _of_one_hour(self, cell: Cell, value: float) -> float | None:
        if value <= LARGEST_BARE:
            return value
        message = (
            f'column "failure rate": {value:g} failures in how many hours? Say it in the head, such as '
            '"failure rate (per million hours)", or by --rates-per'
        )
        self._wrong(cell, message)
        return None

    def _ratio(self, cell: Cell) -> float | None:
        text = plain_text(cell)
        if not text:
            return None
        unit, share = ("%", 0.01) if text.endswith("%") else ("", 1.0)
        most = 1.0 / share
        value = self._taken(
            cell, number_in(cell, self.table.file, "failure mode ratio", 0, most, unit, self.decimal)
        )
        return None if value is None else value * share

    def _taken(self, cell: Cell, value: float | Problem) -> float | None:
        if isinstance(value, Problem):
            asked = "," in cell.text and not self.rates.decimal
            hint = ", or say --decimal comma or point" if asked else ""
            self.problems.append(replace(value, message=value.message + hint))
            return None
        return value

    def _wrong(self, cell: Cell, message: str) -> None:
        self.problems.append(Problem("rate", cell.where(self.table.file), message))

"""Marks of a class, people by items; who did not work every item is kept apart, never filled in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from faultiso.assessment.statistics.figure import LARGEST, LEAST_PEOPLE, caution, numbers, too_few
from faultiso.base.problems import UsageError
from faultiso.network.network import Array


@dataclass(frozen=True)
class Marks:
    """``shares[person, item]``: 0 to 1 of the best mark, ``largest``; nan where a person did not work an
    item.

    A figure of one item alone uses everybody who worked it. Whatever needs totals uses ``complete``, the
    people who worked every item: a mark that is missing is neither 0 nor a guess.
    """

    shares: Array
    largest: float = 1.0

    @property
    def items(self) -> int:
        return int(self.shares.shape[1])

    @property
    def complete(self) -> Array:
        """The rows of the people who worked every item; none if there are no items."""
        return self.shares[~np.isnan(self.shares).any(axis=1) & (self.items > 0)]

    @property
    def incomplete(self) -> int:
        """How many people are left out wherever totals are needed."""
        return len(self.shares) - len(self.complete)

    @property
    def too_few(self) -> str:
        """Why nothing that needs totals can be said of this class, "" if it can."""
        people = len(self.complete)
        if people >= LEAST_PEOPLE:
            return ""
        return too_few(people, "people who worked every case" if self.incomplete else "people")

    @property
    def beside(self) -> str:
        """What to say beside a figure that needs totals: a small class, people who were left out; or ""."""
        out = f"{self.incomplete} left out who did not work every case" if self.incomplete else ""
        return "; ".join(filter(None, (caution(len(self.complete)), out)))


def marks_of(rows: Sequence[Sequence[float | None]], largest: float = 1.0) -> Marks:
    """The marks of each person, items in the same order, None where a person did not work an item.

    Raises UsageError for rows of unequal length and for marks that are no number from 0 to ``largest``.
    """
    if not 0 < largest <= LARGEST:
        raise UsageError(f"the best mark of an item is a number above 0; found {largest!r}")
    wide = len(rows[0]) if len(rows) else 0
    for person, row in enumerate(rows, 1):
        if len(row) != wide:
            expected = f"expected {wide}, None where an item was not worked"
            raise UsageError(f"person {person} has {len(row)} marks; {expected}")
    listed = [numbers(row, f"person {person}, mark", 0.0, largest) for person, row in enumerate(rows, 1)]
    return Marks(np.array(listed, dtype=float).reshape(len(rows), wide) / largest, largest)

"""A figure that a page can print as it is: a finite number, or the reason why there is none."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from faultiso.base.problems import UsageError
from faultiso.network.network import Array

# The limits are conventions of this program; what they lean on stands beside them.
LEAST_PEOPLE = 10
"""Fewer people: nothing is said of the set, nor of how an item tells people apart. At 10 people and 10
items the interval of an alpha of 0.70 goes from 0.16 to 0.89 (``reliability.interval``)."""
SURE_PEOPLE = 30
"""Fewer people: the figure is said with a caution. At 30 people and 10 items: from 0.48 to 0.83."""
LEAST_ITEMS = 5
"""Fewer items: no reliability is said; four items have only six covariances between them."""
LEAST_PAIRS = 10
"""Fewer pairs: a rank correlation is said with a caution; fewer than three give none."""
LARGEST = 1e12
"""No mark, minute or count is larger, so that no sum or square of them overflows."""


@dataclass(frozen=True, slots=True)
class Figure:
    """``value``: a finite number, None where nothing can be said; then ``note`` says why, as "too few to
    say (3 cases)". With a value, ``note`` is a caution or "". ``count``: how many people, pairs or
    statements it rests on. ``interval``: its confidence interval, where a formula gives one."""

    value: float | None
    count: int
    note: str = ""
    interval: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        numbers = [*([] if self.value is None else [self.value]), *(self.interval or ())]
        if not np.isfinite(numbers).all() or (self.value is None and not self.note):
            raise ValueError("a figure is a finite number or says why there is none")


def too_few(count: int, what: str) -> str:
    """ "too few to say (3 cases)"."""
    return f"too few to say ({count} {what})"


def caution(people: int) -> str:
    """What is said beside a figure of a small class, "" for a class that is large enough."""
    return "" if people >= SURE_PEOPLE else f"uncertain: only {people} people"


def settled(value: float) -> float:
    """The value, or 0 for what only rounding keeps from 0: no page shows "-0.00", no note says "below 0"."""
    return 0.0 if abs(value) < 1e-12 else float(value)


def numbers(values: Iterable[float | None], what: str, least: float, largest: float) -> Array:
    """The values with None as nan, which is the one sign for "missing" inside this room.

    Raises UsageError for what is no number from ``least`` to ``largest``. A nan that comes in is refused
    too: it is a slip made elsewhere, never a missing value.
    """
    listed = list(values)
    for place, value in enumerate(listed, 1):
        if value is not None and not (_is_number(value) and least <= value <= largest):
            limits = f"a number from {least:g} to {largest:g}, or None where it is missing"
            raise UsageError(f"{what} {place} is {value!r}; expected {limits}")
    return np.array([np.nan if value is None else float(value) for value in listed], dtype=float)


def _is_number(value: object) -> bool:
    return isinstance(value, int | float | np.integer | np.floating | np.bool_)


def same_length(first: Sequence[object], second: Sequence[object], what: str) -> None:
    """Raises UsageError if two lists that belong together differ in length."""
    if len(first) != len(second):
        raise UsageError(f"{what} belong together one by one, but there are {len(first)} and {len(second)}")


def standard_normal(level: float) -> float:
    """Half the width of the middle ``level`` of a standard normal distribution: 1.96 for 0.95."""
    if not 0 < level < 1:
        raise UsageError(f"a level of confidence lies between 0 and 1; found {level!r}")
    return NormalDist().inv_cdf((1 + level) / 2)

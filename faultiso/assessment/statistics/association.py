"""How far two lists of numbers go together."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from faultiso.assessment.statistics.figure import (
    LARGEST,
    LEAST_PAIRS,
    Figure,
    numbers,
    same_length,
    settled,
    too_few,
)
from faultiso.network.network import Array


def varies(values: Array) -> bool:
    """Whether the values (one at least) differ by more than rounding."""
    return bool(np.ptp(values) > 1e-12 * np.abs(values).max())


def pearson(first: Array, second: Array) -> float | None:
    """The product-moment correlation, -1 to 1; None if one of them does not vary."""
    if not (varies(first) and varies(second)):
        return None
    a, b = first - first.mean(), second - second.mean()
    a, b = a / np.abs(a).max(), b / np.abs(b).max()
    return settled(np.clip((a @ b) / np.sqrt((a @ a) * (b @ b)), -1.0, 1.0))


def ranks(values: Array) -> Array:
    """Ranks from 1; equal values share the mean of the ranks that they take up together."""
    _, which, counts = np.unique(values, return_inverse=True, return_counts=True)
    last = np.cumsum(counts)
    return ((last - counts + 1 + last) / 2)[which]


def spearman(first: Sequence[float | None], second: Sequence[float | None]) -> Figure:
    """Spearman's rank correlation, -1 to 1: the product-moment correlation of the ranks, equal values at
    their mean rank (so it holds with ties, where the formula by squared differences does not).

    A pair with None on either side is left out; ``count`` is how many are left. Raises UsageError for
    lists of unequal length and for what is no number. C. Spearman, "The proof and measurement of
    association between two things", American J. Psychology 15:72-101 (1904); ties: M. G. Kendall and J.
    D. Gibbons, Rank Correlation Methods, 5th ed., Arnold 1990, chapter 3.
    """
    same_length(first, second, "the two lists")
    a = numbers(first, "first list, number", -LARGEST, LARGEST)
    b = numbers(second, "second list, number", -LARGEST, LARGEST)
    both = ~(np.isnan(a) | np.isnan(b))
    count = int(both.sum())
    if count < 3:
        return Figure(None, count, too_few(count, "pairs"))
    found = pearson(ranks(a[both]), ranks(b[both]))
    if found is None:
        return Figure(None, count, "all are equal on one side")
    return Figure(found, count, "" if count >= LEAST_PAIRS else f"uncertain: only {count} pairs")

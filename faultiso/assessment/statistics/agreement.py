"""How far two people who marked the same work agree, beyond chance."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from typing import Literal

import numpy as np

from faultiso.assessment.statistics.figure import (
    LARGEST,
    Figure,
    same_length,
    settled,
    standard_normal,
    too_few,
)
from faultiso.base.nearest import listed, nearest
from faultiso.base.problems import UsageError
from faultiso.network.network import Array

Weights = Literal["none", "linear", "quadratic"]
POWERS = {"linear": 1, "quadratic": 2}


def kappa(
    first: Sequence[Hashable],
    second: Sequence[Hashable],
    categories: Sequence[Hashable],
    weights: Weights = "none",
    level: float = 0.95,
) -> Figure:
    """Cohen's kappa of two lists of categories; ``categories`` lists them all, in order for weights.

    A pair with None (not marked) on either side is left out. Raises UsageError for a category that is not
    listed. Weights, interval and sources as for ``kappa_of_table``.
    """
    same_length(first, second, "the marks of the two")
    if len(set(categories)) != len(categories) or None in categories:
        raise UsageError("each category is listed once; None stands for not marked")
    table = np.zeros((len(categories), len(categories)))
    for pair in zip(first, second, strict=True):
        if None not in pair:
            table[_place(pair[0], categories), _place(pair[1], categories)] += 1
    return kappa_of_table(table, weights, level)


def kappa_of_table(
    table: Sequence[Sequence[float]] | Array, weights: Weights = "none", level: float = 0.95
) -> Figure:
    """Kappa of ``table[first, second]``, the counts of pairs: 1 for full agreement, 0 for chance.

    ``weights``: "none" counts equal categories only (J. Cohen, "A coefficient of agreement for nominal
    scales", Educational and Psychological Measurement 20:37-46, 1960); "linear" and "quadratic" count
    others in part, by how many places they lie apart (J. Cohen, "Weighted kappa: nominal scale agreement
    with provision for scaled disagreement or partial credit", Psychological Bulletin 70:213-220, 1968).

    The interval, cut at -1 and 1: J. L. Fleiss, J. Cohen and B. S. Everitt, "Large sample standard
    errors of kappa and weighted kappa", Psychological Bulletin 72:323-327 (1969). It is given from 2 k^2
    pairs up for k categories: D. V. Cicchetti, "Testing the normal approximation and minimal sample size
    requirements of weighted kappa when the number of categories is large", Applied Psychological
    Measurement 5:101-104 (1981); never for full agreement, where it would have no width.
    """
    counts, half = _counts(table), standard_normal(level)
    agreed, needed = agreement_weights(len(counts), weights), 2 * len(counts) ** 2
    total = int(counts.sum())
    if total == 0:
        return Figure(None, 0, too_few(0, "pairs"))
    p = counts / total
    chance = float(p.sum(axis=1) @ agreed @ p.sum(axis=0))
    if chance >= 1 - 1e-12:
        return Figure(None, total, "both gave one and the same mark throughout")
    value = settled((float((agreed * p).sum()) - chance) / (1 - chance))
    if total < needed:
        return Figure(value, total, f"uncertain: {total} pairs for {len(agreed)} categories, {needed} wanted")
    wide = half * standard_error(p, agreed, value, chance) / float(np.sqrt(total))
    ends = (max(-1.0, value - wide), min(1.0, value + wide))
    return Figure(value, total, "", ends if wide > 1e-6 else None)


def standard_error(p: Array, agreed: Array, value: float, chance: float) -> float:
    """Of kappa from one pair; ``p[first, second]`` adds up to 1. Fleiss, Cohen and Everitt 1969."""
    expected = (agreed @ p.sum(axis=0))[:, None] + (p.sum(axis=1) @ agreed)[None, :]
    squares = float((p * (agreed - expected * (1 - value)) ** 2).sum())
    variance = squares - (value - chance * (1 - value)) ** 2
    return float(np.sqrt(max(0.0, variance))) / (1 - chance)


def agreement_weights(size: int, weights: str) -> Array:
    """1 for equal categories, down to 0 for the two that lie farthest apart."""
    if weights == "none":
        return np.eye(size)
    if weights not in POWERS:
        raise UsageError(f'weights are "none", "linear" or "quadratic"; found {weights!r}')
    places = np.arange(size)
    return 1.0 - (np.abs(places[:, None] - places) / max(1, size - 1)) ** POWERS[weights]


def _counts(table: Sequence[Sequence[float]] | Array) -> Array:
    if not len(table) or any(len(row) != len(table) for row in table):
        raise UsageError("a table of agreement has a row and a column for each category")
    try:
        counts = np.asarray(table, dtype=float)
    except (TypeError, ValueError):
        counts = np.full((1, 1), np.nan)
    if not ((counts >= 0) & (counts <= LARGEST) & (counts == np.floor(counts))).all():
        raise UsageError("a table of agreement holds counts: whole numbers from 0")
    return counts


def _place(found: Hashable, categories: Sequence[Hashable]) -> int:
    if found in categories:
        return categories.index(found)
    names = [str(category) for category in categories]
    near = nearest(str(found), names)
    hint = f"; nearest: {near}" if near else ""
    raise UsageError(f"{found!r} is no category; expected {listed(names)}{hint}")

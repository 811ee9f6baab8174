"""How hard each item is, and how well it tells those who can from those who cannot."""

from __future__ import annotations

import numpy as np

from faultiso.assessment.statistics.association import pearson, varies
from faultiso.assessment.statistics.figure import Figure, caution, settled
from faultiso.assessment.statistics.marks import Marks
from faultiso.network.network import Array

GROUP = 0.27
"""Share of the class in each of two groups; of normal marks this tells most (Kelley 1939, see
``upper_lower``)."""


def difficulty(marks: Marks) -> tuple[Figure, ...]:
    """The mean share of the best mark, for each item: near 1 for an easy one; of marks 0 and 1 the share
    who were right. Everybody who worked the item counts.

    F. M. Lord and M. R. Novick, Statistical Theories of Mental Test Scores, Addison-Wesley 1968, chapter
    15.
    """
    return tuple(_mean(column[~np.isnan(column)]) for column in marks.shares.T)


def _mean(worked: Array) -> Figure:
    if not len(worked):
        return Figure(None, 0, "nobody worked it")
    return Figure(float(worked.mean()), len(worked), caution(len(worked)))


def item_total(marks: Marks, corrected: bool = True) -> tuple[Figure, ...]:
    """The correlation of each item with the total, -1 to 1; of marks 0 and 1 the point-biserial
    correlation.

    ``corrected``: with the total of the *other* items, so that an item is not correlated with itself.
    Below 0, those who did well elsewhere did worse here: look at the item. Complete people only.
    S. Henrysson, "Correction of item-total correlations in item analysis", Psychometrika 28:211-218 (1963).
    """
    rows, why = marks.complete, marks.too_few
    if corrected and marks.items < 2:
        why = why or "there is no other case to compare with"
    if why:
        return (Figure(None, len(rows), why),) * marks.items
    totals = rows.sum(axis=1)
    return tuple(_correlation(item, totals - item if corrected else totals, marks.beside) for item in rows.T)


def _correlation(item: Array, total: Array, note: str) -> Figure:
    found = pearson(item, total)
    if found is None:
        same = "the others" if varies(item) else "this case"
        return Figure(None, len(item), f"all have the same marks in {same}")
    return Figure(found, len(item), note)


def upper_lower(marks: Marks) -> tuple[Figure, ...]:
    """The discrimination index of each item, -1 to 1: the mean share of the upper group less that of the
    lower.

    The groups are the 27 per cent of the complete people with the highest and the lowest totals, all items
    counted. People with equal totals at the edge of a group count in equal parts, so that no order of names
    matters. T. L. Kelley, "The selection of upper and lower groups for the validation of test items", J.
    Educational Psychology 30:17-24 (1939).
    """
    rows, why = marks.complete, marks.too_few
    totals = np.round(rows.sum(axis=1), 9)  # equal totals stay equal, whatever the order of their items
    if not why and not varies(totals):
        why = "all have the same total"
    if why:
        return (Figure(None, len(rows), why),) * marks.items
    size = max(1, round(GROUP * len(rows)))
    apart = (members(totals, size) - members(-totals, size)) @ rows / size
    return tuple(Figure(settled(value), len(rows), marks.beside) for value in apart)


def members(totals: Array, size: int) -> Array:
    """How far each belongs to the ``size`` highest totals: 1, 0, or the same part for all at the edge."""
    edge = np.sort(totals)[-size]
    above, at = totals > edge, totals == edge
    return above + at * ((size - above.sum()) / at.sum())

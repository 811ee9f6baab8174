"""How far a set of items measures one thing, and how far a total may be off."""

from __future__ import annotations

import math

import numpy as np

from faultiso.assessment.statistics.association import varies
from faultiso.assessment.statistics.figure import LEAST_ITEMS, Figure, settled, standard_normal, too_few
from faultiso.assessment.statistics.marks import Marks


def alpha(marks: Marks, level: float = 0.95) -> Figure:
    """Cronbach's alpha of the complete people, at most 1; below 0 where items contradict each other.

    Nothing is said of fewer than LEAST_ITEMS items, of fewer than LEAST_PEOPLE complete people or of equal
    totals; under SURE_PEOPLE a caution is said. One divisor serves items and totals; which one is no
    matter. L. J. Cronbach, "Coefficient alpha and the internal structure of tests", Psychometrika
    16:297-334 (1951). Its interval is ``interval``; an alpha of 1 has none.
    """
    return _coefficient(marks, float(marks.complete.var(axis=0).sum()) if len(marks.complete) else 0.0, level)


def kr20(marks: Marks, level: float = 0.95) -> Figure:
    """Kuder-Richardson formula 20: alpha of marks that are 0 or the best; of others nothing is said.

    G. F. Kuder and M. W. Richardson, "The theory of the estimation of test reliability", Psychometrika
    2:151-160 (1937). Missing marks, limits and interval as for ``alpha``.
    """
    right = marks.complete
    if not np.isin(right, (0.0, 1.0)).all():
        return Figure(None, len(right), "marks are not just right or wrong; alpha serves")
    share = right.sum(axis=0) / max(1, len(right))
    return _coefficient(marks, float((share * (1 - share)).sum()), level)


def interval(value: float, people: int, items: int, level: float = 0.95) -> tuple[float, float]:
    """The confidence interval of an alpha, if items are alike and marks near normal: ln(1 - alpha) is near
    normal with the variance 2k / ((k - 1)(n - 2)) for k items and n people.

    D. G. Bonett, "Sample size requirements for testing and estimating coefficient alpha", J. Educational and
    Behavioral Statistics 27:335-340 (2002).
    """
    wide = standard_normal(level) * math.sqrt(2 * items / ((items - 1) * (people - 2)))
    return 1 - (1 - value) * math.exp(wide), 1 - (1 - value) * math.exp(-wide)


def measurement_error(marks: Marks) -> Figure:
    """The standard error of measurement of a total, in marks: how far the totals of one person would
    spread over many equal sets. It is the deviation of the totals (divisor n - 1)
    times the root of 1 - alpha.

    F. M. Lord and M. R. Novick, Statistical Theories of Mental Test Scores, Addison-Wesley 1968, chapter 3.
    Nothing is said where no alpha is.
    """
    found = alpha(marks)
    if found.value is None:
        return found
    spread = float(marks.complete.sum(axis=1).std(ddof=1)) * marks.largest
    return Figure(spread * math.sqrt(1.0 - found.value), found.count, found.note)


def _coefficient(marks: Marks, within: float, level: float) -> Figure:
    """The coefficient from the sum of the items' variances (divisor n)."""
    people, k = len(marks.complete), marks.items
    totals = marks.complete.sum(axis=1)
    why = too_few(k, "case" if k == 1 else "cases") if k < LEAST_ITEMS else marks.too_few
    if not why and not varies(totals):
        why = "all have the same total"
    if why:
        return Figure(None, people, why)
    value = settled(min(1.0, k / (k - 1) * (1.0 - within / float(totals.var()))))
    against = "below 0: the cases contradict each other" if value < 0 else ""
    note = "; ".join(filter(None, (against, marks.beside)))
    return Figure(value, people, note, interval(value, people, k, level) if 1 - value > 1e-12 else None)

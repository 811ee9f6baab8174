"""Whether counts agree with probabilities: chi-square with rare cells pooled, many tests by Holm's correction."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import ArrayLike
from scipy.stats import chi2

FAMILY = 0.001  # the chance that any test of a family fails although all is well
RARE = 5.0  # cells of a smaller expected count are pooled


def p_value(counts: ArrayLike, chances: ArrayLike) -> float:
    """The chance of counts as far off as these; 0 if something impossible was counted."""
    counts, chances = np.ravel(counts).astype(float), np.ravel(chances).astype(float)
    assert abs(chances.sum() - 1) < 1e-9
    if counts[chances < 1e-13].sum() > 0:
        return 0.0
    expected = chances * counts.sum()
    rare = expected < RARE
    counts = np.append(counts[~rare], counts[rare].sum())
    expected = np.append(expected[~rare], expected[rare].sum())
    if expected[-1] < RARE and len(expected) > 1:  # still rare: with the smallest of the others
        at = int(expected[:-1].argmin())
        expected[at] += expected[-1]
        counts[at] += counts[-1]
        counts, expected = counts[:-1], expected[:-1]
    if len(counts) < 2:
        return 1.0
    return float(chi2.sf(((counts - expected) ** 2 / expected).sum(), len(counts) - 1))


def refused(p_values: Mapping[object, float], family: float = FAMILY) -> dict[object, float]:
    """Those that Holm's step-down procedure (1979) refuses at this level for all of them together."""
    ordered = sorted(p_values.items(), key=lambda item: item[1])
    found = {}
    for place, (name, p) in enumerate(ordered):
        if p > family / (len(ordered) - place):
            break
        found[name] = p
    return found


def counted(sizes: Sequence[int], *columns: ArrayLike) -> np.ndarray:
    """How often each combination of states came up, shape ``sizes``."""
    flat = np.ravel_multi_index([np.asarray(column, dtype=int) for column in columns], tuple(sizes))
    return np.bincount(flat, minlength=int(np.prod(sizes))).reshape(tuple(sizes))

"""Stated confidence against what came true: Brier score with its parts, and logarithmic score."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from faultiso.assessment.statistics.figure import Figure, numbers, same_length
from faultiso.base.problems import UsageError
from faultiso.network.network import Array

Classes = tuple[Array, NDArray[np.int64]]

NOTHING_STATED = "no confidence was stated"


@dataclass(frozen=True, slots=True)
class Band:
    """Statements that lie together: how many, the mean probability stated, the share that came true."""

    count: int
    stated: float
    came_true: float


@dataclass(frozen=True, slots=True)
class BrierParts:
    """``score = reliability - resolution + uncertainty + within``. Reliability is small where things
    came true as often as was stated; resolution is large where statements told cases apart; uncertainty
    is the spread of the truth itself; ``within`` is 0 if every band holds one value, else what the bands
    smear."""

    reliability: float
    resolution: float
    uncertainty: float
    within: float
    bands: tuple[Band, ...]

    @property
    def score(self) -> float:
        return self.reliability - self.resolution + self.uncertainty + self.within


def brier(stated: Sequence[float | None], came_true: Sequence[bool]) -> Figure:
    """The mean squared distance of the stated probability from 1 (came true) or 0: 0 is best, 1 worst.

    This is the one-class form in use today, half of Brier's own for two classes. Statements that are
    None are left out. Raises UsageError for a probability outside 0 to 1. G. W. Brier, "Verification of
    forecasts expressed in terms of probability", Monthly Weather Review 78:1-3 (1950).
    """
    p, true = _pairs(stated, came_true)
    return Figure(float(((p - true) ** 2).mean()), len(p)) if len(p) else Figure(None, 0, NOTHING_STATED)


def brier_of_classes(stated: Sequence[Sequence[float]], true_class: Sequence[int]) -> Figure:
    """Brier's own form, summed over all classes: 0 is best, 2 worst. ``stated[case]``: a probability for
    each class, 1 in all; ``true_class``: its place, from 0. G. W. Brier 1950, as above."""
    p, true = _classes(stated, true_class)
    if not len(p):
        return Figure(None, 0, NOTHING_STATED)
    return Figure(float(((p - np.eye(p.shape[1])[true]) ** 2).sum(axis=1).mean()), len(p))


def log_score(stated: Sequence[float | None], came_true: Sequence[bool]) -> Figure:
    """The mean bits of surprise at what came true: -log2 of the probability that was stated for it.

    Who was certain and wrong has no finite score; that is said and nothing is cut off. Statements that are
    None are left out. I. J. Good, "Rational decisions", J. Royal Statistical Society B 14:107-114 (1952).
    """
    p, true = _pairs(stated, came_true)
    return _surprise(np.where(true > 0, p, 1.0 - p))


def log_score_of_classes(stated: Sequence[Sequence[float]], true_class: Sequence[int]) -> Figure:
    """``log_score`` for more than two classes; ``stated`` and ``true_class`` as in ``brier_of_classes``."""
    p, true = _classes(stated, true_class)
    return _surprise(p[np.arange(len(p)), true])


def _surprise(given: Array) -> Figure:
    if not len(given):
        return Figure(None, 0, NOTHING_STATED)
    wrong = int((given <= 0).sum())
    if wrong:
        return Figure(None, len(given), f"certain and wrong {wrong} of {len(given)} times: without limit")
    return Figure(max(0.0, float(-np.log2(given).mean())), len(given))


def brier_parts(
    stated: Sequence[float | None], came_true: Sequence[bool], edges: Sequence[float] = ()
) -> BrierParts | None:
    """The parts of ``brier``; None if nothing was stated. A band is one stated value, or with ``edges``
    (rising, 0 to 1) all from one edge up to but not the next.

    A. H. Murphy, "A new vector partition of the probability score", J. Applied Meteorology 12:595-600
    (1973); ``within``: D. B. Stephenson, C. A. S. Coelho and I. T. Jolliffe, "Two extra components in
    the Brier score decomposition", Weather and Forecasting 23:752-757 (2008).
    """
    p, true = _pairs(stated, came_true)
    if not len(p):
        return None
    _, place = np.unique(np.digitize(p, _rising(edges)) if len(edges) else p, return_inverse=True)
    counts = np.bincount(place)
    said, share = np.bincount(place, p) / counts, np.bincount(place, true) / counts
    base, weight = float(true.mean()), counts / len(p)
    spread, together = p - said[place], true - share[place]
    return BrierParts(
        reliability=float(weight @ (said - share) ** 2),
        resolution=float(weight @ (share - base) ** 2),
        uncertainty=base * (1 - base),
        within=float((spread**2).mean() - 2 * (spread * together).mean()),
        bands=tuple(Band(*row) for row in zip(counts.tolist(), said.tolist(), share.tolist(), strict=True)),
    )


def _rising(edges: Sequence[float]) -> Array:
    limits = numbers(edges, "edge", 0.0, 1.0)
    if np.isnan(limits).any() or (np.diff(limits) <= 0).any():
        raise UsageError("the edges of bands are rising numbers from 0 to 1")
    return limits


def _pairs(stated: Sequence[float | None], came_true: Sequence[bool]) -> tuple[Array, Array]:
    same_length(stated, came_true, "what was stated and what came true")
    p = numbers(stated, "stated probability", 0.0, 1.0)
    true = numbers(came_true, "what came true", 0.0, 1.0)
    p, true = p[~np.isnan(p)], true[~np.isnan(p)]
    if not np.isin(true, (0.0, 1.0)).all():
        raise UsageError("what came true is True or False for each statement")
    return p, true


def _classes(stated: Sequence[Sequence[float]], true_class: Sequence[int]) -> Classes:
    same_length(stated, true_class, "what was stated and what came true")
    wide = len(stated[0]) if len(stated) else 1
    rows = [numbers(row, f"statement {n}, probability", 0.0, 1.0) for n, row in enumerate(stated, 1)]
    for n, (row, true) in enumerate(zip(rows, true_class, strict=True), 1):
        if len(row) != wide or not abs(row.sum() - 1) <= 1e-6:
            raise UsageError(f"statement {n} needs {wide} probabilities that are 1 in all")
        if true not in range(wide):
            raise UsageError(f"statement {n}: class {true!r} is not one of 0 to {wide - 1}")
    return np.array(rows).reshape(len(rows), wide), np.array(true_class, dtype=np.int64)

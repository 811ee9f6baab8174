"""Information of checks about faults, from the covariances of faults and features."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log

import numpy as np
from numpy.typing import NDArray

from faultiso.engine.features import Reading
from faultiso.network.network import Array

SMALL = 1e-4
"""Relative change of a probability below which two terms of the series are exact to the last digit."""

TINY = 1e-300

NEVER = 1e-100
"""A probability below this is as good as zero: what it could add to any sum is lost in rounding."""

Index = NDArray[np.intp]
Round = tuple[Index, Index, Array]


@dataclass(frozen=True)
class Outcomes:
    """The outcomes of all checks as rows, those of check k being ``starts[k]`` to ``starts[k + 1]``.

    P(outcome) is ``constant`` plus, for each round (rows, features, weights), weight times E[feature].
    Only ``counted`` rows enter the gains: all of them, but for a check of two outcomes the second one, which
    then stands for both (``twofold``), as their changes are opposite. ``checks``: the check of counted rows.
    """

    starts: Index
    constant: Array
    rounds: tuple[Round, ...]
    counted: Index
    twofold: NDArray[np.bool_]
    checks: Index
    counted_rounds: tuple[Round, ...]

    def probabilities(self, mean: Array) -> Array:
        """P(outcome) of every row."""
        rows = self.constant.copy()
        for places, features, weights in self.rounds:
            rows[places] += mean[features] * weights
        return np.clip(rows, 0.0, 1.0)

    def shifts(self, covariance: Array) -> Array:
        """P(f, outcome) - P(f) P(outcome) of the counted rows, shape (counted, faults)."""
        across = np.ascontiguousarray(covariance.T)
        shift = np.zeros((len(self.counted), across.shape[1]))
        for places, features, weights in self.counted_rounds:
            if len(places) == len(shift):
                shift += across[features] * weights[:, None]
            else:
                shift[places] += across[features] * weights[:, None]
        return shift

    def by_check(self, rows: Array) -> tuple[Array, ...]:
        """A value of each row, taken apart by checks."""
        return tuple(rows[low:high] for low, high in zip(self.starts[:-1], self.starts[1:], strict=True))

    def gains(self, p_fault: Array, p_row: Array, covariance: Array) -> Array:
        """Sum over faults of I(fault; outcome) in bits, shape (checks,).

        I(f; c) = sum over o of P(o) KL( P(f|o) || P(f) ): terms that are never negative, so nothing cancels.
        """
        shift = self.shifts(covariance)
        p = p_row[self.counted]
        other = np.where(self.twofold, 1.0 - p, np.inf)
        terms = _information(shift, p, other, p_fault)
        return np.bincount(self.checks, weights=terms, minlength=len(self.starts) - 1) / log(2)


def list_outcomes(readings: Sequence[Reading]) -> Outcomes:
    """Everything about the readings that does not depend on evidence."""
    lengths = [len(reading.start) for reading in readings]
    starts = np.cumsum([0, *lengths])
    counted = [
        row
        for low, length in zip(starts, lengths, strict=False)
        for row in range(low + (length == 2), low + length)
    ]
    place = {row: number for number, row in enumerate(counted)}
    rounds = _rounds(readings, starts, {row: row for row in range(starts[-1])})
    return Outcomes(
        starts=starts,
        constant=np.concatenate([np.empty(0), *[reading.start for reading in readings]]),
        rounds=rounds,
        counted=np.array(counted, dtype=np.intp),
        twofold=np.repeat(np.array(lengths) == 2, [1 if length == 2 else length for length in lengths]),
        checks=np.repeat(np.arange(len(lengths)), [1 if length == 2 else length for length in lengths]),
        counted_rounds=_rounds(readings, starts, place),
    )


def _rounds(readings: Sequence[Reading], starts: Index, place: dict[int, int]) -> tuple[Round, ...]:
    """The first feature of every row, then the second of those that have one, and so on."""
    lists: list[list[tuple[int, int, float]]] = []
    for low, reading in zip(starts, readings, strict=False):
        for outcome in range(len(reading.start)):
            if low + outcome not in place:
                continue
            weights = reading.weights[:, outcome]
            used = [(f, w) for f, w in zip(reading.columns, weights, strict=True) if w != 0]
            for number, (feature, weight) in enumerate(used):
                if number == len(lists):
                    lists.append([])
                lists[number].append((place[low + outcome], feature, weight))
    return tuple(
        (
            np.array([row for row, _, _ in one], dtype=np.intp),
            np.array([feature for _, feature, _ in one], dtype=np.intp),
            np.array([weight for _, _, weight in one]),
        )
        for one in lists
    )


def _information(shift: Array, p: Array, other: Array, p_fault: Array) -> Array:
    """The sum over faults of each row's part of the information, in nats.

    Where the change is a small part of P(fault), a series: with d = shift / P(o) and v = P(f) (1 - P(f)),
    KL = d^2 / 2v - d^3 (1 - 2 P(f)) / 6v^2 to within d^4. Logarithms are taken for the rest alone.
    """
    open_rows = (p > NEVER) & (other > NEVER)
    spread = p_fault * (1.0 - p_fault)
    open_faults = spread > NEVER
    shift *= open_rows[:, None] & open_faults
    p, other = np.where(open_rows, p, 1.0), np.where(open_rows, other, 1.0)
    large = np.abs(shift) > SMALL * np.minimum(p, other)[:, None] * np.minimum(p_fault, 1.0 - p_fault)
    rows, faults = np.nonzero(large)
    logs = _logarithms(shift[rows, faults], p[rows], other[rows], p_fault[faults])
    shift[large] = 0.0
    inverse = np.divide(1.0, spread, out=np.zeros_like(spread), where=open_faults)
    square = np.square(shift)
    second = square @ inverse / 2 * (1 / p + 1 / other)
    square *= shift
    third = square @ ((1 - 2 * p_fault) * inverse**2) / 6 * (1 / p**2 - 1 / other**2)
    return np.asarray(np.bincount(rows, weights=logs, minlength=len(p)) + second - third)


def _logarithms(shift: Array, p: Array, other: Array, p_fault: Array) -> Array:
    """Of both outcomes where a row stands for two (``other`` is then finite)."""
    terms = _divergence(p_fault + shift / p, p_fault) * p
    both = np.isfinite(other)
    terms[both] += _divergence(p_fault[both] - shift[both] / other[both], p_fault[both]) * other[both]
    return terms


def _divergence(after: Array, before: Array) -> Array:
    """KL of two probabilities of one event, in nats; 0 log 0 is 0."""
    after = np.clip(after, 0.0, 1.0)
    other = 1.0 - after
    present = after * np.log(np.maximum(after, TINY) / before)
    absent = other * np.log(np.maximum(other, TINY) / (1.0 - before))
    return np.asarray(np.maximum(present + absent, 0.0))

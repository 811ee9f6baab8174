"""Information of checks about faults, from covariances."""

from __future__ import annotations

from collections.abc import Sequence
from math import log

import numpy as np

from faultiso.engine.features import Reading
from faultiso.network.network import Array

NEGLIGIBLE = 1e-19
"""Terms of the information that are provably below this (in nats) are taken as zero."""

TINY = 1e-300


def marginal_gains(
    p_fault: Array, p_outcome: Sequence[Array], covariance: Array, readings: Sequence[Reading]
) -> Array:
    """Sum over faults of the information between fault and outcome in bits, shape (checks,).

    I(f; c) = sum over o of P(o) KL( P(f|o) || P(f) ), terms that are never negative and at most
    shift^2 / (P(o) P(f) (1 - P(f))): logarithms are taken only where this bound matters.
    """
    starts = np.cumsum([0, *[len(p) for p in p_outcome]])
    p_row = np.concatenate([*p_outcome, np.empty(0)])
    shift = _shifts(covariance, readings, starts)
    rows, faults = _relevant(shift, p_row, p_fault)
    terms = _information(shift[rows, faults], p_row[rows], p_fault[faults])
    of_row = np.bincount(rows, weights=terms, minlength=len(p_row))
    totals = np.concatenate([[0.0], np.cumsum(of_row)])
    return (totals[starts[1:]] - totals[starts[:-1]]) / log(2)


def _shifts(covariance: Array, readings: Sequence[Reading], starts: Array) -> Array:
    """P(f, outcome) - P(f) P(outcome), shape (all outcomes of all checks, faults)."""
    across = np.ascontiguousarray(covariance.T)
    shift = np.zeros((starts[-1], covariance.shape[0]))
    single = [check for check, reading in enumerate(readings) if len(reading.columns) == 1]
    if single:
        lengths = [len(readings[check].start) for check in single]
        columns = np.repeat([readings[check].columns[0] for check in single], lengths)
        weights = np.concatenate([readings[check].weights[0] for check in single])
        rows = np.concatenate([np.arange(starts[check], starts[check + 1]) for check in single])
        shift[rows] = across[columns] * weights[:, None]
    for check, reading in enumerate(readings):
        if len(reading.columns) > 1:
            shift[starts[check] : starts[check + 1]] = reading.weights.T @ across[list(reading.columns)]
    return shift


def _relevant(shift: Array, p_row: Array, p_fault: Array) -> tuple[Array, Array]:
    bound = NEGLIGIBLE * np.maximum(p_row, TINY)[:, None] * (p_fault * (1 - p_fault))
    return np.nonzero(np.square(shift) > bound)


def _information(shift: Array, p_outcome: Array, p_fault: Array) -> Array:
    """P(o) KL( P(f|o) || P(f) ) in nats; 0 log 0 is 0."""
    after = np.clip(p_fault + shift / np.maximum(p_outcome, TINY), 0.0, 1.0)
    other = 1.0 - after
    present = after * np.log(np.maximum(after, TINY) / np.maximum(p_fault, TINY))
    absent = other * np.log(np.maximum(other, TINY) / np.maximum(1 - p_fault, TINY))
    return np.maximum(present + absent, 0.0) * p_outcome

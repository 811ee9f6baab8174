"""Every fault against every check in one pass over a calibrated tree.

A check is not in the network: it is a table P(outcome | parents) over variables of the tree. Its outcome is
a function of the parents, and a fault f and a feature u of the parents are independent given any separator S
between them, so that

    P(f, u) - P(f) P(u) = sum over S of P(f, S) (E[u | S] - E[u])

Matrices E[u | S] - E[u], one column for each feature that some check needs, are carried from clique to
clique (a matrix product for each edge and direction); one more product in the clique of a fault gives its
covariance with all features at once. Checks with the same parents share their features. Two parents that do
not lie in one clique need no common clique: given a clique between them they are independent, so there their
product is the product of the two single features.

The information that a check gives about each fault, added up, is its ``gain_bits_marginal``:
sum over f of H(f | e) - sum over outcomes o of P(o | e) sum over f of H(f | e, o).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from faultiso.engine.features import Features, Source, build_features
from faultiso.engine.gain import Outcomes, list_outcomes
from faultiso.engine.plan import Plan
from faultiso.engine.propagate import Propagation
from faultiso.engine.steps import Step, prepare_steps
from faultiso.network.network import Array


@dataclass(frozen=True)
class PairResult:
    """What each check would tell about each fault; ``p_fault`` (faults,) is P(present | e).

    ``p_outcome``: for each check an array of P(outcome | e). ``gain_bits_marginal``: shape (checks,).
    ``covariance``: (faults, features). Joints and posteriors are worked out when asked for.
    """

    p_fault: Array
    p_outcome: tuple[Array, ...]
    gain_bits_marginal: Array
    covariance: Array
    features: Features

    def shift(self, check: int) -> Array:
        """P(f present, outcome | e) - P(f present | e) P(outcome | e), shape (outcomes, faults)."""
        reading = self.features.readings[check]
        return np.asarray(reading.weights.T @ self.covariance[:, list(reading.columns)].T)

    def joint(self, check: int) -> Array:
        """P(f present, outcome | e), shape (outcomes, faults)."""
        return np.clip(self.shift(check) + self.p_outcome[check][:, None] * self.p_fault, 0.0, 1.0)

    def posterior(self, check: int) -> Array:
        """P(f present | e, outcome), shape (outcomes, faults); as before where the outcome is impossible."""
        p = self.p_outcome[check][:, None]
        shift = np.divide(self.shift(check), p, out=np.zeros((len(p), len(self.p_fault))), where=p > 0)
        return np.clip(self.p_fault + shift, 0.0, 1.0)


@dataclass(frozen=True)
class Moments:
    """P(fault present), E[feature] and their covariances (faults, features), given the evidence."""

    present: Array
    mean: Array
    covariance: Array


def mixture(moments: Sequence[Moments], logs: Array) -> Moments:
    """The moments over all cases from those in each case; ``logs``: log P(case, evidence)."""
    weights = np.exp(logs - logs.max()) if np.isfinite(logs.max()) else np.zeros(len(logs))
    weights /= weights.sum() or 1.0
    present = sum_of([w * one.present for w, one in zip(weights, moments, strict=True)])
    mean = sum_of([w * one.mean for w, one in zip(weights, moments, strict=True)])
    inside = [w * one.covariance for w, one in zip(weights, moments, strict=True)]
    between = [
        w * np.outer(one.present - present, one.mean - mean) for w, one in zip(weights, moments, strict=True)
    ]
    return Moments(present, mean, sum_of([*inside, *between]))


def sum_of(arrays: Sequence[Array]) -> Array:
    """The sum of arrays of one shape."""
    return np.asarray(np.sum(arrays, axis=0))


@dataclass(frozen=True)
class PairPlan:
    """A reusable preparation of ``rank_pairs`` for one plan, its faults and its checks."""

    plan: Plan
    faults: tuple[int, ...]
    features: Features
    outcomes: Outcomes
    steps: tuple[Step, ...]

    def run(self, calibrated: Propagation) -> PairResult:
        """All pairs, given one column of evidence."""
        return self.finish(self.moments(calibrated))

    def moments(self, calibrated: Propagation) -> Moments:
        """The matrices carried through the tree, up and down."""
        flow = _Flow(self, calibrated)
        for step in reversed(self.steps):
            flow.collect(step)
        for step in self.steps:
            flow.distribute(step)
        return Moments(flow.present, flow.mean, flow.covariance)

    def finish(self, moments: Moments) -> PairResult:
        """From features to the checks that look at them."""
        present = np.clip(moments.present, 0.0, 1.0)
        rows = self.outcomes.probabilities(moments.mean)
        gains = self.outcomes.gains(present, rows, moments.covariance)
        by_check = self.outcomes.by_check(rows)
        return PairResult(present, by_check, gains, moments.covariance, self.features)


def prepare_pairs(plan: Plan, faults: Sequence[int], sources: Sequence[Source]) -> PairPlan:
    """Everything about ``rank_pairs`` that does not depend on evidence.

    A fault is present in any state but the first. The parents of a check must be one variable, two variables,
    or a group that lies in one clique of ``plan``.
    """
    features = build_features(plan, sources)
    outcomes = list_outcomes(features.readings)
    return PairPlan(plan, tuple(faults), features, outcomes, prepare_steps(plan, faults, features))


def rank_pairs(calibrated: Propagation, faults: Sequence[int], sources: Sequence[Source]) -> PairResult:
    """P(outcome), P(fault, outcome) and the gain of each check, exactly, for one column of evidence."""
    return prepare_pairs(calibrated.plan, faults, sources).run(calibrated)


class _Flow:
    """The matrices on their way, for one evidence."""

    def __init__(self, prepared: PairPlan, calibrated: Propagation) -> None:
        self.plan = prepared.plan
        self.joints = [table[:, 0] for table in calibrated.joints]
        self.conditionals = [table[:, 0] for table in calibrated.conditionals]
        self.mean = np.zeros(prepared.features.count)
        self.linked = np.zeros(prepared.features.count)  # covariance of the two factors of a product
        self.present = np.zeros(len(prepared.faults))
        self.covariance = np.zeros((len(prepared.faults), prepared.features.count))
        self.inside: dict[int, Array] = {}  # E[u | clique] - E[u] for features of the subtree
        self.up: dict[int, Array] = {}  # the same given the separator
        self.down: dict[int, Array] = {}  # E[u | separator] - E[u] for all features, from the parent's side

    def collect(self, step: Step) -> None:
        """Features of the subtree, seen from the clique and then from its separator."""
        if step.high == step.low:
            return
        clique, joint = self.plan.cliques[step.clique], self.joints[step.clique]
        values = np.empty((len(joint), step.high - step.low))
        own = step.home.shape[1]
        if own:
            mean = joint @ step.home
            self.mean[step.low : step.low + own] = mean
            np.subtract(step.home, mean, out=values[:, :own])
        for child, low, high in step.feeding:
            self._spread(values[:, low - step.low : high - step.low], child, self.up[child])
        self._make(step, values, joint)
        self.inside[step.clique] = values
        if clique.parent >= 0:
            weights = self.conditionals[step.clique].reshape(clique.outer, 1, clique.inner)
            self.up[step.clique] = (weights @ values.reshape(clique.outer, clique.inner, -1))[:, 0, :]

    def _spread(self, values: Array, child: int, matrix: Array) -> None:
        """Write a matrix over a child's separator into ``values``, over the entries of its parent."""
        shape = self.plan.cliques[child].to_parent
        values.reshape(shape.shape + values.shape[1:])[...] = shape.up(matrix)

    def _make(self, step: Step, values: Array, joint: Array) -> None:
        """Products whose two factors meet here."""
        for product, left, right in step.made:
            one, other = values[:, left - step.low], values[:, right - step.low]
            linked = joint @ (one * other)
            self.linked[product] = linked
            self.mean[product] = self.mean[left] * self.mean[right] + linked
            values[:, product - step.low] = self._product(product, left, right, one, other)

    def _product(self, product: int, left: int, right: int, one: Array, other: Array) -> Array:
        """E[uv | clique] - E[uv] from the centred factors, independent given the clique."""
        crossed = self.mean[left] * other + self.mean[right] * one
        return np.asarray(one * other + crossed - self.linked[product])

    def distribute(self, step: Step) -> None:
        """All features seen from the clique; the faults at home here, then what the children need."""
        if step.leaf:
            self._leaf(step)
            return
        if not step.faults and not step.onward:
            return
        values = self._everything(step)
        joint = self.joints[step.clique]
        if step.pattern is not None:
            self._sum_at_once(step, step.pattern * joint, values)
        else:
            self._sum_one_by_one(step, joint, values)

    def _leaf(self, step: Step) -> None:
        """Only faults (and features of its own): no need to spread what comes in over the clique."""
        clique, joint = self.plan.cliques[step.clique], self.joints[step.clique]
        rows = list(step.faults)
        if not rows:
            return
        present = (joint.reshape(clique.outer, clique.inner) @ step.present).T
        self.present[rows] = present.sum(axis=1)
        self.covariance[rows] = present @ self.down.pop(step.clique)
        if step.high > step.low:
            here = np.tile(step.present, (clique.outer, 1)) * joint[:, None]
            self.covariance[rows, step.low : step.high] = here.T @ self.inside.pop(step.clique)

    def _everything(self, step: Step) -> Array:
        clique = self.plan.cliques[step.clique]
        inside = self.inside.pop(step.clique, None)
        if clique.parent < 0:
            return np.empty((clique.inner, 0)) if inside is None else inside
        outside = self.down.pop(step.clique)
        values = np.empty((clique.outer, clique.inner, outside.shape[1]))
        values[...] = outside[:, None, :]
        flat = values.reshape(clique.outer * clique.inner, outside.shape[1])
        if inside is not None:
            flat[:, step.low : step.high] = inside
        for product, left, right in step.crossed:
            flat[:, product] = self._product(product, left, right, flat[:, left], flat[:, right])
        return flat

    def _sum_at_once(self, step: Step, weights: Array, values: Array) -> None:
        sums, shares = weights @ values, weights.sum(axis=1)
        row = len(shares) - len(step.faults)
        if step.faults:
            rows = list(step.faults)
            self.present[rows] = shares[row:]
            self.covariance[rows] = sums[row:]
        means = sums[:row] / (shares + (shares == 0))[:row, None]
        row = 0
        for child, projection in step.onward:
            self.down[child] = means[row : row + projection.size]
            row += projection.size

    def _sum_one_by_one(self, step: Step, joint: Array, values: Array) -> None:
        values *= joint[:, None]
        if step.faults:
            rows = list(step.faults)
            self.present[rows] = joint @ step.present
            self.covariance[rows] = step.present.T @ values
        for child, projection in step.onward:
            share = projection.down(joint[:, None])
            self.down[child] = projection.down(values) / (share + (share == 0))

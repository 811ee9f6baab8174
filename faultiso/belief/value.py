"""What a check is worth: information about the set of faults, as bounds, and about each fault alone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from faultiso.belief.diagnoses import Columns
from faultiso.belief.scene import Asked, Scene
from faultiso.engine.propagate import propagate
from faultiso.network.builder import CONSTANT
from faultiso.network.network import Array


@dataclass(frozen=True)
class SignValue:
    """What is known about a sign before it is read.

    ``outcomes``: P(outcome | readings). ``gain_bits``: lower and upper bound of I(set of faults; outcome).
    ``gain_bits_marginal``: drop of the faults' summed binary entropies. ``given`` has shape (sets, outcomes):
    P(outcome | exactly this set of faults, readings).
    """

    name: str
    outcomes: Mapping[str, float]
    gain_bits: tuple[float, float]
    gain_bits_marginal: float
    given: Array


def entropy_bits(spread: Array) -> Array:
    """Entropy over the last axis, in bits; 0 log 0 is 0."""
    safe = np.where(spread > 0, spread, 1.0)
    return np.asarray(-(spread * np.log2(safe)).sum(axis=-1))


def outcomes_given_sets(asked: Asked, columns: Columns) -> Array:
    """P(outcome | set, readings), shape (sets, outcomes)."""
    if asked.variable == CONSTANT:
        return np.repeat(asked.chances[:1], len(columns.column), axis=0)
    return np.asarray(columns.marginal(asked.variable) @ asked.chances)


def gain_bounds(spread: Array, given: Array, posterior: Array) -> tuple[float, float]:
    """Bounds of I(set of faults; outcome | readings) from the evaluated sets.

    Upper: H(c|e) - sum P(F|e) H(c|F,e) over the evaluated sets. Lower: that less P(R|e) H(c|R,e), with R
    everything that was not evaluated: conditioning on the set within R can only lower the entropy.
    """
    upper = float(entropy_bits(spread) - posterior @ entropy_bits(given))
    rest = max(1.0 - float(posterior.sum()), 0.0)
    if rest < 1e-12:
        return max(upper, 0.0), max(upper, 0.0)
    of_rest = np.clip(spread - posterior @ given, 0.0, None)
    total = of_rest.sum()
    of_rest = of_rest / total if total > 0 else spread
    lower = upper - rest * float(entropy_bits(of_rest))
    return max(lower, 0.0), max(upper, 0.0)


def binary_entropy_bits(p: Array) -> Array:
    """Entropy of a yes/no variable, in bits."""
    return entropy_bits(np.stack([p, 1.0 - p], axis=-1))


def marginal_gains(scene: Scene) -> dict[str, float]:
    """Drop of the faults' summed binary entropies by each asked sign: one column for each outcome."""
    asked = [item for item in scene.asked.values() if item.variable != CONSTANT]
    gains = dict.fromkeys(scene.asked, 0.0)
    if not asked or not scene.faults:
        return gains
    columns = [weights for item in asked for weights in item.chances.T]
    wanted = [at.variable for at in scene.faults.values()]
    result = propagate(scene.plan, _columns(scene, asked), columns=len(columns) + 1, wanted=wanted)
    entropies = np.zeros(len(columns) + 1)
    for at in scene.faults.values():
        entropies += binary_entropy_bits(np.clip(at.present @ result.marginal(at.variable), 0.0, 1.0))
    chances = np.exp(result.log_evidence - result.log_evidence[-1])
    start = 0
    for item in asked:
        part = slice(start, start + len(item.outcomes))
        gains[item.name] = max(0.0, float(entropies[-1] - chances[part] @ entropies[part]))
        start = part.stop
    return gains


def _columns(scene: Scene, asked: Sequence[Asked]) -> dict[int, Array]:
    """Weights (states, columns): a column for each outcome of each asked sign, and a last one with none."""
    total = sum(len(item.outcomes) for item in asked) + 1
    found = {v: np.repeat(weights[:, None], total, axis=1) for v, weights in scene.evidence().items()}
    start = 0
    for item in asked:
        part = slice(start, start + len(item.outcomes))
        if item.variable not in found:
            found[item.variable] = np.ones((len(item.chances), total))
        found[item.variable][:, part] *= item.chances
        start = part.stop
    return found

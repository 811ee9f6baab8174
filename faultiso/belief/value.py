"""What a check is worth: information about the set of faults, as bounds, and about each fault alone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from faultiso.belief.diagnoses import Columns
from faultiso.belief.scene import Asked, Scene
from faultiso.engine.cutset import Mixture
from faultiso.engine.propagate import Propagation
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


@dataclass(frozen=True)
class OpenSign:
    """An unread sign as the leading sets of faults see it: enough to plan with, and quick to have.

    ``given`` (sets, outcomes): P(outcome | exactly this set of faults, readings). ``spread`` (outcomes,): its
    mixture over the leading sets. ``bits``: information about which of the leading sets it is.
    """

    name: str
    outcomes: tuple[str, ...]
    spread: Array
    given: Array
    bits: float


def open_signs(signs: Sequence[Asked], columns: Columns, posterior: Array) -> dict[str, OpenSign]:
    """Every asked sign, judged by columns in which all faults are known."""
    if not signs:
        return {}
    share = posterior / posterior.sum()
    found: dict[int, Array] = {CONSTANT: np.ones((len(columns.column), 1))}
    for variable in {sign.variable for sign in signs} - {CONSTANT}:
        found[variable] = columns.marginal(variable)
    given = [found[sign.variable] @ sign.chances for sign in signs]
    ends = np.cumsum([len(sign.outcomes) for sign in signs])
    starts = np.concatenate([[0], ends[:-1]])
    every = np.concatenate(given, axis=1)
    spread = share @ every
    inside = share @ np.add.reduceat(entropy_terms(every), starts, axis=1)
    bits = np.maximum(np.add.reduceat(entropy_terms(spread), starts) - inside, 0.0).tolist()
    return {
        sign.name: OpenSign(sign.name, sign.outcomes, spread[start:end], of_sets, gain)
        for sign, start, end, of_sets, gain in zip(signs, starts, ends, given, bits, strict=True)
    }


@dataclass(frozen=True)
class Table:
    """All asked signs side by side: outcomes in one long axis, each sign's part from ``starts`` on.

    ``spread`` (outcomes,): P(outcome | readings); ``given`` (sets, outcomes): P(outcome | set, readings).
    """

    signs: tuple[Asked, ...]
    starts: NDArray[np.intp]
    spread: Array
    given: Array

    def part(self, number: int) -> slice:
        """Where the outcomes of a sign are."""
        return slice(self.starts[number], self.starts[number] + len(self.signs[number].outcomes))


def table(signs: Sequence[Asked], now: Propagation | Mixture, columns: Columns) -> Table:
    """The table of asked signs; each variable that several signs read is looked up once."""
    found: dict[int, tuple[Array, Array]] = {CONSTANT: (np.ones(1), np.ones((len(columns.column), 1)))}
    for variable in {sign.variable for sign in signs} - {CONSTANT}:
        found[variable] = now.marginal(variable)[:, 0], columns.marginal(variable)
    sizes = [len(sign.outcomes) for sign in signs]
    return Table(
        signs=tuple(signs),
        starts=np.concatenate([[0], np.cumsum(sizes)[:-1]]).astype(np.intp),
        spread=np.concatenate([found[sign.variable][0] @ sign.chances for sign in signs]),
        given=np.concatenate([found[sign.variable][1] @ sign.chances for sign in signs], axis=1),
    )


def entropy_terms(p: Array) -> Array:
    """-p log2 p, entry by entry; 0 log 0 is 0."""
    return np.asarray(-p * np.log2(np.where(p > 0, p, 1.0)))


def entropy_bits(spread: Array) -> Array:
    """Entropy over the last axis, in bits."""
    return np.asarray(entropy_terms(spread).sum(axis=-1))


def gain_bounds(
    spread: Array, given: Array, posterior: Array, starts: NDArray[np.intp]
) -> tuple[Array, Array]:
    """Lower and upper bounds of I(set of faults; outcome | readings), one for each sign.

    Upper: H(c|e) - sum P(F|e) H(c|F,e) over the evaluated sets. Lower: that less P(R|e) H(c|R,e), with R
    everything that was not evaluated: conditioning on the set within R can only lower the entropy.
    Shapes: spread (outcomes,), given (sets, outcomes), posterior (sets,); ``starts`` of each sign's part.
    """

    def entropy(p: Array) -> Array:
        return np.asarray(np.add.reduceat(entropy_terms(p), starts, axis=-1))

    upper = entropy(spread) - posterior @ entropy(given)
    rest = max(1.0 - float(posterior.sum()), 0.0)
    of_rest = np.clip(spread - posterior @ given, 0.0, None)
    totals = np.add.reduceat(of_rest, starts)
    sizes = np.diff(np.append(starts, len(spread)))
    of_rest = of_rest / np.repeat(np.maximum(totals, 1e-300), sizes)
    lower = upper - rest * entropy(of_rest)
    return np.maximum(lower, 0.0), np.maximum(upper, 0.0)


def values_of(table: Table, posterior: Array, marginal: Mapping[str, float]) -> dict[str, SignValue]:
    """The value of every sign of the table."""
    lower, upper = gain_bounds(table.spread, table.given, posterior, table.starts)
    found = {}
    for number, sign in enumerate(table.signs):
        part = table.part(number)
        found[sign.name] = SignValue(
            name=sign.name,
            outcomes=dict(zip(sign.outcomes, table.spread[part].tolist(), strict=True)),
            gain_bits=(float(lower[number]), float(upper[number])),
            gain_bits_marginal=marginal[sign.name],
            given=table.given[:, part],
        )
    return found


def binary_entropy_bits(p: Array) -> Array:
    """Entropy of a yes/no variable, in bits."""
    return entropy_bits(np.stack([p, 1.0 - p], axis=-1))


def marginal_gains(scene: Scene, now: Propagation | Mixture) -> dict[str, float]:
    """Drop of the faults' summed binary entropies by each asked sign, for the scene's calibrated tree."""
    asked = [item for item in scene.asked.values() if item.variable != CONSTANT]
    gains = dict.fromkeys(scene.asked, 0.0)
    if not asked or not scene.faults:
        return gains
    if isinstance(now, Propagation) and all(at.is_plain for at in scene.faults.values()):
        found = scene.pairs(asked).run(now).gain_bits_marginal.tolist()
    else:  # faults that are states of one variable, or variables told in turn
        found = _gains_by_columns(scene, asked)
    return {**gains, **{item.name: gain for item, gain in zip(asked, found, strict=True)}}


def _gains_by_columns(scene: Scene, asked: Sequence[Asked]) -> list[float]:
    """The same by one column of evidence for each outcome of each sign."""
    columns = sum(len(item.outcomes) for item in asked) + 1
    wanted = [at.variable for at in scene.faults.values()]
    result = scene.run(_columns(scene, asked), columns=columns, wanted=wanted)
    entropies = np.zeros(columns)
    for at in scene.faults.values():
        entropies += binary_entropy_bits(np.clip(at.present @ result.marginal(at.variable), 0.0, 1.0))
    chances = np.exp(result.log_evidence - result.log_evidence[-1])
    gains, start = [], 0
    for item in asked:
        part = slice(start, start + len(item.outcomes))
        gains.append(max(0.0, float(entropies[-1] - chances[part] @ entropies[part])))
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

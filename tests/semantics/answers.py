"""What follows from readings, once every world is known: plain sums over the rows of a table."""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from faultiso.model.parts import Check, Indication
from faultiso.model.system import Model

Key = tuple[str, int]  # a sign and the moment at which it is looked at


@dataclass(frozen=True)
class Seen:
    """One reading: how well each outcome agrees with it (a hard reading: one outcome at 1)."""

    sign: str
    moment: int
    weights: Mapping[str, float] = field(hash=False)
    draw: int = 0


def hard(sign: str, outcome: str, moment: int = 0, draw: int = 0) -> Seen:
    return Seen(sign, moment, {outcome: 1.0}, draw)


@dataclass(frozen=True)
class Table:
    """Worlds side by side (those that look alike as one), and what follows from readings in them.

    ``probabilities`` has shape (worlds,), ``faults`` (worlds, faults in the model's order); ``now`` is the
    moment at which signs are asked about;
    ``truths[sign, moment]`` is the index of the true outcome in each world. Looks with an equal ``draws``
    entry are one and the same reading. ``errors[sign]`` is (true outcome, outcome read).
    """

    model: Model
    now: int
    probabilities: NDArray[np.float64]
    faults: NDArray[np.bool_]
    truths: Mapping[Key, NDArray[np.intp]]
    draws: Mapping[Key, Hashable]
    errors: Mapping[str, NDArray[np.float64]]

    def weigh(self, readings: Sequence[Seen], asked: str = "", outcome: str = "") -> NDArray[np.float64]:
        """P(world, readings), or P(world, readings, the asked sign read now shows the outcome)."""
        if asked:
            readings = [*readings, hard(asked, outcome, self.now)]
        joint = self.probabilities.copy()
        for looks in self._same(readings):
            first = looks[0]
            outcomes = self._sign(first.sign).outcomes
            fits = [math.prod(look.weights.get(o, 0.0) for look in looks) for o in outcomes]
            joint *= (self.errors[first.sign] @ np.array(fits))[self.truths[first.sign, first.moment]]
        return joint

    def evidence(self, readings: Sequence[Seen]) -> float:
        """P(readings)."""
        return float(self.weigh(readings).sum())

    def surprise(self, readings: Sequence[Seen]) -> float:
        """log2 of the product of the single readings' probabilities over that of all of them together."""
        singly = [self.evidence(looks) for looks in self._same(readings)]
        return math.log2(math.prod(singly) / self.evidence(readings))

    def error_chances(self, readings: Sequence[Seen]) -> dict[Seen, float]:
        """P(what was read is not the truth | all readings), of each reading; of looks that are one, the last."""
        total = self.evidence(readings)
        found = {}
        for looks in self._same(readings):
            last = looks[-1]
            others = [look for look in readings if look not in looks]
            names = self._sign(last.sign).outcomes
            fits = np.array([math.prod(look.weights.get(o, 0.0) for look in looks) for o in names])
            right = (np.diag(self.errors[last.sign]) * fits)[self.truths[last.sign, last.moment]]
            found[last] = 1 - float(self.weigh(others) @ right) / total
        return found

    def fault_chances(self, readings: Sequence[Seen]) -> dict[str, float]:
        joint = self.weigh(readings)
        chances = joint @ self.faults / joint.sum()
        return dict(zip(self.model.faults, chances.tolist(), strict=True))

    def set_chances(
        self, readings: Sequence[Seen], joint: NDArray[np.float64] | None = None
    ) -> dict[frozenset[str], float]:
        """P(exactly these faults are there now | readings)."""
        joint = self.weigh(readings) if joint is None else joint
        rows, row_of = np.unique(self.faults, axis=0, return_inverse=True)
        chances = np.bincount(row_of.ravel(), joint / joint.sum())
        names = list(self.model.faults)
        return {
            frozenset(name for name, there in zip(names, row, strict=True) if there): float(chance)
            for row, chance in zip(rows, chances, strict=True)
            if chance > 0
        }

    def outcome_chances(self, sign: str, readings: Sequence[Seen]) -> dict[str, float]:
        """P(the sign, read now, shows each outcome | readings)."""
        total = self.evidence(readings)
        outcomes = self._sign(sign).outcomes
        return {o: float(self.weigh(readings, sign, o).sum()) / total for o in outcomes}

    def gain(self, sign: str, readings: Sequence[Seen]) -> float:
        """I(set of faults; outcome | readings) in bits."""
        before = _entropy(self.set_chances(readings).values())
        after = 0.0
        for outcome, chance in self.outcome_chances(sign, readings).items():
            if chance > 0:
                joint = self.weigh(readings, sign, outcome)
                after += chance * _entropy(self.set_chances(readings, joint).values())
        return before - after

    def gain_marginal(self, sign: str, readings: Sequence[Seen]) -> float:
        """The expected drop of the faults' summed binary entropies, in bits."""
        before = sum(_binary(p) for p in self.fault_chances(readings).values())
        after = 0.0
        for outcome, chance in self.outcome_chances(sign, readings).items():
            if chance > 0:
                joint = self.weigh(readings, sign, outcome)
                after += chance * sum(_binary(float(p)) for p in joint @ self.faults / joint.sum())
        return before - after

    def joint_gain(self, patterns: Sequence[Sequence[Seen]], readings: Sequence[Seen]) -> float:
        """I(set of faults; which of the patterns is seen, or none of them | readings) in bits."""
        joints = [self.weigh([*readings, *pattern]) for pattern in patterns]
        joints.append(self.weigh(readings) - sum(joints))
        total = self.evidence(readings)
        after = sum(
            float(joint.sum()) / total * _entropy(self.set_chances(readings, joint).values())
            for joint in joints
            if joint.sum() > 1e-12 * total
        )
        return _entropy(self.set_chances(readings).values()) - after

    def _sign(self, name: str) -> Indication | Check:
        return self.model.indications.get(name) or self.model.checks[name]

    def _same(self, readings: Sequence[Seen]) -> list[list[Seen]]:
        groups: dict[Hashable, list[Seen]] = {}
        for look in readings:
            key = (look.sign, self.draws[look.sign, look.moment], look.draw)
            groups.setdefault(key, []).append(look)
        return list(groups.values())


def _entropy(chances: Iterable[float]) -> float:
    return -math.fsum(p * math.log2(p) for p in chances if p > 0)


def _binary(p: float) -> float:
    return _entropy((p, 1 - p))

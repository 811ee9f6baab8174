"""The numbers of one scene, each computed when it is first asked for."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from faultiso.belief.diagnoses import Columns, Listed, evaluate
from faultiso.belief.scene import FaultAt, Folded, Scene
from faultiso.belief.value import SignValue, marginal_gains, table, values_of
from faultiso.engine.cutset import Mixture
from faultiso.engine.propagate import Propagation
from faultiso.network.builder import CONSTANT
from faultiso.network.network import Array


@dataclass(frozen=True)
class SceneBelief:
    """The numbers of one scene. All scenes of one belief agree on faults and P(readings)."""

    scene: Scene

    @cached_property
    def propagation(self) -> Propagation | Mixture:
        wanted = [at.variable for at in self.scene.faults.values()]
        wanted += [asked.variable for asked in self.scene.asked.values() if asked.variable != CONSTANT]
        return self.scene.run(self.scene.evidence(), columns=1, wanted=wanted)

    @cached_property
    def log_evidence(self) -> float:
        """Natural logarithm of P(readings); minus infinity if they contradict each other."""
        constant = self.scene.constant_weight
        if constant <= 0:
            return -math.inf
        return float(self.propagation.log_evidence[0]) + math.log(constant)

    @property
    def possible(self) -> bool:
        return self.log_evidence > -math.inf

    @cached_property
    def posteriors(self) -> dict[str, float]:
        """P(fault present | readings) of every fault."""
        found = dict(self.scene.free)
        for name, at in self.scene.faults.items():
            found[name] = float(at.present @ self.propagation.marginal(at.variable)[:, 0])
        return found

    def chance_of_none(self, faults: Mapping[str, FaultAt]) -> float:
        """P(none of the faults is present | readings), for faults of the scene."""
        likelihoods: dict[int, Array] = dict(self.scene.evidence())
        for at in faults.values():
            likelihoods[at.variable] = likelihoods.get(at.variable, 1.0) * (1.0 - at.present)
        log_joint = float(self.scene.run(likelihoods, columns=1, wanted=()).log_evidence[0])
        return math.exp(log_joint - float(self.propagation.log_evidence[0]))

    def chance_of_each_reading(self) -> list[float]:
        """P(reading) of each folded reading on its own."""
        wanted = sorted({item.variable for item in self.scene.folded} - {CONSTANT})
        prior = self.scene.run({}, columns=1, wanted=wanted)
        return [
            float(item.weights[0])
            if item.variable == CONSTANT
            else float(item.weights @ prior.marginal(item.variable)[:, 0])
            for item in self.scene.folded
        ]

    def chance_of_error(self) -> list[float]:
        """P(this reading is a misreading or a reading error | all readings), for each folded reading."""
        count = len(self.scene.folded)
        columns = self._each_changed([item.weights_if_right for item in self.scene.folded])
        logs = self.scene.run(columns, columns=count + 1, wanted=()).log_evidence
        found = []
        for place, item in enumerate(self.scene.folded):
            if item.variable == CONSTANT:
                right = float(item.weights_if_right[0] / item.weights[0])
            else:
                right = math.exp(logs[place + 1] - logs[0])
            found.append(min(1.0, max(0.0, 1.0 - right)))
        return found

    def _each_changed(self, instead: Sequence[Array]) -> dict[int, Array]:
        """The evidence as it is, then once for each folded reading with other weights in its place.

        Shape (states, 1 + readings) for each variable with evidence.
        """
        of_variable: dict[int, list[int]] = {}
        for place, item in enumerate(self.scene.folded):
            of_variable.setdefault(item.variable, []).append(place)
        of_variable.pop(CONSTANT, None)
        columns = {}
        for variable, places in of_variable.items():
            weights = [self.scene.folded[place].weights for place in places]
            table = np.repeat(np.prod(weights, axis=0)[:, None], len(self.scene.folded) + 1, axis=1)
            for number, place in enumerate(places):
                others = np.prod([*weights[:number], *weights[number + 1 :], instead[place]], axis=0)
                table[:, place + 1] = others
            columns[variable] = table
        return columns

    def possible_with(self, kept: Sequence[int]) -> bool:
        """Whether the folded readings at these places can all be right together."""
        dropped = [i for i in range(len(self.scene.folded)) if i not in kept]
        if any(
            self.scene.folded[i].variable == CONSTANT and self.scene.folded[i].weights[0] <= 0 for i in kept
        ):
            return False
        result = self.scene.run(self.scene.evidence(dropped), columns=1, wanted=())
        return float(result.log_evidence[0]) > -math.inf

    def leave_each_out(self) -> Left:
        """One column with all readings and one with each folded reading left out."""
        count = len(self.scene.folded)
        columns = self._each_changed([np.ones_like(item.weights) for item in self.scene.folded])
        names = list(self.scene.faults)
        wanted = [self.scene.faults[name].variable for name in names]
        result = self.scene.run(columns, columns=count + 1, wanted=wanted)
        chances = [
            self.scene.faults[n].present @ result.marginal(v) for n, v in zip(names, wanted, strict=True)
        ]
        log_odds = dict(zip(names, decibans(np.array(chances)).tolist(), strict=True))
        free = {name: float(decibans(np.array(p))) for name, p in self.scene.free.items()}
        return Left(
            folded=self.scene.folded,
            all_readings={**free, **{name: row[0] for name, row in log_odds.items()}},
            without={
                **{name: (value,) * count for name, value in free.items()},
                **{name: tuple(row[1:]) for name, row in log_odds.items()},
            },
        )

    def columns(self, sets: Sequence[frozenset[str]]) -> Columns:
        """What this scene says about each set of faults, asked signs included."""
        wanted = sorted({asked.variable for asked in self.scene.asked.values()} - {CONSTANT})
        return evaluate(self.scene, float(self.propagation.log_evidence[0]), sets, wanted)

    def values(self, listed: Listed) -> dict[str, SignValue]:
        """What each asked sign is worth, by the listed sets of faults."""
        if not self.scene.asked:
            return {}
        signs = table(tuple(self.scene.asked.values()), self.propagation, self.columns(listed.sets))
        return values_of(signs, listed.posterior, marginal_gains(self.scene, self.propagation))


@dataclass(frozen=True)
class Left:
    """Log odds of each fault with all readings and with each folded reading left out, in decibans."""

    folded: tuple[Folded, ...]
    all_readings: Mapping[str, float]
    without: Mapping[str, tuple[float, ...]]


def decibans(p: Array) -> Array:
    """10 log10 of the odds (Good 1950); certainty is shown as 200."""
    inside = np.clip(p, 1e-20, 1.0)
    return np.asarray(
        np.clip(10.0 * (np.log10(inside) - np.log10(np.clip(1.0 - inside, 1e-20, 1.0))), -200.0, 200.0)
    )

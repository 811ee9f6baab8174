"""A change of conditions as a way to learn: what all the indications then show together.

The patterns of outcomes are expanded one indication at a time, the likely ones first; what is pruned is
reported as mass. P(pattern | set of faults, readings) is exact for every pattern that is kept.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from faultiso.belief.belief import Belief
from faultiso.belief.diagnoses import evaluate
from faultiso.belief.scene import Asked, Scene
from faultiso.belief.value import gain_bounds
from faultiso.model.effort import Step, steps_between
from faultiso.network.builder import CONSTANT
from faultiso.network.network import Array

MOST_SETS = 48  # likeliest sets of faults by which patterns are judged
MOST_PATTERNS = 24
MOST_ENTRIES = 150_000  # of the tables with all faults known; a situation with more is passed over
MOST_INDICATIONS = 6
LEAST_GAIN = 0.01  # bits below which an indication is not part of the pattern
LEAST_MASS = 0.004  # probability below which a pattern is pruned


@dataclass(frozen=True)
class Look:
    """What looking at everything in a situation is worth.

    ``patterns``: outcomes by indication; ``spread`` (patterns + 1,): P(pattern | readings), last all other
    patterns together; ``of_sets`` (sets, patterns + 1): the same given each set of faults at ``places`` of
    the belief's leading sets. ``pruned``: probability of patterns not followed up. ``gain_bits``: about the
    set of faults, the other patterns taken as one outcome.
    """

    situation: str
    minutes: float
    steps: tuple[Step, ...]
    indications: tuple[str, ...]
    patterns: tuple[Mapping[str, str], ...]
    places: tuple[int, ...]
    spread: Array
    of_sets: Array
    gain_bits: tuple[float, float]

    @property
    def pruned(self) -> float:
        return float(self.spread[-1])

    def given(self, places: Sequence[int]) -> Array:
        """P(pattern | set) for sets by their places; those that were not judged as all sets together."""
        row = {place: i for i, place in enumerate(self.places)}
        return np.array([self.of_sets[row[place]] if place in row else self.spread for place in places])


def looks(belief: Belief, most: int | None = None) -> tuple[Look, ...]:
    """Every other situation that can be reached, best first by bits a minute; at most ``most`` of them.

    Only columns in which all faults are known are computed, so that no large tree is needed; a situation that
    takes long to reason about even so is passed over: whoever waits has other things to do.
    """
    current = dict(belief.timeline.moments[-1].conditions)
    judge = _Judge(belief)
    found = []
    for situation in belief.model.situations.values():
        way = steps_between(belief.model, current, situation.values)
        if way is None or not way[0]:
            continue
        scene = belief.scene_of_indications(way[1]).scene
        if not scene.fits(given_faults=True) or scene.plan_given_faults.entries > MOST_ENTRIES:
            continue
        gains = judge.gains(scene)
        minutes = sum(step.change.minutes for step in way[0])
        found.append((sum(gains.values()) / (minutes + 1.0), situation.name, way[0], scene, gains))
    found.sort(key=lambda item: (-item[0], item[1]))
    return tuple(judge.look(name, steps, scene, gains) for _, name, steps, scene, gains in found[:most])


class _Judge:
    """Judges situations by the likeliest sets of faults of one belief."""

    def __init__(self, belief: Belief) -> None:
        self.sets = belief.leading.sets[:MOST_SETS]
        self.places = tuple(range(len(self.sets)))
        self.posterior = belief.leading.posterior[:MOST_SETS]
        self.log_evidence = belief.now.log_evidence

    def given(self, scene: Scene, sign: Asked) -> Array:
        """P(outcome | set, what the scene has read), shape (sets, outcomes)."""
        columns = evaluate(scene, self.log_evidence, self.sets, (sign.variable,))
        return np.asarray(columns.marginal(sign.variable) @ sign.chances)

    def gains(self, scene: Scene) -> dict[str, float]:
        """Bits of each indication about the set of faults, among the judged sets."""
        asked = [sign for sign in scene.asked.values() if sign.variable != CONSTANT]
        if not asked:
            return {}
        columns = evaluate(scene, self.log_evidence, self.sets, [sign.variable for sign in asked])
        share = self.posterior / self.posterior.sum()
        found = {}
        for sign in asked:
            given = columns.marginal(sign.variable) @ sign.chances
            found[sign.name] = _bounds(share @ given, given, share)[1]
        return found

    def look(self, situation: str, steps: tuple[Step, ...], scene: Scene, gains: Mapping[str, float]) -> Look:
        """The patterns of one situation."""
        names = [name for name, bits in gains.items() if bits >= LEAST_GAIN]
        names.sort(key=lambda name: -gains[name])
        asked = [scene.asked[name] for name in names[:MOST_INDICATIONS]]
        patterns: list[dict[str, str]] = [{}]
        joint = self.posterior[:, None]
        for sign in asked:
            patterns, joint = self._extended(scene, patterns, joint, asked, sign)
        spread = _with_others(joint.sum(axis=0) / self.posterior.sum())
        of_sets = _with_others(joint / np.maximum(self.posterior[:, None], 1e-300))
        return Look(
            situation=situation,
            minutes=sum(step.change.minutes for step in steps),
            steps=steps,
            indications=tuple(sign.name for sign in asked),
            patterns=tuple(patterns),
            places=self.places,
            spread=spread,
            of_sets=of_sets,
            gain_bits=_bounds(spread, of_sets, self.posterior),
        )

    def _extended(
        self,
        scene: Scene,
        patterns: list[dict[str, str]],
        joint: Array,
        asked: Sequence[Asked],
        sign: Asked,
    ) -> tuple[list[dict[str, str]], Array]:
        """Every pattern with every outcome of one more indication; improbable ones are pruned."""
        blocks = [
            joint[:, [number]] * self.given(_with_pattern(scene, pattern, asked), sign)
            for number, pattern in enumerate(patterns)
        ]
        longer = [{**pattern, sign.name: outcome} for pattern in patterns for outcome in sign.outcomes]
        all_joint = np.concatenate(blocks, axis=1)
        mass = all_joint.sum(axis=0)
        order = np.argsort(-mass, kind="stable")[:MOST_PATTERNS]
        kept = [int(i) for i in order if mass[i] >= LEAST_MASS] or [int(order[0])]
        return [longer[i] for i in kept], all_joint[:, kept]


def _with_others(chances: Array) -> Array:
    """One more entry on the last axis: what is missing to one."""
    rest = np.maximum(0.0, 1.0 - chances.sum(axis=-1, keepdims=True))
    return np.concatenate([chances, rest], axis=-1)


def _with_pattern(scene: Scene, pattern: Mapping[str, str], asked: Sequence[Asked]) -> Scene:
    """The scene with the outcomes of a pattern as if they had been read."""
    return scene.with_readings(
        [(sign, sign.outcomes.index(pattern[sign.name])) for sign in asked if sign.name in pattern]
    )


def _bounds(spread: Array, given: Array, posterior: Array) -> tuple[float, float]:
    """Bounds for one sign."""
    lower, upper = gain_bounds(spread, given, posterior, np.zeros(1, dtype=np.intp))
    return float(lower[0]), float(upper[0])

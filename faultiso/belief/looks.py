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
from faultiso.belief.scene_belief import SceneBelief
from faultiso.belief.value import gain_bounds
from faultiso.model.effort import Step, steps_between
from faultiso.network.builder import CONSTANT
from faultiso.network.network import Array

MOST_SETS = 48  # likeliest sets of faults by which patterns are judged
MOST_PATTERNS = 24
MOST_INDICATIONS = 6
LEAST_GAIN = 0.01  # bits below which an indication is not part of the pattern
LEAST_MASS = 0.004  # probability below which a pattern is pruned


@dataclass(frozen=True)
class Look:
    """What looking at everything in a situation is worth.

    ``patterns``: outcomes by indication; ``joint`` (sets, patterns) is P(set, pattern | readings) for the
    sets at ``places`` of the belief's list; ``pruned``: probability of the patterns not followed up.
    """

    situation: str
    minutes: float
    steps: tuple[Step, ...]
    indications: tuple[str, ...]
    patterns: tuple[Mapping[str, str], ...]
    places: tuple[int, ...]
    joint: Array
    pruned: float
    gain_bits: tuple[float, float]


def looks(belief: Belief, most: int | None = None) -> tuple[Look, ...]:
    """Every other situation that can be reached, best first by bits a minute; ``most`` limits the exact ones."""
    current = dict(belief.timeline.moments[-1].conditions)
    found = []
    for situation in belief.model.situations.values():
        way = steps_between(belief.model, current, situation.values)
        if way is None or not way[0]:
            continue
        scene = belief.scene_of_indications(way[1])
        values = scene.values(belief.listed)
        worth = sum(value.gain_bits[1] for value in values.values())
        minutes = sum(step.change.minutes for step in way[0])
        found.append((worth / (minutes + 1.0), situation.name, way[0], scene))
    found.sort(key=lambda item: (-item[0], item[1]))
    return tuple(_look(belief, name, steps, scene) for _, name, steps, scene in found[:most])


def _look(belief: Belief, situation: str, steps: tuple[Step, ...], scene: SceneBelief) -> Look:
    places = np.argsort(-belief.listed.posterior, kind="stable")[:MOST_SETS]
    sets = [belief.listed.sets[i] for i in places]
    posterior = belief.listed.posterior[places]
    asked = _informative(belief, scene)
    patterns: list[dict[str, str]] = [{}]
    joint = posterior[:, None]
    pruned = 0.0
    for sign in asked:
        patterns, joint, lost = _extended(scene, sets, patterns, joint, asked, sign)
        pruned += lost
    chances = joint.sum(axis=0)
    given = joint / np.maximum(posterior[:, None], 1e-300)
    spread = np.append(chances, max(0.0, 1.0 - chances.sum()))
    given = np.concatenate([given, np.maximum(0.0, 1.0 - given.sum(axis=1, keepdims=True))], axis=1)
    return Look(
        situation=situation,
        minutes=sum(step.change.minutes for step in steps),
        steps=steps,
        indications=tuple(sign.name for sign in asked),
        patterns=tuple(patterns),
        places=tuple(places.tolist()),
        joint=joint,
        pruned=pruned,
        gain_bits=_bounds(spread, given, posterior),
    )


def _informative(belief: Belief, scene: SceneBelief) -> list[Asked]:
    values = scene.values(belief.listed)
    names = [name for name, value in values.items() if value.gain_bits[1] >= LEAST_GAIN]
    names.sort(key=lambda name: -values[name].gain_bits[1])
    chosen = [scene.scene.asked[name] for name in names[:MOST_INDICATIONS]]
    return [sign for sign in chosen if sign.variable != CONSTANT]


def _extended(
    scene: SceneBelief,
    sets: Sequence[frozenset[str]],
    patterns: list[dict[str, str]],
    joint: Array,
    asked: Sequence[Asked],
    sign: Asked,
) -> tuple[list[dict[str, str]], Array, float]:
    """Every pattern with every outcome of one more indication; improbable ones are pruned."""
    blocks = []
    for number, pattern in enumerate(patterns):
        columns = evaluate(
            _with_pattern(scene.scene, pattern, asked), scene.log_evidence, sets, (sign.variable,)
        )
        blocks.append(joint[:, [number]] * (columns.marginal(sign.variable) @ sign.chances))
    longer = [{**pattern, sign.name: outcome} for pattern in patterns for outcome in sign.outcomes]
    all_joint = np.concatenate(blocks, axis=1)
    mass = all_joint.sum(axis=0)
    order = np.argsort(-mass, kind="stable")[:MOST_PATTERNS]
    kept = [int(i) for i in order if mass[i] >= LEAST_MASS] or [int(order[0])]
    return [longer[i] for i in kept], all_joint[:, kept], float(mass.sum() - mass[kept].sum())


def _with_pattern(scene: Scene, pattern: Mapping[str, str], asked: Sequence[Asked]) -> Scene:
    """The scene with the outcomes of a pattern as if they had been read."""
    return scene.with_readings(
        [(sign, sign.outcomes.index(pattern[sign.name])) for sign in asked if sign.name in pattern]
    )


def _bounds(spread: Array, given: Array, posterior: Array) -> tuple[float, float]:
    lower, upper = gain_bounds(spread, given, posterior, np.zeros(1, dtype=np.intp))
    return float(lower[0]), float(upper[0])

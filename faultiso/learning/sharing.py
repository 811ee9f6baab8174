"""How far figures share in explaining the same rows: the joint information, and the variance it leaves each.

The observed information is what complete rows would give less what is not known of them (T. A. Louis, JRSS B
44:226-233, 1982). Off the diagonal complete rows give nothing, so what is left is minus the covariance of the
figures' events given each row: worked out exactly, one column for every event that a row leaves open.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from faultiso.learning.climbing import Place
from faultiso.learning.posterior import information
from faultiso.learning.problem import Problem
from faultiso.learning.scenes import Expected, Only, Scene
from faultiso.network.network import Array

Flags = NDArray[np.bool_]

OPEN = 0.004  # chances nearer to 0, to 1 or to what was known before are not worth a column
BLOCK = 20_000  # columns worked out together
LEAST = 0.05  # of the variance that a figure alone has, what its independent part may shrink to


@dataclass(frozen=True)
class Shared:
    """``alone`` (figures,): the variance of x with all others held; ``stretch``: by how much more each
    spreads when they are not, in standard deviations; ``correlation`` (figures, figures)."""

    alone: Array
    stretch: Array
    correlation: Array


def shared(problem: Problem, place: Place) -> Shared:
    """The joint spread of all figures about the top."""
    alone = np.array(
        [
            information(prior, said, float(x))
            for prior, said, x in zip(problem.priors, place.said, place.x, strict=True)
        ]
    )
    joint = np.diag(alone) - _covariances(problem, place)
    scale = np.sqrt(np.outer(alone, alone))
    values, vectors = np.linalg.eigh(joint / scale)
    inverse = (vectors / np.maximum(values, LEAST)) @ vectors.T
    factor = np.maximum(np.diag(inverse), 1.0)
    correlation = inverse / np.sqrt(np.outer(np.diag(inverse), np.diag(inverse)))
    return Shared(1.0 / alone, np.sqrt(factor), correlation)


def _covariances(problem: Problem, place: Place) -> Array:
    """Sum over the rows of the covariance of the scores of each two figures, given the row."""
    values = problem.values_of(place.x)
    chances, bends = problem.chances(values), problem.bends(values)
    found = np.zeros((len(chances), len(chances)))
    for scene, times in zip(problem.scenes, problem.times, strict=True):
        if scene.events:
            _add_scene(found, scene, times, values, chances, bends)
    np.fill_diagonal(found, 0.0)
    return found


def _add_scene(found: Array, scene: Scene, times: Array, values: Array, chances: Array, bends: Array) -> None:
    figure = np.array([event.figure for event in scene.events])
    chance, bend = chances[figure][:, None], bends[figure][:, None]
    now = scene.expect(values)

    def scores(expected: Expected) -> Array:
        return np.asarray(bend * (expected.happened - chance * (expected.happened + expected.failed)))

    before = scores(now)
    open_ = _open(now, chance, times)
    only = [Only(int(c), int(e), True) for e, c in zip(*np.nonzero(open_), strict=True)]
    only += [Only(o.row, o.event, False) for o in only if scene.events[o.event].look >= 0]
    together = _same_root(scene)
    for start in range(0, len(only), BLOCK):
        some = only[start : start + BLOCK]
        columns = np.array([each.row for each in some])
        events = np.array([each.event for each in some])
        happened = np.array([each.happened for each in some])
        moved = scores(scene.expect(values, some)) - before[:, columns]
        share = np.where(happened, now.happened[events, columns], now.failed[events, columns])
        of_root = np.array([scene.events[e].look < 0 for e in events])
        factor = np.where(of_root, 1.0, np.where(happened, 1 - chance[events, 0], -chance[events, 0]))
        weight = times[columns] * share * factor * bend[events, 0]
        moved = np.where(open_[:, columns] & ~together[:, events], moved, 0.0) * weight
        np.add.at(
            found,
            (figure[events][None, :].repeat(len(figure), 0), figure[:, None].repeat(len(some), 1)),
            moved,
        )


def _open(now: Expected, chance: Array, times: Array) -> Flags:
    """Events of which a row says something, but not everything."""
    happened, failed = now.happened, now.failed
    news = np.abs(happened - chance * (happened + failed))
    return np.asarray((happened > OPEN) & (happened < 1 - OPEN) & (news > OPEN * chance) & (times > 0))


def _same_root(scene: Scene) -> Flags:
    """Levels of one cause: the chance of each and how the others share the rest are independent."""
    roots = np.array(
        [event.variable if event.look < 0 else -2 - place for place, event in enumerate(scene.events)]
    )
    return np.asarray(roots[:, None] == roots[None, :])

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
    joint = np.diag(alone) + _off_diagonal(problem, place)
    values, vectors = np.linalg.eigh(joint / np.sqrt(np.outer(alone, alone)))
    inverse = (vectors / np.maximum(values, LEAST)) @ vectors.T
    own = np.diag(inverse)
    return Shared(1.0 / alone, np.sqrt(np.maximum(own, 1.0)), inverse / np.sqrt(np.outer(own, own)))


def _off_diagonal(problem: Problem, place: Place) -> Array:
    """What complete rows would give, less the covariances of what is not known of them."""
    values = problem.values_of(place.x)
    score = _Score(values, problem.chances(values), problem.bends(values))
    found = np.zeros((len(values), len(values)))
    for scene, times in zip(problem.scenes, problem.times, strict=True):
        if scene.events:
            found -= _covariances(scene, times, score)
    if problem.model.one_fault:
        shares = np.where(problem.rates, score.chances * score.bends, 0.0)
        found -= sum(float(times.sum()) for times in problem.times) * np.outer(shares, shares)
    np.fill_diagonal(found, 0.0)
    return found


@dataclass(frozen=True)
class _Score:
    """The derivative by x of what complete rows would say, at the figures' ``values``."""

    values: Array
    chances: Array
    bends: Array

    def of(self, scene: Scene, expected: Expected) -> Array:
        """Expected, for each event of a scene (events, columns)."""
        figure = [event.figure for event in scene.events]
        chance, bend = self.chances[figure][:, None], self.bends[figure][:, None]
        return np.asarray(bend * (expected.happened - chance * (expected.happened + expected.failed)))


def _covariances(scene: Scene, times: Array, score: _Score) -> Array:
    """Sum over a scene's rows of the covariance of the scores of each two figures, given the row."""
    now = scene.expect(score.values)
    before = score.of(scene, now)
    figure = np.array([event.figure for event in scene.events])
    open_ = _open(now, score.chances[figure][:, None], times)
    only, apart = _told(scene, open_), _other_root(scene)
    found = np.zeros((len(score.values), len(score.values)))
    for start in range(0, len(only), BLOCK):
        some = only[start : start + BLOCK]
        rows = np.array([each.row for each in some])
        events = np.array([each.event for each in some])
        moved = score.of(scene, scene.expect(score.values, some)) - before[:, rows]
        counted = open_[:, rows] & apart[:, events]
        weight = times[rows] * np.array([_weight(scene, now, score, each) for each in some])
        by_event = np.zeros((len(figure), len(figure)))
        np.add.at(by_event.T, events, (np.where(counted, moved, 0.0) * weight).T)
        np.add.at(found, (figure[:, None], figure[None, :]), by_event)
    return found


def _told(scene: Scene, open_: Flags) -> list[Only]:
    """A column for each event that a row leaves open; of a check's error another, in which there was none."""
    told = [Only(int(row), int(event)) for event, row in zip(*np.nonzero(open_), strict=True)]
    return told + [Only(o.row, o.event, False) for o in told if scene.events[o.event].look >= 0]


def _weight(scene: Scene, now: Expected, score: _Score, only: Only) -> float:
    """The event's part of its own score, times the chance of what is told."""
    event = scene.events[only.event]
    chance, bend = score.chances[event.figure], score.bends[event.figure]
    share = (now.happened if only.happened else now.failed)[only.event, only.row]
    part = 1.0 if event.look < 0 else 1.0 - chance if only.happened else -chance
    return float(bend * part * share)


def _open(now: Expected, chance: Array, times: Array) -> Flags:
    """Events of which a row says something, but not everything."""
    happened, failed = now.happened, now.failed
    news = np.abs(happened - chance * (happened + failed))
    return np.asarray((happened > OPEN) & (happened < 1 - OPEN) & (news > OPEN * chance) & (times > 0))


def _other_root(scene: Scene) -> Flags:
    """Events of different draws. Of one draw, the chance of a level and how the others share the rest are
    independent; which fault it is, if at most one is there, is told by odds, which are not."""
    draws = np.array(
        [
            -2 - place if event.look >= 0 or event.variable == scene.one else event.variable
            for place, event in enumerate(scene.events)
        ]
    )
    return np.asarray(draws[:, None] != draws[None, :]) | (draws[:, None] < 0) & ~np.eye(
        len(draws), dtype=bool
    )

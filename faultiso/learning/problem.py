"""Rows, figures and priors put together: what the rows say of every figure at any values of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from faultiso.learning.climbing import Place
from faultiso.learning.conjugate import Beta, Gamma, Prior
from faultiso.learning.figures import Figure, figures, levels_together
from faultiso.learning.posterior import Said, log_odds_in, logistic
from faultiso.learning.roots import Roots, chance_of
from faultiso.learning.rows import Counted, Evidence
from faultiso.learning.scenes import Expected, Scene
from faultiso.model.system import Model
from faultiso.network.network import Array

NO_ROW = 1e-9  # rows of the usual level below which the others come to 1 always
ALIKE = 9  # significant digits to which two rows must agree on a figure to be counted as one


@dataclass(frozen=True)
class Strength:
    """How much the model's own figures count for.

    ``events``: of a rate, as if so many had been seen (2.4: nine times in ten within a factor of three);
    ``rows``: of a chance, as if so many rows had told of it; ``weak``: how much more often "unit replaced,
    test satisfactory" is written where the unit was faulty than where it was not.
    """

    events: float = 2.4
    rows: float = 20.0
    weak: float = 3.0


class Problem:
    """Everything that is needed to judge the figures by the rows."""

    def __init__(self, model: Model, evidence: Evidence, strength: Strength) -> None:
        own = own_hours(model, evidence)
        self.model = replace(model, flight_hours_at_risk=own)
        self.figures, self.left = figures(model)
        self.priors = tuple(prior_of(figure, strength) for figure in self.figures)
        self.hours = max(evidence.hours - own * evidence.times, 0.0)
        self.own = own
        ground = Roots(self.model)
        self.scenes = tuple(
            Scene(ground, rows, self.figures, strength.weak) for rows in _by_timeline(evidence.rows)
        )
        self.start = self.x_of(np.array([figure.value for figure in self.figures]))
        first = [scene.expect(self.values_of(self.start)) for scene in self.scenes]
        self.times = [
            np.where(np.isfinite(found.log_chance), scene.times, 0.0)
            for scene, found in zip(self.scenes, first, strict=True)
        ]

    def x_of(self, values: Array) -> Array:
        rate = self.rates
        return np.where(rate, np.log(values), np.log(values) - np.log1p(-np.where(rate, 0.0, values)))

    def values_of(self, x: Array) -> Array:
        return np.where(self.rates, np.exp(x), logistic(x))

    @property
    def rates(self) -> Array:
        return np.array([figure.kind == "rate" for figure in self.figures], dtype=bool)

    @property
    def impossible(self) -> tuple[Counted, ...]:
        """The rows that the model calls impossible; nothing is learnt from them."""
        return tuple(
            row
            for scene, times in zip(self.scenes, self.times, strict=True)
            for row, time in zip(scene.rows, times, strict=True)
            if not time
        )

    def see(self, x: Array) -> Place:
        """Height and what the rows say at x; lowest of all where levels of a cause come to over 1."""
        values = self.values_of(x)
        log_prior = self._log_prior(x, values)
        if log_prior == -np.inf:
            return Place(x, log_prior, ())
        found = [scene.expect(values) for scene in self.scenes]
        height = sum(
            float(times @ np.where(times > 0, each.log_chance, 0.0))
            for each, times in zip(found, self.times, strict=True)
        )
        quiet = self.hours * float(values[self.rates].sum())
        return Place(x, height + log_prior - quiet, self.said(x, found))

    def _log_prior(self, x: Array, values: Array) -> float:
        """Of a figure alone its own prior; of the levels of one cause, which share in one draw, the Dirichlet
        density of which their priors are the margins (both up to a constant)."""
        found = sum(float(self.priors[n].log_density(np.asarray(x[n]))) for n in self._alone)
        return found + sum(
            _log_spread([self.priors[n] for n in some], values[some]) for some in self._together
        )

    @cached_property
    def _together(self) -> tuple[list[int], ...]:
        """The figures of each cause that may give several levels."""
        place = {figure: number for number, figure in enumerate(self.figures)}
        return tuple([place[figure] for figure in some] for some in levels_together(self.figures))

    @cached_property
    def _alone(self) -> list[int]:
        together = {number for numbers in self._together for number in numbers}
        return [number for number in range(len(self.figures)) if number not in together]

    def said(self, x: Array, found: Sequence[Expected]) -> tuple[Said, ...]:
        values = self.values_of(x)
        slopes: list[list[Array]] = [[] for _ in self.figures]
        times: list[list[Array]] = [[] for _ in self.figures]
        chances = self.chances(values)
        for scene, each, often in zip(self.scenes, found, self.times, strict=True):
            kept = often > 0
            for place, event in enumerate(scene.events):
                chance = chances[event.figure]
                happened, failed = each.happened[place, kept], each.failed[place, kept]
                slopes[event.figure].append(happened / chance - failed / (1.0 - chance))
                times[event.figure].append(often[kept])
        return tuple(
            self._said(number, float(chances[number]), float(values[number]), slopes[number], times[number])
            for number in range(len(self.figures))
        )

    def _said(
        self, number: int, chance: float, value: float, slopes: list[Array], times: list[Array]
    ) -> Said:
        slope, often = _merged(slopes, times)
        if self.figures[number].kind != "rate":
            return Said(slope, often, chance)
        offset = np.log(chance / (1 - chance)) - log_odds_in(np.log(np.asarray(value)), self.own)
        return Said(slope, often, chance, self.own, float(offset), self.hours)

    def chances(self, values: Array) -> Array:
        """The chance of each figure's event in a row before anything is seen of it."""
        found = np.array(
            [chance_of(figure, float(v), self.own) for figure, v in zip(self.figures, values, strict=True)]
        )
        if self.model.one_fault:
            odds = np.where(self.rates, found / (1 - found), 0.0)
            found = np.where(self.rates, odds / (1 + odds.sum()), found)
        return found

    def bends(self, values: Array) -> Array:
        """How the log odds of each figure's event move with its x."""
        grown = np.where(self.rates, values * self.own, 1.0)
        return np.where(self.rates, grown / -np.expm1(-grown), 1.0)


def _log_spread(priors: Sequence[Prior], chances: Array) -> float:
    """Of the chances of several levels of one draw; the usual level has what they leave, if anything."""
    counts = np.array([prior.yes for prior in priors if isinstance(prior, Beta)])
    first = priors[0]
    assert isinstance(first, Beta)
    usual = first.yes + first.no - float(counts.sum())
    found = float(counts @ np.log(chances))
    if usual <= NO_ROW:
        return found
    left = 1.0 - float(chances.sum())
    return found + usual * float(np.log(left)) if left > 0 else -np.inf


def own_hours(model: Model, evidence: Evidence) -> float:
    """The hours in which the faults of one row come up: those at risk, or the mean of rows if less."""
    mean = evidence.hours / max(evidence.times, 1)
    return min(model.flight_hours_at_risk, mean) if mean else model.flight_hours_at_risk


def prior_of(figure: Figure, strength: Strength) -> Prior:
    """The model's own figure as the mean of a prior."""
    if figure.kind == "rate":
        return Gamma(strength.events, strength.events / figure.value)
    return Beta(strength.rows * figure.value, strength.rows * (1.0 - figure.value))


def _by_timeline(rows: Sequence[Counted]) -> list[list[Counted]]:
    found: dict[object, list[Counted]] = {}
    for row in rows:
        found.setdefault(row.row.timeline, []).append(row)
    return list(found.values())


def _merged(slopes: list[Array], times: list[Array]) -> tuple[Array, Array]:
    """Equal factors once, and none for rows that say nothing."""
    if not slopes:
        return np.zeros(0), np.zeros(0)
    slope, often = np.concatenate(slopes), np.concatenate(times)
    telling = np.abs(slope) > 1e-9
    slope, often = slope[telling], often[telling]
    if not len(slope):
        return slope, often
    scale = 10.0 ** (ALIKE - 1 - np.floor(np.log10(np.abs(slope))))
    unique, place = np.unique(np.round(slope * scale) / scale, return_inverse=True)
    return unique, np.asarray(np.bincount(place, weights=often))

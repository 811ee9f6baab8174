"""Histories that are drawn, with known truth and known bias: to see what learning makes of them.

Visits follow each other, each after the hours at risk that the model states. A work order is written where
something shows that should not, and where an inspection finds a fault that shows nothing; the hours of all
other visits are added to the next order.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from faultiso.base.problems import UsageError
from faultiso.learning.conjugate import Gamma
from faultiso.learning.figures import Figure, figures, levels_together, with_values
from faultiso.learning.orders import CREW, SHOP, Order, Rows, Said
from faultiso.learning.problem import NO_ROW, Strength, prior_of
from faultiso.learning.rows import Finding
from faultiso.model.expected import expected
from faultiso.model.system import Model
from faultiso.network.network import Array
from faultiso.network.timeline import Moment, Timeline, moment
from faultiso.world.world import Worlds

Bias = Literal["severe", "popular", "missing", "unproved", "unmentioned"]
#: what each bias does, and how often where nothing is said
BIASES: Mapping[Bias, tuple[str, float]] = {
    "severe": ("orders with less than two signs amiss are not written up", 0.7),
    "popular": ("findings are written down to the unit that fails most often", 0.3),
    "missing": ("orders are lost", 0.3),
    "unproved": ("findings are written as: changed, test satisfactory; half of them name another unit", 0.5),
    "unmentioned": ("what was normal is not mentioned", 1.0),
}

WEAK, UNSAID = 0.1, 0.15  # shares of findings where nothing is wrong; the rest says that nothing was found
PROCEDURES = 4  # sets of checks for each situation
CHECKS = 3  # made for an order, on average
LEAST_BATCH, MOST_BATCH = 2_000, 50_000  # visits drawn together


@dataclass(frozen=True)
class Written:
    """One order with the fleet hours since the one before, and what was truly wrong."""

    order: Order
    hours: float
    truth: frozenset[str]


@dataclass(frozen=True)
class Synthetic:
    """``truth``: the figures from which it was drawn."""

    orders: tuple[Written, ...]
    truth: Mapping[Figure, float]
    seed: int
    biases: Mapping[Bias, float] = field(default_factory=dict)

    @property
    def hours(self) -> float:
        return sum(written.hours for written in self.orders)


def drawn_truth(model: Model, strength: Strength, seed: int) -> dict[Figure, float]:
    """Figures drawn from the priors that learning starts from."""
    random = np.random.default_rng([seed, 1])
    found: dict[Figure, float] = {}
    listed = figures(model)[0]
    together = {figure: some for some in levels_together(listed) for figure in some}
    for figure in listed:
        prior = prior_of(figure, strength)
        if figure in found:
            continue
        if figure in together:
            found.update(_drawn_levels(together[figure], strength, random))
        elif isinstance(prior, Gamma):
            found[figure] = float(random.gamma(prior.events, 1.0 / prior.hours))
        else:
            found[figure] = float(np.clip(random.beta(prior.yes, prior.no), 1e-12, 1 - 1e-12))
    return found


def _drawn_levels(levels: Sequence[Figure], strength: Strength, random: Generator) -> dict[Figure, float]:
    """Levels of one cause share in one draw: Dirichlet, of which each prior is a margin."""
    counts = [strength.rows * figure.value for figure in levels]
    usual = max(strength.rows - sum(counts), 0.0)
    drawn = random.dirichlet([*counts, usual] if usual > NO_ROW else counts)
    return {figure: float(np.clip(p, 1e-12, 1 - 1e-12)) for figure, p in zip(levels, drawn, strict=False)}


def synthetic(
    model: Model,
    rows: int,
    seed: int,
    truth: Mapping[Figure, float] | None = None,
    biases: Mapping[Bias, float] | None = None,
    weak: float = 3.0,
) -> Synthetic:
    """``rows`` work orders. ``truth``: figures other than the model's; ``biases``: how often each happens."""
    true = {figure: figure.value for figure in figures(model)[0]} | dict(truth or {})
    shop = _Shop(with_values(model, true), np.random.default_rng([seed, 2]), dict(biases or {}), weak)
    batch = int(np.clip(8 * rows, LEAST_BATCH, MOST_BATCH))
    orders: list[Written] = []
    hours, visits = 0.0, 0
    while len(orders) < rows:
        for since, written in shop.visits(seed, visits, batch):
            hours += since
            if written is not None and len(orders) < rows:
                orders.append(Written(written.order, hours, written.truth))
                hours = 0.0
        visits += batch
        if visits > 500 * batch and not orders:
            raise UsageError("nothing ever shows in this model; there is no history to draw")
    return Synthetic(tuple(orders), true, seed, dict(biases or {}))


class _Shop:
    """Draws visits and writes orders."""

    def __init__(self, model: Model, random: Generator, biases: Mapping[Bias, float], weak: float) -> None:
        self.model, self.random, self.biases, self.weak = model, random, biases, weak
        self.rows = Rows(model)
        self.situations = list(model.situations) or [""]
        self.normal = {s: expected(model, self._here(s).conditions) for s in self.situations}
        self.procedures = {s: [self._procedure(s) for _ in range(PROCEDURES)] for s in self.situations}
        self.units = [unit.name for unit in model.components.values() if unit.faults]
        by_rate = {u: sum(f.rate for f in model.components[u].faults) for u in self.units}
        self.popular = max(by_rate, key=by_rate.__getitem__) if by_rate else ""

    def _here(self, situation: str) -> Moment:
        return moment(self.model.situations[situation].values if situation else self.model.start)

    def _procedure(self, situation: str) -> tuple[str, ...]:
        """Some of the checks, of those that can be made from there."""
        checks = self.model.checks
        share = min(1.0, CHECKS / max(len(checks), 1))
        some = [name for name in checks if self.random.random() < share]
        return tuple(name for name in some if self.rows.can_be_made(checks[name], self._here(situation)))

    def visits(self, seed: int, start: int, batch: int) -> Iterator[tuple[float, Written | None]]:
        """Hours, and what is written of each visit that is not quiet."""
        there = self._faults(batch)
        place = self.random.integers(len(self.situations) * PROCEDURES, size=batch)
        written: dict[int, Written] = {}
        for faults, numbers in _alike(there, list(self.model.faults)):
            for choice in np.unique(place[numbers]):
                some = numbers[place[numbers] == choice]
                written.update(self._orders(frozenset(faults), some, int(choice), seed, start))
        hours = self.model.flight_hours_at_risk
        last = -1
        for number in sorted(written):
            yield hours * (number - last), written[number]
            last = number
        yield hours * (batch - 1 - last), None

    def _faults(self, batch: int) -> NDArray[np.bool_]:
        """Which faults are there at each visit, (visits, faults)."""
        model, names = self.model, list(self.model.faults)
        chances = np.array([-np.expm1(-f.rate * model.flight_hours_at_risk) for f in model.faults.values()])
        if model.one_fault:
            odds = np.array([1.0, *(chances / (1 - chances))])
            which = self.random.choice(len(odds), size=batch, p=odds / odds.sum())
            return np.asarray(which[:, None] == 1 + np.arange(len(names)))
        there = self.random.random((batch, len(names))) < chances
        for name in _sources_first(model):
            for source, chance in model.faults[name].caused_by.items():
                hit = self.random.random(batch) < chance
                there[:, names.index(name)] |= there[:, names.index(source)] & hit
        return there

    def _orders(
        self, faults: frozenset[str], numbers: NDArray[np.intp], choice: int, seed: int, start: int
    ) -> Iterator[tuple[int, Written]]:
        """The orders of visits with the same faults, in the same situation, by the same procedure."""
        situation = self.situations[choice // PROCEDURES]
        checks = self.procedures[situation][choice % PROCEDURES]
        here = self._here(situation)
        made = {name: self.rows.made_at(self.model.checks[name], here, n) for n, name in enumerate(checks)}
        timeline = self.rows.timeline([here, *made.values()])
        worlds = Worlds(self.model, faults, [(seed << 32) + start + int(n) for n in numbers])
        signs = [(name, here, CREW) for name in self.model.indications]
        shown = self._shown(worlds, timeline, [*signs, *((n, m, SHOP) for n, m in made.items())])
        for place, number in enumerate(numbers):
            amiss = tuple(
                Said(name, shown[name][place])
                for name in self.model.indications
                if shown[name][place] != self.normal[situation][name]
            )
            if not faults and not amiss:
                continue
            order = self._order(situation, amiss, [(n, shown[n][place]) for n in made], faults)
            if order is not None:
                yield int(number), Written(order, 0.0, faults)

    def _shown(
        self, worlds: Worlds, timeline: Timeline, signs: list[tuple[str, Moment, int]]
    ) -> dict[str, list[str]]:
        found = {}
        for name, when, draw in signs:
            sign = self.model.indications.get(name) or self.model.checks[name]
            places = worlds.outcomes(name, timeline, timeline.moments.index(when), draw)
            found[name] = [sign.outcomes[place] for place in places]
        return found

    def _order(
        self, situation: str, amiss: tuple[Said, ...], checks: list[tuple[str, str]], faults: frozenset[str]
    ) -> Order | None:
        """What is written, if anything is."""
        if self._happens("missing") or (len(amiss) < 2 and self._happens("severe")):
            return None
        made = tuple(Said(name, outcome) for name, outcome in checks)
        normal = not self._happens("unmentioned")
        finding = self._finding(faults) if amiss else self._named(faults)
        return Order(situation, (), amiss, normal, made, finding)

    def _happens(self, bias: Bias) -> bool:
        return bias in self.biases and self.random.random() < self.biases[bias]

    def _finding(self, faults: frozenset[str]) -> Finding:
        """What is written of what was found; without bias the words tell as much as learning takes them to.

        With each fault "none" is ``weak`` times rarer; a unit is changed without proof ``weak`` times as
        often if it is faulty; what is left unsaid is left so as often with a fault as without.
        """
        changed = WEAK / len(self.units) * self._weights(faults)
        nothing = (1.0 - WEAK - UNSAID) / self.weak ** len(faults)
        luck = self.random.random()
        if luck < UNSAID:
            return Finding()
        if luck < UNSAID + nothing:
            return Finding("none")
        if luck < UNSAID + nothing + changed.sum():
            return self._changed(faults)
        return self._named(faults) if faults else Finding("none")

    def _weights(self, faults: frozenset[str]) -> Array:
        """How much more often each unit is changed without proof than a sound one."""
        faulty = {self.model.faults[name].component for name in faults}
        return np.array([self.weak if unit in faulty else 1.0 for unit in self.units])

    def _named(self, faults: frozenset[str]) -> Finding:
        if self._happens("popular"):
            return Finding("proved", (), (self.popular,))
        if self._happens("unproved"):
            return self._changed(faults if self.random.random() < 0.5 else frozenset())
        return Finding("proved", tuple(sorted(faults)))

    def _changed(self, faults: frozenset[str]) -> Finding:
        weight = self._weights(faults)
        unit = self.units[int(self.random.choice(len(weight), p=weight / weight.sum()))]
        return Finding("weak", (), (unit,))


def _alike(there: NDArray[np.bool_], names: list[str]) -> Iterator[tuple[list[str], NDArray[np.intp]]]:
    """Each set of faults that comes, and the visits in which just these are there."""
    sets, place = np.unique(there, axis=0, return_inverse=True)
    for number, each in enumerate(sets):
        yield (
            [n for n, is_there in zip(names, each, strict=True) if is_there],
            np.flatnonzero(place == number),
        )


def _sources_first(model: Model) -> list[str]:
    """Faults in an order in which those that bring others about come before these."""
    order: list[str] = []

    def add(name: str) -> None:
        if name not in order:
            for source in model.faults[name].caused_by:
                add(source)
            order.append(name)

    for name in model.faults:
        add(name)
    return order

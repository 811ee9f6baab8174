"""A second opinion on what a model means: list every world and add up.

A world is one way in which everything random has come out: which faults are there, each cause's own
number, the leaks, the draws of intermittent faults in each visit, the luck of each piece of work. In a
world the model is a plain function, written down here from the description of the language and sharing
nothing with the code that builds networks.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import TypeVar

import numpy as np

from faultiso.model.parts import Cause, Check, Fault, Indication, Quantity, Rule
from faultiso.model.system import Model
from faultiso.network.timeline import Intervention, Timeline

from .answers import Key, Table

T = TypeVar("T")


class World:
    """One world. What is random is drawn when first asked for, following ``script`` as far as it goes."""

    def __init__(
        self,
        model: Model,
        timeline: Timeline,
        script: tuple[int, ...],
        inverses: Mapping[tuple[str, int], Inverse],
    ) -> None:
        self.model = model
        self.moments = timeline.moments
        self.probability = 1.0
        self.others: list[tuple[int, ...]] = []  # scripts of the worlds that branch off this one
        self._inverses = inverses
        self._script = script
        self._taken: list[int] = []
        self._drawn: dict[Hashable, str] = {}
        self._levels: dict[Key, str] = {}
        self._history = self._live_through()

    def draw(self, what: Hashable, chances: Mapping[str, float]) -> str:
        """What ``what`` comes out as: once and for all in this world."""
        if what not in self._drawn:
            possible = [(label, chance) for label, chance in chances.items() if chance > 0]
            turn = len(self._taken)
            if turn < len(self._script):
                choice = self._script[turn]
            else:
                choice = 0
                self.others += [(*self._taken, other) for other in range(1, len(possible))]
            self._taken.append(choice)
            self._drawn[what], chance = possible[choice]
            self.probability *= chance
        return self._drawn[what]

    def happens(self, what: Hashable, chance: float) -> bool:
        return self.draw(what, {"no": 1 - chance, "yes": chance}) == "yes"

    # faults

    def faults(self, moment: int) -> frozenset[str]:
        """The faults that are there, whether they act or not."""
        return frozenset(self._history[moment][0])

    def acts(self, fault: str, moment: int) -> bool:
        there, silenced = self._history[moment]
        if fault not in there or fault in silenced:
            return False
        intermittent = self.model.faults[fault].intermittent
        if intermittent is None:
            return True
        out = any(self._fits(match, moment) for match in intermittent.brought_out_by)
        return self.happens(("visit", fault, moment), intermittent.share if out else intermittent.otherwise)

    def _live_through(self) -> list[tuple[set[str], set[str]]]:
        """The faults that are there and those that are silenced, at each moment."""
        there = self._only_one() if self.model.one_fault else self._any()
        silenced: set[str] = set()
        history = []
        for moment in self.moments:
            for work in moment.before:
                there, silenced = self._work(work, there, silenced)
            history.append((there, silenced))
        return history

    def _any(self) -> set[str]:
        there: set[str] = set()
        todo = list(self.model.faults.values())
        while todo:
            fault = todo.pop(0)
            if any(self.model.faults[cause] in todo for cause in fault.caused_by):
                todo.append(fault)  # its causes come first
                continue
            arrows = [c for cause, c in fault.caused_by.items() if cause in there]
            spared = math.prod(1 - c for c in (self._prior(fault), *arrows))
            if self.happens(("fault", fault.name), 1 - spared):
                there.add(fault.name)
        return there

    def _only_one(self) -> set[str]:
        odds = {"": 1.0}
        for fault in self.model.faults.values():
            p = self._prior(fault)
            odds[fault.name] = p / (1 - p)
        total = math.fsum(odds.values())
        one = self.draw("the fault", {name: odd / total for name, odd in odds.items()})
        return {one} if one else set()

    def _prior(self, fault: Fault) -> float:
        return 1 - math.exp(-fault.rate * self.model.flight_hours_at_risk)

    def _work(self, work: Intervention, there: set[str], silenced: set[str]) -> tuple[set[str], set[str]]:
        """What work clears goes first, then units change places, then faults are silenced, then left behind."""
        if work.cleared and not self.happens(("fails", work.key), work.fails):
            there = there - set(work.cleared)
        for first, second in work.swaps:
            there = {place for name in there if (place := self._moved(name, first, second))}
            silenced = {place for name in silenced if (place := self._moved(name, first, second))}
        for fault, chance in work.disturbs:
            if self.happens(("disturb", work.key, fault), chance):
                silenced = silenced | {fault}
        for fault, chance in work.may_leave:
            if self.happens(("left", work.key, fault), chance):
                there, silenced = there | {fault}, silenced - {fault}
        return there, silenced

    def _moved(self, fault: str, first: str, second: str) -> str:
        """Where the fault of a unit is after the two units changed places; nowhere if it left with its unit."""
        unit, mode = fault.split(".")
        if unit not in (first, second):
            return fault
        place = f"{second if unit == first else first}.{mode}"
        return place if place in self.model.faults else ""

    # quantities and signs

    def true(self, name: str, moment: int) -> str:
        """The true level or outcome of anything that has one."""
        if (name, moment) not in self._levels:
            self._levels[name, moment] = self._true(name, moment)
        return self._levels[name, moment]

    def _true(self, name: str, moment: int) -> str:
        if name in self.model.faults:
            return "present" if self.acts(name, moment) else "absent"
        if name in self.model.checks:
            check = self.model.checks[name]
            return self._first_match(check.rules, moment) or check.outcomes[0]
        if name in self.model.indications:
            indication = self.model.indications[name]
            now = self._first_match(indication.rules, moment) or indication.outcomes[0]
            return self._kept(name, indication.outcomes, now, moment) if indication.memory else now
        quantity = self.model.quantities[name]
        now = self._first_match(quantity.rules, moment) or self._highest_effect(quantity, moment)
        return self._kept(name, quantity.levels, now, moment) if quantity.remember else now

    def _kept(self, name: str, order: Sequence[str], now: str, moment: int) -> str:
        if moment == 0 or any(name in work.resets for work in self.moments[moment].before):
            return now
        return max(now, self.true(name, moment - 1), key=order.index)

    def _first_match(self, rules: Sequence[Rule], moment: int) -> str:
        for rule in rules:
            if self._fits(rule.when, moment):
                return rule.then or self.true(rule.like, moment)
        return ""

    def _fits(self, match: Mapping[str, tuple[str, ...]], moment: int) -> bool:
        conditions = self.moments[moment].conditions
        return all(
            (conditions[name] if name in conditions else self.true(name, moment)) in accepted
            for name, accepted in match.items()
        )

    def _highest_effect(self, quantity: Quantity, moment: int) -> str:
        quiet = quantity.levels[0]
        answers = [quiet]
        if quantity.leak:
            answers.append(self.draw(("leak", quantity.name), _whole(quantity.leak, quiet)))
        for number, cause in enumerate(quantity.causes):
            answers.append(self._answer(quantity, number, cause, moment))
        return max(answers, key=quantity.levels.index)

    def _answer(self, quantity: Quantity, number: int, cause: Cause, moment: int) -> str:
        """What the cause gives in these conditions; where it has no distribution, the quiet level."""
        source = self.true(cause.source, moment)
        for case, response in enumerate(cause.responses):
            if self._fits(response.when, moment):
                if source not in response.gives:
                    break
                inverse = self._inverses[quantity.name, number]
                u = self.draw(("number", quantity.name, number), inverse.widths)
                return inverse.levels[case, source, u]
        return quantity.levels[0]


@dataclass(frozen=True)
class Inverse:
    """A cause's inverse distributions, over the pieces of its own number within which none of them changes.

    ``widths`` by piece; ``levels`` by case, source value and piece.
    """

    widths: Mapping[str, float]
    levels: Mapping[tuple[int, str, str], str]


def _inverse(cause: Cause, levels: Sequence[str]) -> Inverse:
    spreads = {
        (case, source): _cumulative(spread, levels)
        for case, response in enumerate(cause.responses)
        for source, spread in response.gives.items()
    }
    cuts = sorted({Fraction(0), Fraction(1), *(cut for edges in spreads.values() for cut in edges)})
    pieces = list(pairwise(cuts))
    return Inverse(
        widths={str(low): float(high - low) for low, high in pieces},
        levels={
            (*key, str(low)): next(level for level, edge in zip(levels, edges, strict=True) if low < edge)
            for key, edges in spreads.items()
            for low, _ in pieces
        },
    )


def _cumulative(spread: Mapping[str, float], levels: Sequence[str]) -> list[Fraction]:
    """The chance of at most each level, in fractions: what people write are short decimals."""
    loud = [Fraction(repr(float(spread.get(level, 0)))) for level in levels[1:]]
    return [1 - sum(loud[i:], Fraction(0)) for i in range(len(levels))]


def _whole(chances: Mapping[str, float], quiet: str) -> dict[str, float]:
    loud = {level: chance for level, chance in chances.items() if level != quiet}
    return {quiet: 1 - math.fsum(loud.values()), **loud}


def worlds(model: Model, timeline: Timeline, look: Callable[[World], T]) -> Iterator[tuple[float, T]]:
    """Every world with its probability and what ``look`` sees in it; their probabilities add up to one."""
    inverses = {
        (quantity.name, number): _inverse(cause, quantity.levels)
        for quantity in model.quantities.values()
        for number, cause in enumerate(quantity.causes)
    }
    scripts: list[tuple[int, ...]] = [()]
    while scripts:
        world = World(model, timeline, scripts.pop(), inverses)
        seen = look(world)
        yield world.probability, seen
        scripts += world.others


def chances_of_reading(sign: Indication | Check, true: str) -> list[float]:
    """The chance of each outcome being read while ``true`` is right."""
    n = len(sign.outcomes)
    if n == 1:
        return [1.0]
    right = {true: 1.0}
    if isinstance(sign, Indication):
        slips = {o: sign.misread / (n - 1) for o in sign.outcomes if o != true}
    elif true == sign.outcomes[0]:
        slips = dict.fromkeys(sign.outcomes[1:], sign.false_alarm / (n - 1))
    else:
        slips = {sign.outcomes[0]: sign.miss}
    right[true] -= math.fsum(slips.values())
    return [{**slips, **right}.get(outcome, 0.0) for outcome in sign.outcomes]


def table(model: Model, timeline: Timeline, believed_at: int | None = None) -> Table:
    """All worlds, with every sign looked at in every moment, and the faults of one moment (default: now).

    A reading error is drawn once for each sign, for each value of the conditions that matter to it and
    for each epoch in which work touched what feeds it: that is, for each different way in which the true
    outcome hangs on the world.
    """
    names = {sign.name: sign for sign in model.signs()}
    keys = [(name, moment) for name in names for moment in range(len(timeline.moments))]

    def look(world: World) -> tuple[frozenset[str], list[int]]:
        truths = [names[name].outcomes.index(world.true(name, moment)) for name, moment in keys]
        return world.faults(timeline.now if believed_at is None else believed_at), truths

    found = list(worlds(model, timeline, look))
    there = np.array([[f in seen[0] for f in model.faults] for _, seen in found], dtype=np.intp)
    truths = np.array([seen[1] for _, seen in found], dtype=np.intp).reshape(len(found), len(keys))
    rows, row_of = np.unique(np.hstack([there, truths]), axis=0, return_inverse=True)
    return Table(
        model=model,
        now=timeline.now,
        probabilities=np.bincount(row_of.ravel(), [p for p, _ in found]).astype(float),
        faults=rows[:, : len(model.faults)] == 1,
        truths=dict(zip(keys, rows[:, len(model.faults) :].T, strict=True)),
        draws={key: truths[:, i].tobytes() for i, key in enumerate(keys)},
        errors={
            name: np.array([chances_of_reading(sign, true) for true in sign.outcomes])
            for name, sign in names.items()
        },
    )

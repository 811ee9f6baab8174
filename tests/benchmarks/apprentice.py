"""A careless apprentice works drawn cases: do those that are computed to be difficult take longer?

    python -m tests.benchmarks.apprentice [--cases N] [--plays N] [--seed S] [--model NAME ...]

The apprentice takes one of the three cheapest checks that are left, whatever it tells, forgets one outcome in
five, and after a while changes what seems most probable, one time in four the next best instead. Every sign
answers what the truth gives most likely. Printed: minutes by level, and the rank correlation (Spearman, 1904)
between the computed score and the apprentice's mean minutes. It tests the code, not people.
"""

from __future__ import annotations

import argparse
import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from random import Random

import numpy as np

from faultiso.belief.reasoner import Reasoner
from faultiso.casebook.case import LEVELS, Case
from faultiso.casebook.complaint import complaint
from faultiso.casebook.making.generate import Count, Made, Maker, Wish
from faultiso.casebook.models import Models
from faultiso.casebook.stock import as_stocked
from faultiso.planning.posing import Limits, Posed, likely_sets, parts_of
from faultiso.planning.sequencing.moves import Moves
from faultiso.planning.sequencing.problem import Array, Problem
from tests.models.shipped import reasoner_of

CHEAPEST = 3
CHECKS = 0.6  # chance that the next thing is a check, while nothing is sure
FORGETS = 0.2
SECOND_BEST = 0.25
SURE = 0.8
PATIENCE = 8  # checks after which a unit is changed, or the job called good
ALL_CHECKS = Limits(checks=60)


def posed(case: Case, reasoner: Reasoner) -> tuple[Problem, int] | None:
    """The case as a planning problem with every check in it, and the hidden state; None with nothing to do."""
    if case.no_spare:
        reasoner = Reasoner(as_stocked(reasoner.model, case))
    truth, told = frozenset(case.truth), complaint(case, reasoner.model)
    belief = reasoner.belief(told.timeline, told.readings, hold=tuple(parts_of(truth)))
    sets = tuple(dict.fromkeys((*likely_sets(belief, ALL_CHECKS), *parts_of(truth))))
    if not any(sets):
        return None
    problem = Posed(belief, sets, ALL_CHECKS).problem
    return problem, problem.states[sets.index(truth)]


@dataclass
class Apprentice:
    """One job: ``minutes`` so far."""

    moves: Moves
    state: int
    random: Random
    minutes: float = 0.0
    checks: int = 0

    def __post_init__(self) -> None:
        self.problem = self.moves.problem
        self.belief: Array = np.asarray(self.problem.prior, dtype=float)
        self.left = self.moves.everything

    def work(self) -> float:
        """Minutes until it is put right, or given up; a job that is called good too early comes back once."""
        while True:
            open_ = self._open(0, len(self.problem.checks))
            tired = self.checks >= PATIENCE or float(self.belief.max()) >= SURE
            if open_ and not tired and self.random.random() < CHECKS:
                self._check(self.random.choice(open_[:CHEAPEST]))
                continue
            if tired and self.state == 0:
                return self.minutes
            repairs = self._open(len(self.problem.checks), len(self.problem.repairs))
            if not repairs:
                return self.minutes + self._put_off()
            self._repair(repairs)
            if self.state == 0:
                return self.minutes

    def _put_off(self) -> float:
        """Minutes of what is left when there is nothing more to change: the deferral sheet, or to refer it."""
        lines = [line.minutes for line in self.problem.deferrals if not self.state & ~line.covers]
        return min(lines, default=self.problem.costs.refer)

    def _open(self, first: int, count: int) -> list[int]:
        """Numbers of what is not done yet and can be done, the quickest first."""
        ways = {
            n: self.moves.shortest(n, self.left) for n in range(first, first + count) if self.left >> n & 1
        }
        took = {n: way.minutes + self._own(n) for n, way in ways.items() if way}
        return sorted(took, key=lambda n: (took[n], n))

    def _own(self, number: int) -> float:
        return (*self.problem.checks, *self.problem.repairs)[number].minutes

    def _done(self, number: int) -> None:
        way = self.moves.shortest(number, self.left)
        assert way is not None
        self.minutes += way.minutes + self._own(number)
        self.left = way.left

    def _check(self, number: int) -> None:
        self._done(number)
        self.checks += 1
        table = np.asarray(self.problem.checks[number].given)
        outcome = int(table[self.problem.place[self.state]].argmax())
        belief = self.belief * table[:, outcome]
        if belief.sum() > 0 and self.random.random() >= FORGETS:
            self.belief = belief / belief.sum()

    def _repair(self, open_: Sequence[int]) -> None:
        count = len(self.problem.checks)
        best = sorted(open_, key=lambda n: -float(self.moves.touches[n - count] @ self.belief))
        number = best[1] if len(best) > 1 and self.random.random() < SECOND_BEST else best[0]
        self._done(number)
        after = self.belief @ self.moves.stays[number - count]
        self.state &= ~self.problem.repairs[number - count].clears
        if after.sum() > 0:
            self.belief = after / after.sum()


def minutes(case: Case, reasoner: Reasoner, plays: int, seed: int = 0) -> float:
    """What the apprentice takes on average."""
    found = posed(case, reasoner)
    if found is None:
        return 0.0
    problem, state = found
    moves = Moves(problem)
    return statistics.mean(Apprentice(moves, state, Random(f"{seed}/{n}")).work() for n in range(plays))


def spearman(one: Sequence[float], other: Sequence[float]) -> float:
    """Rank correlation; ties share their mean rank."""

    def ranks(values: Sequence[float]) -> Array:
        array = np.asarray(values)
        return np.array([(array < v).sum() + ((array == v).sum() + 1) / 2 for v in array])

    return float(np.corrcoef(ranks(one), ranks(other))[0, 1])


def drawn(name: str, number: int, seed: int, level: str = "") -> tuple[Reasoner, list[Made], Count]:
    """Cases of a shipped model."""
    reasoner, count = reasoner_of(name), Count()
    maker = Maker(reasoner, name, Models(), Path())
    wanted = next((known for known in LEVELS if known == level), None)
    return reasoner, list(maker.make(Wish(number, wanted, seed=seed), count)), count


def main() -> None:
    cli = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    cli.add_argument("--cases", type=int, default=40, help="of each model")
    cli.add_argument("--plays", type=int, default=20)
    cli.add_argument("--seed", type=int, default=0)
    cli.add_argument("--model", action="append")
    options = cli.parse_args()
    for name in options.model or ("workshop-power-cart", "whinchat-dc-power"):
        reasoner, cases, count = drawn(name, options.cases, options.seed)
        took, scores = [], []
        for made in cases:
            assert made.findings.difficulty is not None
            scores.append(made.findings.difficulty)
            took.append(minutes(made.case, reasoner, options.plays, options.seed))
        print(
            f"{name}: {len(cases)} cases of {count.tried} tried; rank correlation of the apprentice's minutes"
        )
        print(f"  with the score           {spearman([d.score for d in scores], took):.2f}")
        print(f"  with the plan's minutes  {spearman([d.minutes for d in scores], took):.2f}")
        for level in LEVELS:
            found = [m for d, m in zip(scores, took, strict=True) if d.level == level]
            if found:
                print(f"  {level:10} {len(found):3} cases, {statistics.mean(found):.0f} min on average")


if __name__ == "__main__":
    main()

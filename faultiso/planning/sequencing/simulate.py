"""Policies played against drawn faults: every policy meets the same draws (common random numbers)."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from multiprocessing import get_context
from os import cpu_count

import numpy as np

from faultiso.planning.sequencing.moves import DEFERRED, NO_FAULT_FOUND, REFER, Move, Moves
from faultiso.planning.sequencing.policies import Policy
from faultiso.planning.sequencing.problem import Array, Problem, Repair

CHUNK = 500  # plays of one task; results do not depend on the number of processes
NORMAL_95 = 1.959963984540054
EMPTY: tuple[int, ...] = ()
Progress = Callable[[int, int], None]


@dataclass(frozen=True, eq=False)
class Played:
    """What each play of one policy came to, arrays (plays,): minutes with all prices, good units removed,
    1 where it ended without referral, 1 where it ended with something wrong that was said to be well."""

    minutes: Array
    serviceable: Array
    done: Array
    falsely_done: Array


@dataclass(frozen=True)
class Mean:
    """A mean and the ends of its 95 per cent confidence interval (normal approximation)."""

    value: float
    low: float
    high: float


def mean(sample: Array) -> Mean:
    """The mean of a sample with its interval; for two policies give the differences of their plays."""
    middle, doubt = float(sample.mean()), 0.0
    if len(sample) > 1:
        doubt = NORMAL_95 * float(sample.std(ddof=1)) / len(sample) ** 0.5
    return Mean(middle, middle - doubt, middle + doubt)


def simulate(
    problem: Problem,
    policies: Mapping[str, Policy],
    plays: int,
    seed: int = 0,
    processes: int | None = None,
    progress: Progress | None = None,
    truth: Array | None = None,
) -> dict[str, Played]:
    """Play every policy on the same draws. Policies must be importable functions or picklable objects.

    ``processes``: none given means one for each core; ``progress`` is told (plays done, plays in all).
    ``truth`` (states,): the probabilities from which states are drawn, where they are not those that the
    policies believe.
    """
    task = _Task(problem, policies, seed, problem.prior if truth is None else truth)
    tasks = [(start // CHUNK, min(CHUNK, plays - start)) for start in range(0, plays, CHUNK)]
    count = min(processes or cpu_count() or 1, len(tasks))
    parts: list[dict[str, Played]] = []
    for part in _parts(task, tasks, count):
        parts.append(part)
        if progress:
            progress(sum(len(next(iter(p.values())).minutes) for p in parts), plays)
    return {name: _joined([part[name] for part in parts]) for name in policies}


@dataclass(frozen=True, eq=False)
class _Task:
    """What every chunk of plays has in common."""

    problem: Problem
    policies: Mapping[str, Policy]
    seed: int
    truth: Array

    def __call__(self, number: int, size: int) -> dict[str, Played]:
        return play_chunk(self.problem, self.policies, self.seed, number, size, self.truth)


def _parts(task: _Task, chunks: Sequence[tuple[int, int]], count: int) -> Iterator[dict[str, Played]]:
    if count <= 1:
        for number, size in chunks:
            yield task(number, size)
        return
    with ProcessPoolExecutor(count, mp_context=get_context("spawn")) as pool:
        waiting = [pool.submit(task, *chunk) for chunk in chunks]
        for future in waiting:
            yield future.result()


def _joined(parts: Sequence[Played]) -> Played:
    return Played(
        np.concatenate([p.minutes for p in parts]),
        np.concatenate([p.serviceable for p in parts]),
        np.concatenate([p.done for p in parts]),
        np.concatenate([p.falsely_done for p in parts]),
    )


def play_chunk(
    problem: Problem, policies: Mapping[str, Policy], seed: int, number: int, size: int, truth: Array
) -> dict[str, Played]:
    """One chunk: a state for each play, and one number for each reading, repair and verification."""
    random = np.random.default_rng([seed, number])
    states = random.choice(len(truth), size=size, p=np.asarray(truth, dtype=float) / np.sum(truth))
    draws = random.random((size, len(problem.checks) + 2 * len(problem.repairs)))
    found = {}
    for name, policy in policies.items():
        table = _Table(Moves(problem), policy)
        rows = np.array([table.play(int(s), d) for s, d in zip(states, draws, strict=True)])
        found[name] = Played(*rows.T)
    return found


class _Table:
    """Plays of one policy; what it does in a situation is asked once."""

    def __init__(self, moves: Moves, policy: Policy) -> None:
        self.moves, self.problem, self.policy = moves, moves.problem, policy
        self.known: dict[tuple[int, ...], Move] = {}

    def play(self, state: int, draws: Array) -> tuple[float, float, float, float]:
        """(minutes, good units removed, ended without referral, falsely done) of one play."""
        belief, left = np.asarray(self.problem.prior, dtype=float), self.moves.everything
        minutes, good, story = 0.0, 0.0, EMPTY
        while True:
            move = self._move(story, belief, left)
            if move.number < 0:
                wrong = float(self.problem.states[state] != 0 and move.number == NO_FAULT_FOUND)
                return minutes + self._end(move.number, state), good, float(move.number != REFER), wrong
            if move.number < len(self.problem.checks):
                minutes += move.price
                place = self._reading(move.number, state, draws)
            else:
                price, removed, mask, passed = self._repair(move.number, state, draws)
                minutes, good, place = minutes + move.before + price, good + removed, 0
                if passed:
                    return minutes, good, 1.0, float(mask != 0)
                state = self.problem.place[mask]
            belief, left = move.beliefs[move.outcomes.index(place)], move.left
            story = (*story, move.number, place)

    def _move(self, story: tuple[int, ...], belief: Array, left: int) -> Move:
        if story not in self.known:
            self.known[story] = self.policy(self.moves, belief, self.moves.useful(belief, left))
        return self.known[story]

    def _end(self, number: int, state: int) -> float:
        costs = self.problem.costs
        if number == REFER:
            return costs.refer
        if number <= DEFERRED:
            return float(self.moves.deferred[DEFERRED - number, state])
        wrong = self.problem.states[state] != 0
        return costs.false_verified if number == NO_FAULT_FOUND and wrong else 0.0

    def _of(self, number: int) -> Repair:
        return self.problem.repairs[number - len(self.problem.checks)]

    def _reading(self, check: int, state: int, draws: Array) -> int:
        total = np.cumsum(self.moves.chances[check][:, state])
        return int(min(np.searchsorted(total, draws[check] * total[-1], side="right"), len(total) - 1))

    def _repair(self, number: int, state: int, draws: Array) -> tuple[float, float, int, bool]:
        """(price, good units removed, faults that are left, whether the verification passed)."""
        problem, costs = self.problem, self.problem.costs
        repair, mask = self._of(number), problem.states[state]
        fails, passes = draws[number], draws[number + len(problem.repairs)]
        price = repair.minutes + (repair.parts * 60.0 / costs.hour if costs.hour else 0.0)
        removed = float(repair.removes and not mask & repair.clears)
        price += removed * costs.serviceable
        if mask & repair.clears:
            price += repair.minutes_if_found
            if fails < repair.fails:
                price += costs.failed_repair
            else:
                mask &= ~repair.clears
        falsely = mask != 0 and bool(passes < repair.false_verified)
        price += costs.false_verified * falsely
        return price, removed, mask, mask == 0 or falsely

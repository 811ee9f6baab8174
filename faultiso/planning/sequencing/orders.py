"""The order of repairs when nothing more is checked: exact up to about 15 repairs, searched beyond.

With "not verified" after each repair there is one way on, so an order is a whole plan. What is known after a
set of repairs does not depend on their order (each may fail on its own): what the subset method needs.
Repairs count with their own prices; what stands before them on a site depends on the order: not counted.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from faultiso.planning.sequencing.moves import NOTHING, Moves
from faultiso.planning.sequencing.problem import Array

MOST_EXACT = 15  # repairs whose subsets are all looked at


@dataclass(frozen=True)
class Order:
    """Places of repairs in order, what it costs with the end after them, and whether none can cost less."""

    repairs: tuple[int, ...]
    expected_minutes: float
    proved: bool


def best_order(moves: Moves, belief: Array) -> Order:
    """By ratio where that is proved best, by subsets up to ``MOST_EXACT`` repairs, else searched."""
    if ratio_is_optimal(moves, belief):
        return ratio_order(moves, belief)
    useful = [r for r in moves.repairs if moves.touches[r] @ belief > NOTHING]
    return subset_order(moves, belief, useful) if len(useful) <= MOST_EXACT else searched_order(moves, belief)


def ratio_is_optimal(moves: Moves, belief: Array) -> bool:
    """Whether probability over price gives the best order (Kadane & Simon, Annals of Statistics 5, 1977;
    Kalagnanam & Henrion, UAI 1990): each possible state is one fault, some one repair clears it for certain,
    prices do not depend on the state, and to refer costs more than any order could save."""
    useful = [r for r in moves.repairs if moves.touches[r] @ belief > NOTHING]
    possible = np.flatnonzero(belief > NOTHING)
    problem = moves.problem
    single = all(problem.states[s].bit_count() == 1 for s in possible)
    once = bool(np.all(moves.touches[useful][:, possible].sum(axis=0) == 1))
    certain = all(problem.repairs[r].fails == problem.repairs[r].false_verified == 0 for r in useful)
    level = all(np.ptp(moves.prices[r][possible]) <= NOTHING for r in useful)
    total = sum(float(moves.prices[r] @ belief) for r in useful)
    return bool(useful) and single and once and certain and level and total <= problem.costs.refer


def ratio_order(moves: Moves, belief: Array) -> Order:
    """All useful repairs by probability of fixing over price, the belief as it is at the start."""
    useful = [r for r in moves.repairs if moves.touches[r] @ belief > NOTHING]
    fixing = {r: float(belief @ (1.0 - moves.remains[r].sum(axis=1))) for r in useful}
    order = sorted(useful, key=lambda r: -fixing[r] / float(moves.prices[r] @ belief))
    return Order(tuple(order), order_minutes(moves, belief, order), ratio_is_optimal(moves, belief))


def order_minutes(moves: Moves, belief: Array, order: Sequence[int]) -> float:
    """Expected minutes of repairs in an order, each if still needed, then the cheapest end."""
    minutes, left = 0.0, belief
    for r in order:
        minutes += float(moves.prices[r] @ left)
        left = left @ moves.stays[r]
    return minutes + float(end_minutes(moves, left[None])[0])


def end_minutes(moves: Moves, weights: Array) -> Array:
    """Cost of the cheapest end (refer, or no fault found) for rows of weights (rows, states)."""
    costs = moves.problem.costs
    refer = weights.sum(axis=1) * costs.refer
    if moves.nothing_wrong is None:
        return np.asarray(refer)
    sound = weights[:, moves.nothing_wrong] > NOTHING
    return np.where(sound, np.minimum(refer, weights @ moves.wrong * costs.false_verified), refer)


def subset_order(moves: Moves, belief: Array, useful: Sequence[int]) -> Order:
    """The best of all orders and of all places to end, by dynamic programming over subsets of repairs.

    Held & Karp, SIAM Journal 10, 1962. Memory: 2 ** repairs rows of states.
    """
    weights = belief[None]
    for r in useful:
        weights = np.concatenate([weights, weights @ moves.stays[r]])
    prices = weights @ moves.prices[list(useful)].T
    best = end_minutes(moves, weights)
    choice = np.full(len(weights), -1)
    numbers = np.arange(len(weights))
    sizes = np.bitwise_count(numbers)
    for size in range(len(useful) - 1, -1, -1):
        rows = numbers[sizes == size]
        for k in range(len(useful)):
            open_ = rows[(rows >> k & 1) == 0]
            minutes = prices[open_, k] + best[open_ | 1 << k]
            better = minutes < best[open_]
            best[open_[better]] = minutes[better]
            choice[open_[better]] = k
    return Order(_walk(choice, useful), float(best[0]), True)


def _walk(choice: Array, useful: Sequence[int]) -> tuple[int, ...]:
    done, order = 0, []
    while choice[done] >= 0:
        order.append(useful[int(choice[done])])
        done |= 1 << int(choice[done])
    return tuple(order)


def greedy_order(moves: Moves, belief: Array) -> Order:
    """By what a repair clears per minute, with the belief kept up to date; ended where ending is cheapest."""
    left, order, costs = belief, [], [float(end_minutes(moves, belief[None])[0])]
    while True:
        open_ = [r for r in moves.repairs if r not in order and moves.touches[r] @ left > NOTHING]
        if not open_:
            break
        order.append(max(open_, key=lambda r: float(moves.shares[r] @ left) / float(moves.prices[r] @ left)))
        left = left @ moves.stays[order[-1]]
        costs.append(order_minutes(moves, belief, order))
    end = int(np.argmin(costs))
    return Order(tuple(order[:end]), costs[end], False)


def searched_order(moves: Moves, belief: Array) -> Order:
    """The greedy order, then each repair moved to where it costs least until none helps: not proved."""
    found = greedy_order(moves, belief)
    while True:
        better = min(
            _neighbours(moves, belief, found.repairs), key=lambda o: o.expected_minutes, default=found
        )
        if better.expected_minutes >= found.expected_minutes - NOTHING:
            return found
        found = better


def _neighbours(moves: Moves, belief: Array, order: tuple[int, ...]) -> list[Order]:
    """Each repair taken out, left out, or put in elsewhere; and each unused one put in."""
    found = []
    for r in moves.repairs:
        rest = tuple(other for other in order if other != r)
        orders = [(*rest[:place], r, *rest[place:]) for place in range(len(rest) + 1)]
        found += [
            Order(o, order_minutes(moves, belief, o), False) for o in ([rest, *orders] if order else orders)
        ]
    return found

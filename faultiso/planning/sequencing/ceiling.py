"""Upper bounds: what a simple plan costs that can always be followed."""

from __future__ import annotations

import numpy as np

from faultiso.planning.sequencing.moves import NOTHING, Move, Moves
from faultiso.planning.sequencing.problem import Array


def simple_move(moves: Moves, belief: Array, left: int) -> Move:
    """What the simple plan does: for "fix" the repair that clears most per minute, or end where that is
    cheaper than the repair order; for "isolate" the check with most information per minute."""
    if moves.problem.goal == "isolate":
        return _most_telling(moves, belief, left)
    end = min(moves.ends(belief), key=lambda move: move.price)
    repair = next_repair(moves, belief, left)
    return repair if repair and straight_to_repair(moves, belief, left) < end.price else end


def simple_minutes(moves: Moves, belief: Array, left: int) -> float:
    """Expected minutes of the simple plan, or no less."""
    if moves.problem.goal == "fix":
        return straight_to_repair(moves, belief, left)
    if not moves.problem.noise_free:
        return _every_check(moves, left)
    return _greedy_minutes(moves, belief, left)


def straight_to_repair(moves: Moves, belief: Array, left: int) -> float:
    """Expected minutes of the repair order by what it clears per minute, ended where ending costs less.

    The ratio rule: Kadane & Simon, Annals of Statistics 5, 1977; with the belief kept up to date it is a
    heuristic where repairs overlap, and so an upper bound.
    """
    end = min(move.price for move in moves.ends(belief))
    repair = next_repair(moves, belief, left)
    if repair is None or repair.price >= end:
        return end
    after = 0.0
    for chance, onward in zip(repair.chances, repair.beliefs, strict=True):
        after += chance * straight_to_repair(moves, onward, moves.useful(onward, repair.left))
    return min(end, repair.price + after)


def next_repair(moves: Moves, belief: Array, left: int) -> Move | None:
    """The repair with the greatest share of faults cleared per minute."""
    count = len(moves.problem.checks)
    cleared, prices = moves.shares @ belief, moves.prices @ belief
    open_ = [r for r in moves.repairs if left >> count + r & 1 and cleared[r] > NOTHING]
    ways = {r: moves.shortest(count + r, left) for r in open_}
    near = {r: way for r, way in ways.items() if way}
    if not near:
        return None
    best = max(near, key=lambda r: cleared[r] / (prices[r] + near[r].minutes))
    return moves.repair(best, belief, near[best])


def _every_check(moves: Moves, left: int) -> float:
    """Minutes of all checks that are left, one after the other."""
    minutes = 0.0
    for c, check in enumerate(moves.problem.checks):
        if left >> c & 1 and (way := moves.shortest(c, left)):
            minutes, left = minutes + check.minutes + way.minutes, way.left
    return minutes


def _greedy_minutes(moves: Moves, belief: Array, left: int) -> float:
    move = _most_telling(moves, belief, left)
    parts = zip(move.chances, move.beliefs, strict=True)
    return move.price + sum(p * _greedy_minutes(moves, b, moves.useful(b, move.left)) for p, b in parts)


def _most_telling(moves: Moves, belief: Array, left: int) -> Move:
    found = moves.moves(belief, left)
    return max(found, key=lambda move: gain(belief, move) / max(move.price, NOTHING))


def gain(belief: Array, move: Move) -> float:
    """Information about the state in bits that the outcome of a check gives."""
    after = sum(p * entropy(b) for p, b in zip(move.chances, move.beliefs, strict=True))
    return entropy(belief) - float(after) if move.number >= 0 else 0.0


def entropy(belief: Array) -> float:
    """Entropy in bits."""
    positive = belief[belief > 0]
    return float(-(positive * np.log2(positive)).sum())

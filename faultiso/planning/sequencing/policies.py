"""Ways of deciding what to do next: a policy takes a belief and what is left and gives one move."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from faultiso.planning.sequencing.ceiling import gain, next_repair, simple_minutes, simple_move
from faultiso.planning.sequencing.moves import NO_FAULT_FOUND, NOTHING, Move, Moves
from faultiso.planning.sequencing.problem import Array
from faultiso.planning.sequencing.search import Key, key_of

Policy = Callable[[Moves, Array, int], Move]
SURE = 0.95  # probability of what is mended first at which a shop stops checking


def expected_minutes(moves: Moves, policy: Policy) -> float:
    """What a policy costs on average, by following every outcome."""

    def from_here(belief: Array, left: int) -> float:
        left = moves.useful(belief, left)
        key = key_of(belief, left)
        if key not in known:
            move = policy(moves, belief, left)
            parts = zip(move.chances.tolist(), move.beliefs, strict=True)
            known[key] = move.price + sum(chance * from_here(b, move.left) for chance, b in parts)
        return known[key]

    known: dict[Key, float] = {}
    return from_here(np.asarray(moves.problem.prior, dtype=float), moves.everything)


@dataclass(frozen=True, eq=False)
class Follow:
    """What a search has chosen (``Search.choices``), and the simple plan where it did not look."""

    choices: Mapping[Key, int]

    def __call__(self, moves: Moves, belief: Array, left: int) -> Move:
        place = self.choices.get(key_of(belief, left))
        return simple_move(moves, belief, left) if place is None else moves.moves(belief, left)[place]


def most_information(moves: Moves, belief: Array, left: int) -> Move:
    """The check with most information, whatever it takes; isolation only."""
    return max(moves.moves(belief, left), key=lambda move: gain(belief, move))


def most_information_per_minute(moves: Moves, belief: Array, left: int) -> Move:
    """The check with most information per minute; isolation only."""
    return max(moves.moves(belief, left), key=lambda m: gain(belief, m) / max(m.price, NOTHING))


def one_step(moves: Moves, belief: Array, left: int) -> Move:
    """The move that is best if the simple plan follows it (one step of lookahead)."""

    def minutes(move: Move) -> float:
        parts = zip(move.chances.tolist(), move.beliefs, strict=True)
        onward = sum(p * simple_minutes(moves, b, moves.useful(b, move.left)) for p, b in parts)
        return move.price + onward

    return min(moves.moves(belief, left), key=minutes)


def most_probable_first(moves: Moves, belief: Array, left: int) -> Move:
    """Shop policy: mend what is most probable; for isolation, the check that best tells it from the rest."""
    if moves.problem.goal == "fix":
        return _mend_most_probable(moves, belief, left)
    likely = int(belief.argmax())
    rest = belief.copy()
    rest[likely] = 0.0
    rest /= max(float(rest.sum()), NOTHING)

    def contrast(move: Move) -> float:
        if move.number < 0:
            return 0.0
        table = moves.chances[move.number]
        return float(np.abs(table[:, likely] - table @ rest).sum())

    return max(moves.moves(belief, left), key=contrast)


def cheapest_check_first(moves: Moves, belief: Array, left: int) -> Move:
    """Shop policy: the cheapest check that still tells something, until one thing stands out; then mend."""
    return _check_by(moves, belief, left, lambda move: move.price)


@dataclass(frozen=True)
class SymptomTable:
    """Shop policy: the checks of a table from the top down (places of checks), until one thing stands out."""

    order: tuple[int, ...]

    def __call__(self, moves: Moves, belief: Array, left: int) -> Move:
        known = {check: place for place, check in enumerate(self.order)}
        return _check_by(moves, belief, left, lambda move: known.get(move.number, len(known) + move.number))


def _check_by(moves: Moves, belief: Array, left: int, rank: Callable[[Move], float]) -> Move:
    found = moves.moves(belief, left)
    checks = [move for move in found if 0 <= move.number < len(moves.problem.checks)]
    sure = moves.problem.goal == "fix" and float(belief.max()) >= SURE
    if checks and not sure:
        return min(checks, key=rank)
    return simple_move(moves, belief, left) if moves.problem.goal == "isolate" else _mend(moves, belief, left)


def _mend_most_probable(moves: Moves, belief: Array, left: int) -> Move:
    """The repair that touches most; when nothing is left to mend, the cheapest end."""
    if next_repair(moves, belief, left) is None:
        return _end(moves, belief)
    count = len(moves.problem.checks)
    ways = {r: moves.shortest(count + r, left) for r in moves.repairs if left >> count + r & 1}
    near = {r: way for r, way in ways.items() if way}
    likely = max(near, key=lambda r: float(moves.touches[r] @ belief))
    return moves.repair(likely, belief, near[likely])


def _mend(moves: Moves, belief: Array, left: int) -> Move:
    repair = next_repair(moves, belief, left)
    end = _end(moves, belief)
    return end if repair is None or (end.number == NO_FAULT_FOUND and end.price < repair.price) else repair


def _end(moves: Moves, belief: Array) -> Move:
    return min(moves.ends(belief), key=lambda move: move.price)

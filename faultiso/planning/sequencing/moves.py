"""What can be done from a belief, and to which beliefs it leads: arrays made once for a problem.

A belief is an array (states,) that sums to one; rows of beliefs have shape (rows, states). ``left`` says
which checks and repairs have not been done yet, as bits: checks first, then repairs.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from faultiso.planning.sequencing.problem import Array, Problem

NOTHING = 1e-12  # a probability that counts as none


@dataclass(frozen=True, eq=False)
class Move:
    """One thing that can be done: expected price in minutes, and the beliefs it may lead to.

    ``number``: place among checks, then repairs; -1 refer, -2 no fault found, -3 isolated. ``left``: what
    can be done afterwards. What of the ``chances`` is missing to one ends the job (verified).
    """

    number: int
    price: float
    left: int
    outcomes: tuple[int, ...]
    chances: Array
    beliefs: Array


REFER, NO_FAULT_FOUND, ISOLATED = -1, -2, -3


@dataclass(frozen=True, eq=False)
class Moves:
    """The moves of a problem."""

    problem: Problem

    @cached_property
    def everything(self) -> int:
        return (1 << len(self.problem.checks) + len(self.repairs)) - 1

    @cached_property
    def repairs(self) -> tuple[int, ...]:
        """Places of the repairs that this goal can use."""
        return tuple(range(len(self.problem.repairs))) if self.problem.goal == "fix" else ()

    @cached_property
    def nothing_wrong(self) -> int | None:
        return self.problem.place.get(0)

    @cached_property
    def wrong(self) -> Array:
        """1 where something is wrong (states,)."""
        return np.array([float(state != 0) for state in self.problem.states])

    @cached_property
    def touches(self) -> Array:
        """1 where a repair clears something of the state (repairs, states)."""
        states = self.problem.states
        return np.array([[float(r.clears & s != 0) for s in states] for r in self.problem.repairs]).reshape(
            -1, len(states)
        )

    @cached_property
    def shares(self) -> Array:
        """The share of a state's faults that a repair clears (repairs, states)."""
        states, repairs = self.problem.states, self.problem.repairs
        rows = [[(r.clears & s).bit_count() / max(1, s.bit_count()) for s in states] for r in repairs]
        return np.array(rows).reshape(-1, len(states))

    @cached_property
    def remains(self) -> Array:
        """P(state after a repair, something still wrong | state before), shape (repairs, states, states)."""
        states, place = self.problem.states, self.problem.place
        table = np.zeros((len(self.repairs), len(states), len(states)))
        for r in self.repairs:
            repair = self.problem.repairs[r]
            for s, state in enumerate(states):
                if after := state & ~repair.clears:
                    table[r, s, place[after]] += 1.0 - repair.fails
                if state:
                    table[r, s, s] += repair.fails
        return table

    @cached_property
    def stays(self) -> Array:
        """The same where the verification says so too."""
        passes = np.array([self.problem.repairs[r].false_verified for r in self.repairs])
        return self.remains * (1.0 - passes)[:, None, None]

    @cached_property
    def prices(self) -> Array:
        """Expected price of a repair in each state (repairs, states), a false "verified" included."""
        costs = self.problem.costs
        rows = []
        for r in self.repairs:
            repair, touched = self.problem.repairs[r], self.touches[r]
            price = repair.minutes + (repair.parts * 60.0 / costs.hour if costs.hour else 0.0)
            row = price + touched * (repair.minutes_if_found + repair.fails * costs.failed_repair)
            row = row + (1.0 - touched) * costs.serviceable * repair.removes
            still = self.remains[r].sum(axis=1)
            rows.append(row + costs.false_verified * repair.false_verified * still)
        return np.array(rows).reshape(-1, len(self.problem.states))

    @cached_property
    def later(self) -> Array:
        """1 where a state may become another by repairs (states, states)."""
        count = len(self.problem.states)
        reach = np.eye(count, dtype=bool)
        step = np.eye(count, dtype=bool) | (self.stays.sum(axis=0) > 0 if self.repairs else False)
        for _ in range(max(1, len(self.problem.faults))):
            reach = reach @ step
        return np.asarray(reach)

    @cached_property
    def splits(self) -> Array:
        """Whether a check tells two states apart (checks, states, states)."""
        rows = [np.asarray(c.given) for c in self.problem.checks]
        return np.array([np.abs(g[:, None] - g[None]).max(axis=2) > NOTHING for g in rows]).reshape(
            -1, len(self.problem.states), len(self.problem.states)
        )

    @cached_property
    def chances(self) -> tuple[Array, ...]:
        """P(outcome | state) of each check, outcomes first."""
        return tuple(np.ascontiguousarray(np.asarray(c.given, dtype=float).T) for c in self.problem.checks)

    def useful(self, belief: Array, left: int) -> int:
        """Of what is left, what could still tell something or touch something, as bits."""
        here = np.flatnonzero(belief > 0)
        ahead = np.flatnonzero(self.later[here].any(axis=0)) if self.repairs else here
        return left & sum(1 << number for number in self._able(ahead))

    def _able(self, states: NDArray[np.intp]) -> list[int]:
        """Numbers of the checks that split these states, and of the repairs that touch one."""
        checks = np.flatnonzero(self.splits[:, states[0]][:, states].any(axis=1)).tolist()
        if not self.repairs:
            return checks
        repairs = np.flatnonzero(self.touches[:, states].any(axis=1)) + len(self.problem.checks)
        return [*checks, *repairs.tolist()]

    def moves(self, belief: Array, left: int) -> list[Move]:
        """Everything that makes sense from a belief; ``left`` as ``useful`` gives it."""
        count = len(self.problem.checks)
        able = [n for n in self._able(np.flatnonzero(belief > 0)) if left >> n & 1]
        found = [
            self.check(n, belief, left) if n < count else self.repair(n - count, belief, left) for n in able
        ]
        return [*found, *self.ends(belief, bool(found))]

    def check(self, c: int, belief: Array, left: int) -> Move:
        """Check number ``c`` from a belief."""
        joint = self.chances[c] * belief
        chance = joint.sum(axis=1)
        seen = np.flatnonzero(chance > NOTHING)
        beliefs = joint[seen] / chance[seen, None]
        price = self.problem.checks[c].minutes
        return Move(c, price, left & ~(1 << c), tuple(seen.tolist()), chance[seen], beliefs)

    def repair(self, r: int, belief: Array, left: int) -> Move:
        """Repair number ``r`` from a belief; its one outcome is that it is not verified."""
        number = len(self.problem.checks) + r
        after = belief @ self.stays[r]
        chance = np.array([after.sum()])
        price = float(self.prices[r] @ belief)
        if chance[0] <= NOTHING:
            return Move(number, price, 0, (), np.zeros(0), np.zeros((0, len(belief))))
        return Move(number, price, left & ~(1 << number), (0,), chance, (after / chance[0])[None])

    def ends(self, belief: Array, more: bool = False) -> list[Move]:
        """The ways to end; isolation ends only when there is no ``more`` to do."""
        none, nowhere = np.zeros(0), np.zeros((0, len(belief)))
        if self.problem.goal == "isolate":
            return [] if more else [Move(ISOLATED, 0.0, 0, (), none, nowhere)]
        found = [Move(REFER, self.problem.costs.refer, 0, (), none, nowhere)]
        if self.nothing_wrong is not None and belief[self.nothing_wrong] > 0:
            wrong = float(self.wrong @ belief)
            found.append(
                Move(NO_FAULT_FOUND, wrong * self.problem.costs.false_verified, 0, (), none, nowhere)
            )
        return found

"""What can be done from a belief, and to which beliefs it leads: arrays made once for a problem.

A belief is an array (states,) that sums to one; rows of beliefs have shape (rows, states). ``left`` says
what has not been done yet, as bits: checks first, then repairs, then setups; above them stands the number
of the present stand.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, reduce
from operator import or_
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from faultiso.planning.sequencing.problem import Array, Check, Problem, Repair
from faultiso.planning.sequencing.site import Handling

NOTHING = 1e-12  # a probability that counts as none


@dataclass(frozen=True, eq=False)
class Move:
    """One thing that can be done: expected price in minutes, and the beliefs it may lead to.

    ``number``: place among checks, then repairs; -1 refer, -2 no fault found, -3 isolated, from -4 downwards
    the deferrals. ``left``: what can be done afterwards. What of the ``chances`` is missing to one ends the
    job (verified). ``before``: what of the price is spent on the way to it.
    """

    number: int
    price: float
    left: int
    outcomes: tuple[int, ...]
    chances: Array
    beliefs: Array
    before: float = 0.0


REFER, NO_FAULT_FOUND, ISOLATED, DEFERRED = -1, -2, -3, -4


class Way(NamedTuple):
    """Minutes until an action can begin, and what is left to do after it."""

    minutes: float
    left: int


@dataclass(frozen=True, eq=False)
class Moves:
    """The moves of a problem."""

    problem: Problem

    @cached_property
    def everything(self) -> int:
        site = self.problem.site
        return (1 << self._top) - 1 | site.start << self._top

    @cached_property
    def _actions(self) -> int:
        """The bit of the first setup."""
        return len(self.problem.checks) + len(self.repairs)

    @cached_property
    def _top(self) -> int:
        """The bit from which on the present stand is counted."""
        return self._actions + len(self.problem.site.setups)

    @cached_property
    def _changes(self) -> Array:
        """Minutes from stand to stand (stands, stands)."""
        actions: list[Check | Repair] = [*self.problem.checks, *self.problem.repairs]
        led = [(a.handling.begins, a.handling.ends, a.minutes) for a in actions]
        return self.problem.site.least([(b, e, minutes) for b, e, minutes in led if e is not None])

    def ways(self, handling: Handling, left: int) -> list[Way]:
        """The ways to meet what an action asks for, the shortest first; empty if it cannot be met.

        Several only where the action can be made in several stands, none of them on the way to another.
        """
        site, stand = self.problem.site, left >> self._top
        if site.free:
            return [Way(0.0, left)]
        open_ = left >> self._actions & handling.setups
        minutes = sum(setup.minutes for k, setup in enumerate(site.setups) if open_ >> k & 1)
        rest = left & ((1 << self._top) - 1) & ~(handling.setups << self._actions)
        begins = self._begins(handling.begins, stand)
        if handling.ends is not None:
            return [Way(minutes + far, rest | handling.ends << self._top) for far, _ in begins[:1]]
        return [Way(minutes + far, rest | b << self._top) for far, b in begins]

    def shortest(self, number: int, left: int) -> Way | None:
        """The shortest way to a check or repair; None if it cannot be made from here."""
        return next(iter(self.ways(self._handling(number), left & ~(1 << number))), None)

    def _begins(self, able: tuple[int, ...], stand: int) -> list[tuple[float, int]]:
        """How far it is to each stand that can do, without those that lie behind another."""
        if not able or stand in able:
            return [(0.0, stand)]
        far = sorted((float(self._changes[stand, b]), b) for b in able if self._changes[stand, b] < np.inf)
        kept: list[tuple[float, int]] = []
        for minutes, b in far:
            if not any(before + self._changes[k, b] <= minutes + NOTHING for before, k in kept):
                kept.append((minutes, b))
        return kept

    def least_extra(self, left: int) -> Array:
        """No way to a repair from here takes fewer minutes besides its own (repairs,)."""
        site, stand = self.problem.site, left >> self._top
        found = []
        for r in self.repairs:
            handling = self.problem.repairs[r].handling
            open_ = left >> self._actions & handling.setups
            minutes = sum(setup.minutes for k, setup in enumerate(site.setups) if open_ >> k & 1)
            far = self._begins(handling.begins, stand)
            found.append(minutes + (far[0][0] if far else np.inf))
        return np.array(found)

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
    def deferred(self) -> Array:
        """Price of each deferral in each state (deferrals, states)."""
        costs, states = self.problem.costs, self.problem.states
        rows = [
            [d.minutes + (costs.false_verified if s & ~d.covers else costs.deferred) for s in states]
            for d in self.problem.deferrals
        ]
        return np.array(rows).reshape(-1, len(states))

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
        able = self._able(ahead)
        kept = sum(1 << number for number in able)
        if not self.problem.site.free:
            asked = [self._handling(number).setups for number in able if left >> number & 1]
            kept |= reduce(or_, asked, 0) << self._actions | left >> self._top << self._top
        return left & kept

    def _handling(self, number: int) -> Handling:
        checks, repairs = self.problem.checks, self.problem.repairs
        if number < len(checks):
            return checks[number].handling
        return repairs[number - len(checks)].handling

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
            self.check(n, belief, way) if n < count else self.repair(n - count, belief, way)
            for n in able
            for way in self.ways(self._handling(n), left & ~(1 << n))
        ]
        return [*found, *self.ends(belief, bool(found))]

    def check(self, c: int, belief: Array, way: Way) -> Move:
        """Check number ``c`` from a belief, by one of its ways."""
        joint = self.chances[c] * belief
        chance = joint.sum(axis=1)
        seen = np.flatnonzero(chance > NOTHING)
        beliefs = joint[seen] / chance[seen, None]
        price = way.minutes + self.problem.checks[c].minutes
        return Move(c, price, way.left, tuple(seen.tolist()), chance[seen], beliefs, way.minutes)

    def repair(self, r: int, belief: Array, way: Way) -> Move:
        """Repair number ``r`` from a belief, by one of its ways; its one outcome: it is not verified."""
        number = len(self.problem.checks) + r
        after = belief @ self.stays[r]
        chance = np.array([after.sum()])
        price = way.minutes + float(self.prices[r] @ belief)
        if chance[0] <= NOTHING:
            return Move(number, price, 0, (), np.zeros(0), np.zeros((0, len(belief))), way.minutes)
        return Move(number, price, way.left, (0,), chance, (after / chance[0])[None], way.minutes)

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
        prices = (self.deferred @ belief).tolist()
        return found + [Move(DEFERRED - d, price, 0, (), none, nowhere) for d, price in enumerate(prices)]

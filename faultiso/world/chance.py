"""The exact chance of readings given the hidden faults, one after the other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from faultiso.base.problems import TooLarge
from faultiso.network.network import Array
from faultiso.world.hidden import Hidden, Look

MOST_ROWS = 40_000
MANY_ROWS = 2_000  # above which the least probable are forgotten
FORGET = 1e-11  # of the probability of all rows, each time
MOST_FORGOTTEN = 1e-4

Shown = tuple[Look, int]  # a look and the place of the outcome that it shows


def chances(hidden: Hidden, shown: Sequence[Shown]) -> list[float]:
    """P(reading | those before it, the hidden faults) of each; what is impossible is left out of the rest.

    The rows of possible states are carried along, and what nothing needs any more is summed out. Each chance
    is right to one part in ten thousand: what is forgotten of too many rows is counted. Raises TooLarge if
    there are too many rows all the same, or a chance is so small that what was forgotten may matter.
    """
    rows = _Rows(hidden, shown)
    return [rows.show(*item) for item in shown]


class _Rows:
    """Joint states of some variables, and the probability of each row."""

    def __init__(self, hidden: Hidden, shown: Sequence[Shown]) -> None:
        self._hidden = hidden
        self._uses = _uses(hidden, shown)
        self._done: set[int] = set()
        self._read: dict[str, int] = {}
        self._columns: list[int] = []
        self._states: NDArray[np.int16] = np.zeros((1, 0), dtype=np.int16)
        self._weights: Array = np.ones(1)
        self._forgotten = 0.0  # beside the weights of all rows, which add up to 1 after each reading

    def show(self, look: Look, outcome: int) -> float:
        """The chance of this reading; from now on it counts, unless it is impossible."""
        of_row = self._chance_in_each_row(look, outcome)  # makes the rows
        if look.name in self._read:  # the very same reading again
            of_row = np.full(len(of_row), float(self._read[look.name] == outcome))
        weights = self._weights * of_row
        chance = float(weights.sum())
        if self._forgotten > MOST_FORGOTTEN * chance and not self._never(look, outcome):
            raise TooLarge(f"{look.sign.name} = {look.sign.outcomes[outcome]} is too improbable to work out")
        if chance > 0:
            self._weights = weights / chance
            self._forgotten /= chance
            self._read[look.name] = outcome
        if not look.node.constant:
            self._used(look.node.variable)
        return chance

    def _never(self, look: Look, outcome: int) -> bool:
        """Whether no state that there is, forgotten or not, shows this."""
        state = 0 if look.node.constant else self._hidden.variables.variable(look.node.variable).state
        return bool(look.chances[slice(None) if state is None else state, outcome].max() == 0)

    def _chance_in_each_row(self, look: Look, outcome: int) -> Array:
        if look.node.constant:
            return look.chances[:, outcome]
        for variable in _parents_first(self._hidden, look.node.variable, self._done):
            self._add(variable)
        return look.chances[self._column(look.node.variable), outcome]

    def _column(self, variable: int) -> NDArray[np.int16]:
        return self._states[:, self._columns.index(variable)]

    def _add(self, variable: int) -> None:
        given = self._hidden.variables.variable(variable)
        spread = given.table[tuple(self._column(p) for p in given.parents)]
        spread = np.broadcast_to(spread, (len(self._states), given.table.shape[-1]))
        row, state = np.nonzero(spread)
        self._weights = self._weights[row] * spread[row, state]
        self._states = np.column_stack([self._states[row], state.astype(np.int16)])
        self._columns.append(variable)
        self._forget()
        for parent in given.parents:
            self._used(parent)

    def _used(self, variable: int) -> None:
        """One use less; what has none left is summed out."""
        self._uses[variable] -= 1
        if self._uses[variable]:
            return
        place = self._columns.index(variable)
        del self._columns[place]
        possible = self._weights > 0
        states = np.delete(self._states[possible], place, axis=1)
        self._states, row = np.unique(states, axis=0, return_inverse=True)
        self._weights = np.bincount(row.ravel(), self._weights[possible]).astype(float)

    def _forget(self) -> None:
        """Of many rows drop the least probable, as far as they make next to no difference together."""
        if len(self._weights) <= MANY_ROWS:
            return
        order = np.argsort(self._weights, kind="stable")
        sums = np.cumsum(self._weights[order])
        dropped = int(np.searchsorted(sums, FORGET * sums[-1]))
        self._forgotten += float(sums[dropped - 1]) if dropped else 0.0
        kept = np.sort(order[dropped:])
        if len(kept) > MOST_ROWS:
            raise TooLarge(f"more than {MOST_ROWS:,} ways in which these readings can come about")
        self._weights, self._states = self._weights[kept], self._states[kept]


def _uses(hidden: Hidden, shown: Sequence[Shown]) -> dict[int, int]:
    """How often each variable is needed: by another variable or by a reading."""
    uses: dict[int, int] = {}
    done: set[int] = set()
    for look, _ in shown:
        if look.node.constant:
            continue
        for variable in _parents_first(hidden, look.node.variable, done):
            for parent in hidden.variables.variable(variable).parents:
                uses[parent] = uses.get(parent, 0) + 1
        uses[look.node.variable] = uses.get(look.node.variable, 0) + 1
    return uses


def _parents_first(hidden: Hidden, variable: int, done: set[int]) -> Iterator[int]:
    """The variable and what feeds it, without what is ``done``; each branch to its end before the next."""
    todo = [(variable, False)]
    while todo:
        v, ready = todo.pop()
        if v in done:
            continue
        if ready:
            done.add(v)
            yield v
        else:
            todo.append((v, True))
            todo += [(p, False) for p in hidden.variables.variable(v).parents]

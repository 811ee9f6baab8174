"""Draws side by side: what each variable and each look comes out as, one entry for each draw."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from faultiso.network.network import Array
from faultiso.world.hidden import Hidden, Look
from faultiso.world.settled import Given
from faultiso.world.streams import Whole, uniform

States = NDArray[np.int16]


class Draws:
    """What comes out for each of ``seeds``, shape (draws,).

    ``numbers``: of each stream, which draw of it counts, shape (draws,); where nothing is said, draw 0. Each
    variable comes out once: later questions find what earlier ones have drawn. What is the same in all draws
    has shape (1,).
    """

    def __init__(self, hidden: Hidden, seeds: Whole, numbers: Mapping[str, Whole]) -> None:
        self.hidden = hidden
        self.seeds = seeds
        self._numbers = numbers
        self._states: dict[int, States] = {}
        self._outcomes: dict[str, States] = {}

    def states(self, variable: int) -> States:
        """The state of a variable in each draw."""
        if variable not in self._states:
            for v in self.hidden.variables.needed(variable):
                if v not in self._states:
                    self._states[v] = self._come_out(self.hidden.variables.variable(v))
        return self._states[variable]

    def outcomes(self, look: Look) -> States:
        """The place of the outcome that is read, in each draw."""
        if look.name not in self._outcomes:
            states = None if look.node.constant else self.states(look.node.variable)
            rows = look.chances[0] if states is None else look.chances[states]
            self._outcomes[look.name] = self._drawn(look.name, rows)
        return self._outcomes[look.name]

    def uniform(self, stream: str) -> Array:
        """The number of the stream in each draw."""
        return uniform(stream, self.seeds, self._numbers.get(stream, np.zeros_like(self.seeds)))

    def _come_out(self, given: Given) -> States:
        parents = tuple(self._states[p] for p in given.parents)
        if given.stream:
            return self._drawn(given.stream, given.table[parents])
        return np.atleast_1d(given.table.argmax(axis=-1)[parents]).astype(np.int16)

    def _drawn(self, stream: str, rows: Array) -> States:
        """The inverse distribution at the stream's numbers; ``rows``: (states,) or (draws, states)."""
        if rows.ndim == 1 and (rows > 0).sum() == 1:
            return np.array([rows.argmax()], dtype=np.int16)
        sums = np.cumsum(rows, axis=-1)
        sums = sums / sums[..., -1:]  # exactly 1 from the last possible state on
        return (self.uniform(stream)[:, None] >= sums).sum(axis=-1).astype(np.int16)

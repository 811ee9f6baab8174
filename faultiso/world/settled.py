"""The variables of a network once some are fixed: what these settle is worked out, the rest is drawn."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from faultiso.network.builder import Builder
from faultiso.network.network import Array
from faultiso.world.names import Names


@dataclass(frozen=True)
class Given:
    """A variable given those that are fixed: what they settle is no parent any more.

    ``table``: (states of each parent..., states). ``stream`` names its random numbers, "" where nothing is
    drawn. ``chance``: of a fixed variable, that it would be as it is fixed.
    """

    parents: tuple[int, ...]
    table: Array
    stream: str = ""
    chance: float = 1.0

    @property
    def state(self) -> int | None:
        """The state it is settled at, if it is."""
        return int(self.table.argmax()) if not self.parents and (self.table == 1).any() else None


class Settled:
    """The variables of a builder, with the ``fixed`` ones at the given states; it may grow."""

    def __init__(self, builder: Builder, names: Names, fixed: Mapping[int, int]) -> None:
        self._builder = builder
        self._names = names
        self._fixed = fixed
        self._given: list[Given] = []

    def variable(self, number: int) -> Given:
        while len(self._given) <= number:
            self._given.append(self._next(len(self._given)))
        return self._given[number]

    def needed(self, number: int) -> list[int]:
        """The variable and all that still feeds it, parents first."""
        found, todo = set[int](), [number]
        while todo:
            v = todo.pop()
            if v not in found:
                found.add(v)
                todo += self.variable(v).parents
        return sorted(found)

    def _next(self, number: int) -> Given:
        variable = self._builder.variable(number)
        parents, table = self._without_settled(variable.parents, variable.table)
        if number in self._fixed:
            state = self._fixed[number]
            return Given((), np.eye(table.shape[-1])[state], chance=float(table[..., state].max()))
        return Given(parents, table, self._names.stream(variable.owner[0]) if variable.owner else "")

    def _without_settled(self, parents: tuple[int, ...], table: Array) -> tuple[tuple[int, ...], Array]:
        """The parents that are still open and make a difference, and the table for them."""
        kept = list(parents)
        for axis in reversed(range(len(parents))):
            state = self._given[parents[axis]].state
            rest = table.take([0 if state is None else state], axis=axis)
            if state is not None or (table == rest).all():
                table = rest.squeeze(axis)
                del kept[axis]
        return tuple(kept), table

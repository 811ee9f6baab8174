"""A model with its faults hidden in it: every variable of its network, given that just these are there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from faultiso.base.nearest import listed, nearest
from faultiso.base.problems import UsageError
from faultiso.model.parts import Check, Indication
from faultiso.model.system import Model
from faultiso.network.builder import Node
from faultiso.network.ground import PRESENT, Grounding
from faultiso.network.network import Array
from faultiso.network.timeline import Timeline, start
from faultiso.world.names import Names


@dataclass(frozen=True)
class Given:
    """A variable given the hidden faults: what is settled by them is no parent any more.

    ``table``: (states of each parent..., states). ``stream`` names its random numbers, "" for a function.
    """

    parents: tuple[int, ...]
    table: Array
    stream: str

    @property
    def settled(self) -> bool:
        return not self.parents and bool((self.table == 1).any())


@dataclass(frozen=True)
class Look:
    """One reading of a sign: the same sign with the same truth, by the same reader, has the same ``name``.

    ``chances``: (states of its variable, outcomes), the chance of each outcome being read; for a constant
    (1, outcomes).
    """

    name: str
    sign: Indication | Check
    node: Node
    chances: Array


class Hidden:
    """The grounded model and the faults that are there before any work; grows with what is asked."""

    def __init__(self, model: Model, faults: frozenset[str]) -> None:
        """Raises UsageError if there is no such fault, or the model says that these are never there alone."""
        self.model = model
        self.faults = faults
        self.ground = Grounding(model)
        self._names = Names(self.ground.builder)
        self._given: list[Given] = []
        self._looks: dict[tuple[str, Node, int], Look] = {}
        self._fixed: dict[int, int] = {}
        self._settle()

    def variable(self, number: int) -> Given:
        while len(self._given) <= number:
            self._given.append(self._next(len(self._given)))
        return self._given[number]

    def needed(self, number: int) -> list[int]:
        """The variable and all that still feeds it, parents first."""
        self.variable(number)
        found, todo = set[int](), [number]
        while todo:
            v = todo.pop()
            if v not in found:
                found.add(v)
                todo += self._given[v].parents
        return sorted(found)

    def look(self, name: str, timeline: Timeline, moment: int, draw: int) -> Look:
        """The look at an indication or a check. Raises UsageError for a name that the model does not have."""
        sign = self.sign(name)
        node = self.ground.true_outcome(sign, timeline, moment)
        key = (name, node, draw)
        if key not in self._looks:
            rows = self.ground.reading_chances(sign)
            chances = np.array([rows[label] for label in node.labels])
            called = f"reading of {name} by {draw}: {self._names.view(node)}"
            self._looks[key] = Look(called, sign, node, chances)
        return self._looks[key]

    def sign(self, name: str) -> Indication | Check:
        sign = self.model.indications.get(name) or self.model.checks.get(name)
        if sign is None:
            raise _unknown("indication or check", name, [*self.model.indications, *self.model.checks])
        return sign

    def true_node(self, name: str, timeline: Timeline, moment: int) -> Node:
        """What a quantity, an indication or a (perfect) check truly is."""
        if name in self.model.quantities:
            return self.ground.level(name, timeline, moment)
        return self.ground.true_outcome(self.sign(name), timeline, moment)

    # the faults

    def _settle(self) -> None:
        """Fix the state of each variable that says which faults are there."""
        for name in self.faults:
            if name not in self.model.faults:
                raise _unknown("fault", name, list(self.model.faults))
        before = start(self.model.start)
        nodes = {name: self.ground.present(name, before) for name in self.model.faults}
        for variable in {node.variable for node in nodes.values() if not node.constant}:
            if self.ground.builder.variable(variable).owner:
                self._fixed[variable] = self._state(variable, nodes)
        for name, node in nodes.items():
            self._refuse_unless(name, node)

    def _state(self, variable: int, nodes: Mapping[str, Node]) -> int:
        views = {name: node.labels for name, node in nodes.items() if node.variable == variable}
        for state in range(len(next(iter(views.values())))):
            if all((labels[state] == PRESENT) == (name in self.faults) for name, labels in views.items()):
                return state
        raise self._never()

    def _refuse_unless(self, name: str, node: Node) -> None:
        """Refuse faults that the model says cannot be there, or be missing, with the others as they are."""
        state = 0
        if not node.constant:
            given = self.variable(node.variable)
            fixed = self._fixed.get(node.variable)
            state = int(given.table.argmax()) if fixed is None else fixed
            if fixed is not None and not self._possible(node.variable, fixed):
                raise self._never(name)
        if (node.labels[state] == PRESENT) != (name in self.faults):
            raise self._never(name)

    def _possible(self, number: int, state: int) -> bool:
        return bool(self._sliced(number)[1][..., state].max() > 0)

    def _never(self, name: str = "") -> UsageError:
        these = listed(sorted(self.faults), "and")
        if not name:
            return UsageError(f"{self.model.name} never has just these faults: {these}")
        how = "without" if name not in self.faults else "with"
        return UsageError(f"{self.model.name} never has just these faults: {these} (never {how} {name})")

    # variables given the faults

    def _next(self, number: int) -> Given:
        owner = self.ground.builder.variable(number).owner
        parents, table = self._sliced(number)
        if number in self._fixed:
            return Given((), np.eye(table.shape[-1])[self._fixed[number]], "")
        return Given(parents, table, self._names.stream(owner[0]) if owner else "")

    def _sliced(self, number: int) -> tuple[tuple[int, ...], Array]:
        """The parents that still make a difference, and the table for them."""
        variable = self.ground.builder.variable(number)
        table, parents = variable.table, list(variable.parents)
        for axis in reversed(range(len(parents))):
            given = self.variable(parents[axis])
            if given.settled:
                table = np.asarray(table.take(int(given.table.argmax()), axis=axis))
                del parents[axis]
        for axis in reversed(range(len(parents))):
            first = table.take([0], axis=axis)
            if (table == first).all():
                table = first.squeeze(axis)
                del parents[axis]
        return tuple(parents), table


def _unknown(kind: str, name: str, names: Sequence[str]) -> UsageError:
    close = nearest(name, names)
    return UsageError(f"no {kind} is called {name!r}" + (f"; nearest: {close}" if close else ""))

"""A model with faults hidden in it: its network given that just these are there, and looks at its signs."""

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
from faultiso.world.settled import Settled


@dataclass(frozen=True)
class Look:
    """One reading of a sign: the same sign with the same truth, by the same reader, has the same ``name``.

    ``chances`` of each outcome being read: (states of the node's variable, outcomes); of a constant (1, ...).
    """

    name: str
    sign: Indication | Check
    node: Node
    chances: Array


class Hidden:
    """The grounded model and the faults that are there before any work; grows with what is asked."""

    def __init__(self, model: Model, faults: frozenset[str]) -> None:
        """Raises UsageError if a fault does not exist, or the model says that just these are never there."""
        self.model = model
        self.faults = faults
        self.ground = Grounding(model)
        self._looks: dict[tuple[str, Node, int], Look] = {}
        for name in sorted(faults - model.faults.keys()):
            raise _unknown("fault", name, list(model.faults))
        before_any_work = start(model.start)
        nodes = {name: self.ground.present(name, before_any_work) for name in model.faults}
        self._names = Names(self.ground.builder)
        self.variables = Settled(self.ground.builder, self._names, self._fixed(nodes))
        self._refuse_impossible(nodes)

    def look(self, name: str, timeline: Timeline, moment: int, draw: int) -> Look:
        """The look at an indication or a check. Raises UsageError for a name that the model does not have."""
        sign = self._sign(name)
        node = self.ground.true_outcome(sign, timeline, moment)
        key = (name, node, draw)
        if key not in self._looks:
            rows = self.ground.reading_chances(sign)
            chances = np.array([rows[label] for label in node.labels])
            called = f"reading of {name} by {draw}: {self._names.view(node)}"
            self._looks[key] = Look(called, sign, node, chances)
        return self._looks[key]

    def true_node(self, name: str, timeline: Timeline, moment: int) -> Node:
        """What a quantity, an indication or a (perfect) check truly is."""
        if name in self.model.quantities:
            return self.ground.level(name, timeline, moment)
        return self.ground.true_outcome(self._sign(name), timeline, moment)

    def _sign(self, name: str) -> Indication | Check:
        sign = self.model.indications.get(name) or self.model.checks.get(name)
        if sign is None:
            raise _unknown("indication or check", name, [*self.model.indications, *self.model.checks])
        return sign

    def _fixed(self, nodes: Mapping[str, Node]) -> dict[int, int]:
        """The state of each variable that is drawn for faults."""
        views: dict[int, dict[str, Node]] = {}
        for name, node in nodes.items():
            if not node.constant and self.ground.builder.variable(node.variable).owner:
                views.setdefault(node.variable, {})[name] = node
        return {variable: self._state(seen) for variable, seen in views.items()}

    def _state(self, views: Mapping[str, Node]) -> int:
        """The state of a variable in which all faults that it tells of are as they are hidden."""
        for state in range(len(next(iter(views.values())).labels)):
            if all(self._agrees(name, node.labels[state]) for name, node in views.items()):
                return state
        raise self._never()

    def _refuse_impossible(self, nodes: Mapping[str, Node]) -> None:
        for name, node in nodes.items():
            if node.constant:
                possible, state = True, 0
            else:
                given = self.variables.variable(node.variable)
                possible, state = given.chance > 0, given.state or 0
            if not (possible and self._agrees(name, node.labels[state])):
                raise self._never(name)

    def _agrees(self, fault: str, label: str) -> bool:
        return (label == PRESENT) == (fault in self.faults)

    def _never(self, fault: str = "") -> UsageError:
        text = f"{self.model.name} can not have just these faults: {listed(sorted(self.faults), 'and')}"
        if fault:
            text += f" ({fault} {'can not' if fault in self.faults else 'must'} be there too)"
        return UsageError(text)


def _unknown(kind: str, name: str, names: Sequence[str]) -> UsageError:
    close = nearest(name, names)
    return UsageError(f"no {kind} is called {name!r}" + (f"; nearest: {close}" if close else ""))

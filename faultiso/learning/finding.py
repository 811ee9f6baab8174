"""What was found, as weights of the states of the variables that tell of faults."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from faultiso.learning.roots import EITHER, Roots
from faultiso.learning.rows import Counted, Finding
from faultiso.network.builder import Node
from faultiso.network.ground import PRESENT, both
from faultiso.network.network import Array
from faultiso.network.timeline import Timeline

Said = tuple[Node, float, float]  # a node, and the weights of absent and present


class Findings:
    """The faults before any work, the units that rows name, and what each row says of them.

    ``weak``: how much more often a unit is changed "with satisfactory test" where it is faulty; by as much
    each fault that is there makes "no fault found" rarer.
    """

    def __init__(self, ground: Roots, timeline: Timeline, rows: Sequence[Counted], weak: float) -> None:
        self.faults = {name: ground.present(name, timeline, 0) for name in ground.model.faults}
        self._ground, self._rows, self._weak = ground, rows, weak
        named = sorted({unit for counted in rows for unit in counted.row.finding.units})
        self._units = {unit: self._any_of(unit) for unit in named}

    @property
    def variables(self) -> set[int]:
        """Variables of the builder that are spoken of."""
        return {node.variable for node in (*self.faults.values(), *self._units.values())}

    def weights(self, place: Mapping[int, int]) -> dict[int, Array]:
        """By variable of the network, (states, rows). ``place``: the builder's variable -> the network's."""
        found: dict[int, Array] = {}
        for column, counted in enumerate(self._rows):
            for node, absent, present in self._said(counted.row.finding):
                of_state = [present if label == PRESENT else absent for label in node.labels]
                variable = place[node.variable]
                if variable not in found:
                    found[variable] = np.ones((len(of_state), len(self._rows)))
                found[variable][:, column] *= of_state
        return found

    def _any_of(self, unit: str) -> Node:
        """Whether any fault of the unit is there."""
        first, *others = [self.faults[fault.name] for fault in self._ground.model.components[unit].faults]
        for node in others:
            first = both(self._ground.builder, f"{unit}, any", first, node, EITHER)
        return first

    def _said(self, finding: Finding) -> Iterator[Said]:
        units = self._ground.model.components
        inside = {fault.name for unit in finding.units for fault in units[unit].faults}
        named = {*finding.faults, *inside}
        if finding.words == "proved":
            yield from ((self.faults[name], 0.0, 1.0) for name in finding.faults)
            yield from ((self._units[unit], 0.0, 1.0) for unit in finding.units)
            yield from ((node, 1.0, 0.0) for name, node in self.faults.items() if name not in named)
        elif finding.words == "weak":
            yield from ((self.faults[name], 1.0, self._weak) for name in finding.faults)
            yield from ((self._units[unit], 1.0, self._weak) for unit in finding.units)
        elif finding.words == "none":
            yield from ((node, 1.0, 1.0 / self._weak) for node in self.faults.values())

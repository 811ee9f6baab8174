"""Names of a network's variables that do not hang on the order in which it was built.

A variable drawn by chance is called by its owner; a plain function by its parents' names and its table,
written down with the parents in the order of their names. No decimal fraction enters a name: its last
digit may differ from one machine to another.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Hashable

import numpy as np
from numpy.typing import NDArray

from faultiso.network.builder import Builder, Node, Variable

States = NDArray[np.intp]


class Names:
    """The names of all variables of a builder, each worked out once."""

    def __init__(self, builder: Builder) -> None:
        self._builder = builder
        self._names: list[str] = []
        self._ranks: list[States] = []  # of each state of the variable

    def stream(self, owner: Hashable) -> str:
        """The name of the random stream of what is drawn for an owner."""
        return json.dumps(["draw", owner])

    def view(self, node: Node) -> str:
        """The name of what a node shows."""
        if node.constant:
            return json.dumps(["always", node.labels[0]])
        while len(self._names) <= node.variable:
            self._next()
        ranks = self._ranks[node.variable]
        return json.dumps([self._names[node.variable], [node.labels[s] for s in np.argsort(ranks)]])

    def _next(self) -> None:
        variable = self._builder.variable(len(self._names))
        if variable.owner:
            self._names.append(self.stream(variable.owner[0]))
            self._ranks.append(np.arange(variable.table.shape[-1]))
            return
        name, ranks = self._of_function(variable)
        self._names.append(name)
        self._ranks.append(ranks)

    def _of_function(self, variable: Variable) -> tuple[str, States]:
        """States are ranked by where they first come, the parents being in the order of their names."""
        order = sorted(range(len(variable.parents)), key=lambda axis: self._names[variable.parents[axis]])
        table = variable.table.argmax(axis=-1).transpose(order)
        for axis, place in enumerate(order):
            table = table.take(np.argsort(self._ranks[variable.parents[place]]), axis=axis)
        ranks = np.empty(variable.table.shape[-1], dtype=np.intp)
        ranks[list(dict.fromkeys(table.ravel().tolist()))] = np.arange(len(ranks))
        parents = [self._names[variable.parents[place]] for place in order]
        content = json.dumps([parents, table.shape, ranks[table].ravel().tolist()])
        return hashlib.sha256(content.encode("ascii")).hexdigest(), ranks

"""The whole model in one set of conditions as an ordinary network, for export and for a second opinion."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from faultiso.model.system import Model
from faultiso.network.builder import CONSTANT, Node
from faultiso.network.ground import ABSENT, PRESENT, Grounding
from faultiso.network.network import Array, Network
from faultiso.network.timeline import start


@dataclass(frozen=True, slots=True)
class _Part:
    """A named part: for each label of its node, the chances of its own states."""

    name: str
    states: tuple[str, ...]
    node: Node
    chances: Mapping[str, tuple[float, ...]]

    @property
    def is_its_variable(self) -> bool:
        """Whether the part and the variable behind it say the same, state by state."""
        exact = all(self.chances[label][i] == 1.0 for i, label in enumerate(self.states))
        return exact and not self.node.constant and self.node.labels == self.states

    def table(self) -> Array:
        """Shape (states of the variable, own states); (own states,) if the node is constant."""
        rows = np.array([self.chances[label] for label in self.node.labels], dtype=float)
        return rows[0] if self.node.constant else rows


def whole_network(model: Model, conditions: Mapping[str, str]) -> Network:
    """Every fault, quantity, indication and check by name, in a complete set of condition values.

    Indications and checks are as they would be read, misreadings included. Variables that stand behind
    them (leaks, what a cause would do) have other names. A part that the conditions settle keeps its states
    and has a single one with probability 1.
    """
    ground = Grounding(model)
    parts = list(_parts(model, ground, conditions))
    inner, place = ground.builder.freeze(sorted({part.node.variable for part in parts} - {CONSTANT}))
    own = {place[part.node.variable]: part for part in reversed(parts) if part.is_its_variable}
    added = [part for part in parts if part not in own.values()]
    taken = {part.name for part in parts}
    names = [own[v].name if v in own else _apart(name, taken) for v, name in enumerate(inner.names)]
    return Network(
        names=(*names, *(part.name for part in added)),
        states=(
            *(own[v].states if v in own else states for v, states in enumerate(inner.states)),
            *(part.states for part in added),
        ),
        parents=(
            *inner.parents,
            *(() if part.node.constant else (place[part.node.variable],) for part in added),
        ),
        tables=(*inner.tables, *(part.table() for part in added)),
    )


def _parts(model: Model, ground: Grounding, conditions: Mapping[str, str]) -> Iterator[_Part]:
    timeline = start(conditions)
    for name in model.faults:
        yield _Part(name, (ABSENT, PRESENT), ground.present(name, timeline), _exact((ABSENT, PRESENT)))
    for quantity in model.quantities.values():
        node = ground.level(quantity.name, timeline, timeline.now)
        yield _Part(quantity.name, quantity.levels, node, _exact(quantity.levels))
    for sign in model.signs():
        node = ground.true_outcome(sign, timeline, timeline.now)
        yield _Part(sign.name, sign.outcomes, node, ground.reading_chances(sign))


def _exact(states: tuple[str, ...]) -> dict[str, tuple[float, ...]]:
    return {state: tuple(float(other == state) for other in states) for state in states}


def _apart(name: str, taken: set[str]) -> str:
    """The name, marked until no part is called so."""
    while name in taken:
        name += " (inside)"
    return name

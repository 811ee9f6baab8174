"""The same table of worlds as the oracle's, taken from the project's grounded and frozen network."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from faultiso.model.system import Model
from faultiso.network.builder import Node
from faultiso.network.ground import Grounding
from faultiso.network.network import Network
from faultiso.network.simplify import absorb
from faultiso.network.timeline import Timeline

from .answers import Table


def joint(network: Network, wanted: Sequence[int]) -> tuple[NDArray[np.intp], NDArray[np.float64]]:
    """States of the wanted variables in every possible row, and the probability of the row.

    Variable by variable; what nobody needs any more is summed out at once.
    """
    columns: list[int] = []
    rows = np.zeros((1, 0), dtype=np.intp)
    weights = np.ones(1)
    for v, (parents, table) in enumerate(zip(network.parents, network.tables, strict=True)):
        spread = table[tuple(rows[:, columns.index(p)] for p in parents)]
        spread = np.broadcast_to(spread, (len(rows), network.cards[v]))
        row, state = np.nonzero(spread)
        rows, weights = np.column_stack([rows[row], state]), weights[row] * spread[row, state]
        columns.append(v)
        needed = [i for i, c in enumerate(columns) if c in wanted or max(network.children[c], default=-1) > v]
        columns = [columns[i] for i in needed]
        rows, inverse = np.unique(rows[:, needed], axis=0, return_inverse=True)
        weights = np.bincount(inverse.ravel(), weights).astype(float)
    order = [columns.index(v) for v in wanted]
    return rows[:, order], weights


def table(model: Model, timeline: Timeline, absorbed: bool = False) -> Table:
    """Every sign at every moment and every fault now, through grounding (and absorbing)."""
    ground = Grounding(model)
    faults = [ground.present(name, timeline) for name in model.faults]
    signs = {sign.name: sign for sign in model.signs()}
    truths = {
        (name, moment): ground.true_outcome(sign, timeline, moment)
        for name, sign in signs.items()
        for moment in range(len(timeline.moments))
    }
    variables = sorted({node.variable for node in (*faults, *truths.values()) if not node.constant})
    network, new = ground.builder.freeze(variables)
    if absorbed:
        network, newer = absorb(network, [new[v] for v in variables])
        new = {v: newer[new[v]] for v in variables}
    rows, weights = joint(network, [new[v] for v in variables])

    def shown(node: Node, labels: Sequence[str]) -> NDArray[np.intp]:
        codes = np.array([labels.index(label) for label in node.labels])
        if node.constant:
            return np.full(len(rows), codes[0])
        column: NDArray[np.intp] = codes[rows[:, variables.index(node.variable)]]
        return column

    return Table(
        model=model,
        now=timeline.now,
        probabilities=weights,
        faults=np.column_stack([shown(node, ("absent", "present")) == 1 for node in faults]),
        truths={key: shown(node, signs[key[0]].outcomes) for key, node in truths.items()},
        draws=truths,
        errors={
            name: np.array([ground.reading_chances(sign)[true] for true in sign.outcomes])
            for name, sign in signs.items()
        },
    )

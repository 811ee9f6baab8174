"""Enumeration of the whole joint distribution: the oracle that the fast engine is compared with.

Only for small networks: every joint state of all variables is held in memory.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from math import prod

import numpy as np

from faultiso.base.problems import TooLarge
from faultiso.network.network import Array, Network

LARGEST = 1 << 22


def joint_table(
    network: Network,
    likelihoods: Mapping[int, Array] | None = None,
    factors: Iterable[tuple[Sequence[int], Array]] = (),
) -> Array:
    """P(all variables, evidence), one axis for each variable; evidence as in ``propagate``, one column."""
    if prod(network.cards) > LARGEST:
        raise TooLarge(f"{prod(network.cards)} joint states are too many to enumerate")
    count = len(network.names)
    table: Array = np.ones(network.cards)
    parts: list[tuple[Sequence[int], Array]] = [
        ((*parents, v), network.tables[v]) for v, parents in enumerate(network.parents)
    ]
    parts += [((v,), np.asarray(weights, dtype=float)) for v, weights in (likelihoods or {}).items()]
    for variables, part in [*parts, *factors]:
        order = sorted(range(len(variables)), key=lambda axis: variables[axis])
        shape = [1] * count
        for v in variables:
            shape[v] = network.cards[v]
        table = table * np.transpose(part, order).reshape(shape)
    return table


def marginal(table: Array, variables: Sequence[int]) -> Array:
    """Sum a joint table down to ``variables``, axes in the order given; not normalised."""
    others = tuple(axis for axis in range(table.ndim) if axis not in variables)
    summed = table.sum(axis=others)
    kept = sorted(variables)
    return np.transpose(summed, [kept.index(v) for v in variables])

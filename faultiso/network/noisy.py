"""Leaky noisy-MAX tables, of which leaky noisy-OR is the case of two levels.

Each cause on its own would bring the effect to some level; the highest level wins, the leak being one more
cause that is always there (Henrion 1989; Diez 1993). Contributions are net: what a cause does with the leak
switched off.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from faultiso.network.network import Array


def noisy_max_table(contributions: Sequence[Array], leak: Array) -> Array:
    """P(level | state of each source), shape (states of each source..., levels).

    ``contributions[i]``: shape (states of source i, levels), the distribution of the level that source i
    brings about alone; ``leak``: shape (levels,). The maximum of independent levels is at most l exactly
    when each of them is, so cumulative distributions multiply.
    """
    cumulative = np.cumsum(np.asarray(leak, dtype=float))
    sources = len(contributions)
    for axis, contribution in enumerate(contributions):
        part = np.cumsum(np.asarray(contribution, dtype=float), axis=1)
        shape = (1,) * axis + (part.shape[0],) + (1,) * (sources - axis - 1) + (part.shape[1],)
        cumulative = cumulative * part.reshape(shape)
    table = np.diff(cumulative, axis=-1, prepend=0.0)
    return np.maximum(table, 0.0)


def from_compound(compound: float, leak: float) -> float:
    """The net strength of a link whose strength was stated with the leak still there (Henrion's form)."""
    return 1.0 - (1.0 - compound) / (1.0 - leak)
